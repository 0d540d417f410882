"""Finds the tones of a recorded class and holds them against its schedule. Knows nothing of how they are made
but the pitch on which each begins and that they begin out of silence or speech."""

import json
import sys

import numpy as np

wav, schedule = sys.argv[1:]
raw = open(wav, "rb").read()
data = raw.index(b"data") + 8
rate = int.from_bytes(raw[24:28], "little")
pcm = np.frombuffer(raw[data : data + (len(raw) - data) // 4 * 4], dtype="<i2").reshape(-1, 2)
assert np.array_equal(pcm[:, 0], pcm[:, 1]), "both channels carry the class"
mono = pcm[:, 0] / 32768
assert abs(mono).max() < 0.99, "a sample at full scale"

events = json.load(open(schedule))["events"]
tones = [event for event in events if event["kind"] == "tone"]
# One onset a tick: what opens covers what closes on the same one. The count-in is three pips before the first.
due = sorted({event["at_ms"] for event in tones} | {-3000, -2000, -1000})

hot = np.flatnonzero(abs(mono) > 0.002)
first = hot[0]
offset = None
starts, missing = [], []
for at in due:
    # Within 40 ms of where the first pip says, the first sample after at least 8 ms of silence.
    middle = first + (at - due[0]) * rate / 1000
    low, high = int(middle - 0.04 * rate), int(middle + 0.04 * rate)
    near = hot[(hot >= low) & (hot < high)]
    before = hot[(hot < low)]
    last = before[-1] if len(before) else -rate
    found = [n for n, p in zip(near, np.concatenate(([last], near[:-1]))) if n - p > 0.008 * rate]
    if found:
        starts.append((at, found[0] / rate * 1000))
    else:
        missing.append(at)
off = np.array([heard - at for at, heard in starts])
off -= np.median(off)
# Whatever else begins after a pause must be a call or a cue of the schedule: speech may wait for a tone and a cue.
said = np.array([event["at_ms"] for event in events if event["kind"] != "tone"])
clusters = hot[np.concatenate(([True], np.diff(hot) > 0.3 * rate))] / rate * 1000 - first / rate * 1000 + due[0]
extra = [round(at) for at in clusters if min(abs(np.array(due) - at)) > 40
         and not (len(said) and ((at - said > -40) & (at - said < 2500)).any())]
print(f"{len(due)} tones due, {len(missing)} not found {missing}, {len(extra)} extra {extra}, spread {off.max() - off.min():.3f} ms,"
      f" worst {abs(off).max():.3f} ms")
sys.exit(0 if not missing and not extra and off.max() - off.min() <= 1 and abs(off).max() <= 1 else 1)
