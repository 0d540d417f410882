"""Leads the 90-second demo with the real program on a real sound server, with a device for the class and one for the
coach's ear. Records both and checks the moment of every sound. Needs Debian's pulseaudio, pulseaudio-utils and
python3-numpy. Usage: recorded.py PROGRAM [quiet] [busy] [killed]

The server also plays a reference: short pips from a file, buffered long in advance, higher than any sound of a class.
The pips are the control: what makes them uneven makes the class uneven too. So the class may stray by 1 ms and twice as
far as the control strays. Where the control strays too far to judge anything, the run is repeated; without a run that
can be judged the check fails."""

import contextlib
import json
import os
import pty
import resource
import signal
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import numpy as np

from onsets import RATE, REFERENCE, TONES, VOICE, Held, fit, onsets

# The recorders and the reference run with real-time priority if the system allows it. The class and the program it is
# compared with do not.
AHEAD = ["chrt", "--fifo", "5"]
if subprocess.run([*AHEAD, "true"], capture_output=True).returncode:
    AHEAD = []
HERE = Path(__file__).resolve().parent
SESSION = HERE.parent.parent / "sessions/first-look.ron"
# The most by which a sound may be early or late, apart from the constant offset.
MOST_MS = 1.0
ATTEMPTS = 3
# A control that strays further than this, in ms, cannot tell an even class from an uneven one.
MOST_UNEVEN_MS = 5.0
# The least by which the class is evener than the program that sleeps and plays.
LEAST_RATIO = 2
# How long to wait before the class is started with a key, in seconds.
READY = 12
# The later beeps of a tone come within this time after its start, in ms.
RHYTHM_MS = 750


def until(true, what, seconds=15):
    """Waits until something is true, instead of for a usual length of time."""
    end = time.monotonic() + seconds
    while not true():
        if time.monotonic() > end:
            sys.exit(f"{what}: not within {seconds} s")
        time.sleep(0.02)


class Place:
    """A home folder and a sound server for one run."""

    def __init__(self, folder):
        self.folder = Path(folder)
        for name in ("run", "home"):
            (self.folder / name).mkdir(mode=0o700)
        home = str(self.folder / "home")
        self.socket = self.folder / "run/native"
        # The server keeps its cookie in the home folder, where its clients look for it.
        own = {"HOME": home, "XDG_RUNTIME_DIR": str(self.folder / "run"), "PULSE_SERVER": f"unix:{self.socket}"}
        self.env = {name: value for name, value in os.environ.items() if not name.startswith(("XDG_", "PULSE_"))} | own
        self.server = None

    def serve(self):
        # A null sink counts whole microseconds for each chunk that it plays, so at 48 kHz its clock is too fast by tens
        # of parts per million. At 50 kHz a frame is 20 microseconds, and the clock is exact.
        sink = lambda name: (f"module-null-sink sink_name={name} sink_properties=device.description={name} format=float32le"
                             f" rate={RATE} channels=2")
        self.server = subprocess.Popen(
            ["pulseaudio", "-n", "--daemonize=no", "--use-pid-file=no", "--exit-idle-time=-1", "--disable-shm=yes",
             # As on a computer that is set up for sound, if the system allows it.
             "--realtime=yes", "--high-priority=yes",
             "-L", f"module-native-protocol-unix auth-anonymous=1 socket={self.socket}",
             "-L", sink("room"), "-L", sink("ear"), "-L", sink("plain")],
            env=self.env, stderr=subprocess.DEVNULL)
        until(lambda: self.pactl("info").returncode == 0, "the sound server")

    def pactl(self, *arguments):
        return subprocess.run(["pactl", *arguments], env=self.env, capture_output=True, text=True)

    def streams(self):
        return self.pactl("list", "short", "sink-inputs").stdout.count("\n")

    def stop(self, how=signal.SIGTERM):
        if self.server:
            self.server.send_signal(how)
            self.server.wait()
            self.server = None
            self.socket.unlink(missing_ok=True)


class Recorder:
    """Records what one device plays, and notes when the recording began by the computer's clock."""

    def __init__(self, place, sink):
        self.process = subprocess.Popen(
            [*AHEAD, "parec", f"--device={sink}.monitor", "--format=s16le", f"--rate={RATE}", "--channels=2",
             "--latency-msec=20"], env=place.env, stdout=subprocess.PIPE)
        self.chunks, self.began, self.bytes = [], float("inf"), 0
        self.thread = threading.Thread(target=self.read)
        self.thread.start()
        until(lambda: self.bytes > 0, f"a recording of {sink}")

    def read(self):
        while chunk := self.process.stdout.read1(1 << 16):
            self.chunks.append(chunk)
            self.bytes += len(chunk)
            # Chunks come late, never early.
            self.began = min(self.began, time.monotonic() - self.bytes / 4 / RATE)

    def stop(self):
        """The recorded sound. Both channels must be the same."""
        self.process.terminate()
        self.thread.join()
        raw = b"".join(self.chunks)
        pcm = np.frombuffer(raw[: len(raw) // 4 * 4], dtype="<i2").reshape(-1, 2)
        assert np.array_equal(pcm[:, 0], pcm[:, 1]), "the channels differ"
        assert not len(pcm) or abs(pcm.astype(int)).max() < 32_440, "a sample at full scale"
        return pcm[:, 0] / 32768


def reference(place):
    """Starts the reference. It lasts longer than any class here."""
    pip = 0.03 * np.sin(2 * np.pi * 15_000 * np.arange(RATE // 200) / RATE)
    quarter = np.concatenate((pip, np.zeros(RATE // 4 - len(pip))))
    path = place.folder / "reference.raw"
    if not path.exists():
        path.write_bytes((np.tile(quarter, 4 * 180) * 32767).astype("<i2").tobytes())
    return subprocess.Popen([*AHEAD, "pacat", "--device=room", "--format=s16le", f"--rate={RATE}", "--channels=1",
                             "--latency-msec=2000", str(path)], env=place.env)


def unevenness(room):
    """How unevenly the reference was recorded, in ms. Other clicks may be heard between its pips."""
    heard = onsets(room, REFERENCE, least=0.008)
    if len(heard) < 100:
        return float("inf")
    grid = np.arange(0, heard[-1] - heard[0], 250)
    pips = Held(grid, heard, fit(grid, heard))
    return float("inf") if pips.missing else pips.spread


VOICE_COMMAND = f"command:{sys.executable} {HERE / 'mark_voice.py'}"


def due(place, program):
    """What should be heard in the room and in the ear: tones and speech, in ms of class time."""
    show = lambda *more: json.loads(subprocess.run([program, "show", str(SESSION), "--json", *more], env=place.env,
                                                   capture_output=True, check=True).stdout)
    (place.folder / "schedule.json").write_text(json.dumps(show()))
    events = show()["events"]
    said = show("--cues", "--voice", VOICE_COMMAND, "--ear-lead", "5s")["cues"]
    tones = {event["at_ms"] for event in events if event["kind"] == "tone"}
    # One onset for each tick: an opening tone replaces a closing one on the same tick. Three pips of the count-in come
    # before the first.
    tones = sorted(tones | {-3000, -2000, -1000})
    calls = [event["at_ms"] for event in events if event["kind"] == "call"]
    cues = {who: [cue["at_ms"] for cue in said if cue["audience"] == who and cue["at_ms"] is not None]
            for who in ("class", "coach")}
    return tones, sorted(calls + cues["class"]), sorted(cues["coach"])


class Class:
    """The class as a coach leads it: in a terminal, started with a key when the voice is ready and the devices play."""

    def __init__(self, place, program):
        self.terminal, other = pty.openpty()
        self.process = subprocess.Popen(
            [program, "lead", str(SESSION), "--plain", "--device", "room", "--ear", "ear", "--voice", VOICE_COMMAND],
            env=place.env, stdin=other, stdout=other)
        os.close(other)
        self.said = b""
        self.thread = threading.Thread(target=self.read, daemon=True)
        self.thread.start()
        time.sleep(READY)
        os.write(self.terminal, b" ")
        until(lambda: b"Block A" in self.said, "the first block", 20)

    def read(self):
        # Reading a terminal whose program has ended gives an error.
        with contextlib.suppress(OSError):
            while chunk := os.read(self.terminal, 4096):
                self.said += chunk

    def wait(self):
        """Waits for the end of the class."""
        return self.process.wait(180)


def held(room, tones, said):
    """Compares the tones and speech of the room with the expected ones, with the same offset for both."""
    heard, spoken = onsets(room, TONES), onsets(room, VOICE)
    offset = fit(tones, heard)
    # Speech on the tick of a tone waits until the tone is over.
    waits = [at for at in said if at in tones]
    after = [int(np.argmin(abs(spoken - offset - at - RHYTHM_MS / 2))) for at in waits] if len(spoken) else []
    said = [at for at in said if at not in tones] + [spoken[index] - offset for index in after]
    return offset, Held(tones, heard, offset, RHYTHM_MS), Held(sorted(said), spoken, offset)


def good(one, uneven):
    """Whether everything was heard, and as evenly as the control of this run lets one tell."""
    most = MOST_MS + 2 * uneven
    return not one.missing and not one.extra and one.spread <= most and one.worst <= most


def at_work():
    """For how many seconds the cores were busy: in total, and for this program and those that it started."""
    whole = [int(ticks) for ticks in Path("/proc/stat").read_text().split("\n")[0].split()[1:9]]
    ours = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    # All time except idle time and waiting for disks. Time taken by a host of this virtual machine counts too.
    return (sum(whole) - whole[3] - whole[4]) / os.sysconf("SC_CLK_TCK"), sum(one.ru_utime + one.ru_stime for one in ours)


def passes(run, judge):
    """Repeats a run until its recording can be judged and is as expected. False if that never happened."""
    for attempt in range(1, ATTEMPTS + 1):
        began, (whole, ours) = time.monotonic(), at_work()
        with place_of_its_own() as place:
            place.serve()
            recorded = run(place)
        cores, (whole_after, ours_after) = os.cpu_count() * (time.monotonic() - began), at_work()
        others = ((whole_after - whole) - (ours_after - ours)) / cores
        print(f"  attempt {attempt}: the control strays by {recorded.uneven:.2f} ms, other programs took"
              f" {100 * others:.0f} % of the computer", flush=True)
        if recorded.uneven > MOST_UNEVEN_MS:
            print("  the control is too uneven to judge by: NO RESULT")
        elif judge(recorded):
            return True
    return False


class Whole:
    """The class from start to end, with the simple program running at the same time."""

    def __init__(self, place, program, busy):
        self.due = due(place, program)
        recorders = [Recorder(place, sink) for sink in ("room", "ear", "plain")]
        beside = reference(place)
        load = [subprocess.Popen([sys.executable, "-c", "while True: pass"]) for _ in range(2 if busy else 0)]
        plain = subprocess.Popen([sys.executable, HERE / "sleep_and_play.py", place.folder / "schedule.json", "plain"],
                                 env=place.env)
        class_ = Class(place, program)
        codes = class_.wait(), plain.wait()
        for process in [*load, beside]:
            process.kill()
            process.wait()
        assert codes == (0, 0), f"ended with {codes}"
        self.room, self.ear, self.slept = [recorder.stop() for recorder in recorders]
        self.uneven = unevenness(self.room)


def whole_class(recorded):
    tones, said, in_ear = recorded.due
    _, tones_held, said_held = held(recorded.room, tones, said)
    # The first station is said before the count-in, at no fixed moment.
    opening = [at for at in said_held.extra if at < tones[0]]
    said_held.extra = [at for at in said_held.extra if at not in opening]
    ear_marks = onsets(recorded.ear, VOICE)
    ear_held = Held(in_ear, ear_marks, fit(in_ear, ear_marks))
    ear_tones = onsets(recorded.ear, TONES)
    starts = [at for at in tones if at >= 0]
    plain_heard = onsets(recorded.slept, TONES)
    plain_held = Held(starts, plain_heard, fit(starts, plain_heard), RHYTHM_MS)
    print(f"  room, tones:  {tones_held}\n  room, speech: {len(opening)} before the class, {said_held}")
    print(f"  ear, speech:  {ear_held}, {len(ear_tones)} tones")
    # A spread below one frame counts as one frame.
    ratio = plain_held.spread / max(tones_held.spread, 1000 / RATE)
    print(f"  sleep and play: {plain_held}: {ratio:.0f} times ours")
    even = all(good(one, recorded.uneven) for one in (tones_held, said_held, ear_held))
    return len(opening) == 1 and even and ratio >= LEAST_RATIO and len(ear_tones) == 0


class Broken:
    """The sound server is killed in the middle of the class and started again."""

    def __init__(self, place, program):
        self.due = due(place, program)
        first = Recorder(place, "room")
        class_ = Class(place, program)
        time.sleep(25)
        place.stop(signal.SIGKILL)
        self.before = first.stop()
        time.sleep(4)
        place.serve()
        ready = time.monotonic()
        # One for the room and one for the ear.
        until(lambda: place.streams() == 2, "the class's sound after the restart")
        self.back = time.monotonic() - ready
        second = Recorder(place, "room")
        beside = reference(place)
        code = class_.wait()
        beside.kill()
        beside.wait()
        assert code == 0, f"ended with {code}"
        self.after = second.stop()
        self.uneven = unevenness(self.after)
        # In ms: the time between the starts of the two recordings, and the time in the second from which all is heard.
        self.apart = (second.began - first.began) * 1000
        self.from_ms = 1000


def killed(recorded):
    tones, said, _ = recorded.due
    heard = onsets(recorded.after, TONES)
    offset_before, offset = fit(tones, onsets(recorded.before, TONES)), fit(tones, heard)
    # How far the moment of class time 0 differs between the two recordings.
    moved = recorded.apart + offset - offset_before
    from_ms = recorded.from_ms - offset
    later = lambda ticks: [at for at in ticks if at > from_ms]
    tones_held = Held(later(tones), heard[heard - offset > from_ms], offset, RHYTHM_MS)
    spoken = onsets(recorded.after, VOICE)
    said_held = Held(later([at for at in said if at not in tones]), spoken[spoken - offset > from_ms], offset)
    waits = later([at for at in said if at in tones])
    said_held.extra = [at for at in said_held.extra if not any(0 < at - one < RHYTHM_MS for one in waits)]
    print(f"  connected again {recorded.back:.2f} s after the server, class time moved by {moved:.1f} ms")
    print(f"  from a second of the recording on, tones: {tones_held}\n  speech: {said_held}")
    even = all(good(one, recorded.uneven) for one in (tones_held, said_held))
    return recorded.back <= 1.0 and abs(moved) < NEAR and len(later(tones)) >= 8 and even


# How far two recordings of two streams may differ, in ms, because of the buffers of the devices.
NEAR = 60


@contextlib.contextmanager
def place_of_its_own():
    with tempfile.TemporaryDirectory() as folder:
        place = Place(folder)
        try:
            yield place
        finally:
            place.stop()


def main():
    program, *asked = sys.argv[1:]
    program = str(Path(program).resolve())
    runs = {"quiet": (lambda place: Whole(place, program, False), whole_class),
            "busy": (lambda place: Whole(place, program, True), whole_class),
            "killed": (lambda place: Broken(place, program), killed)}
    failed = []
    for name in asked or runs:
        print(f"{name}:", flush=True)
        if not passes(*runs[name]):
            failed.append(name)
    sys.exit(f"not as expected: {', '.join(failed)}" if failed else 0)


main()
