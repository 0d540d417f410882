"""Checks a rendered WAV file against the schedule of its class. It has its own reader of RIFF and detector of onsets.

usage: judge_render.py TONES.wav WHOLE.wav SCHEDULE.json CAPTIONS.vtt
TONES has only the tones, so each starts after silence, on its tick. WHOLE has all sound."""

import json
import re
import struct
import sys

import numpy as np


def chunks(data):
    """Name and content of each chunk, in order. Each chunk is padded to an even length."""
    at = 0
    while at < len(data):
        name, length = struct.unpack_from("<4sI", data, at)
        assert at + 8 + length <= len(data), f"{name} is longer than its file"
        yield name, data[at + 8 : at + 8 + length]
        at += 8 + length + length % 2
    assert at == len(data), "something after the last chunk"


def read(path):
    """The rate, the samples, and the frame and label of each cue point."""
    ((riff, content),) = chunks(open(path, "rb").read())
    assert riff == b"RIFF" and content[:4] == b"WAVE"
    parts = list(chunks(content[4:]))
    kind, channels, rate, per_second, block, bits = struct.unpack("<HHIIHH", dict(parts)[b"fmt "][:16])
    assert (kind, channels, block, bits, per_second) == (1, 1, 2, 16, 2 * rate)
    samples = np.frombuffer(dict(parts)[b"data"], "<i2")
    cue = dict(parts)[b"cue "]
    (count,) = struct.unpack_from("<I", cue)
    assert len(cue) == 4 + 24 * count
    labels = {}
    for name, lists in parts:
        if name == b"LIST" and lists[:4] == b"adtl":
            for kind, label in chunks(lists[4:]):
                assert kind == b"labl" and label.endswith(b"\0")
                labels[struct.unpack_from("<I", label)[0]] = label[4:-1].decode("utf-8")
    points = []
    for at in range(4, len(cue), 24):
        number, order, chunk, start, block_start, offset = struct.unpack_from("<II4sIII", cue, at)
        assert chunk == b"data" and start == block_start == 0 and order == offset < len(samples)
        points.append((offset, labels.pop(number)))
    assert not labels, "a label without a cue point"
    return rate, samples, points


tones, whole, schedule, captions = sys.argv[1:]
rate, alone, points = read(tones)
whole_rate, samples, whole_points = read(whole)
assert (rate, points, len(alone)) == (whole_rate, whole_points, len(samples))
schedule = json.load(open(schedule))
spans, events = schedule["spans"], schedule["events"]
assert len(samples) >= schedule["total_ms"] * rate / 1000

assert len(points) == len(spans)
for (frame, label), span in zip(points, spans):
    assert abs(frame - span["start_ms"] * rate / 1000) <= 0.5, f"{label} at {frame}"
    assert label.startswith(schedule["blocks"][span["block"]]["letter"]), label

# A tone starts with the first sample that is not 0, after at least 5 ms of silence.
due = sorted({event["at_ms"] for event in events if event["kind"] == "tone"})
hot = np.flatnonzero(alone)
gaps = np.diff(hot, prepend=-rate)
found = hot[gaps > 0.005 * rate]
worst = 0.0
for at in due:
    wanted = at * rate / 1000
    off = abs(found - wanted).min()
    assert off <= 1, f"the tone of {at} ms is {off} frames away"
    worst = max(worst, off)
# Nothing else starts after silence, except calls that are tones because nobody speaks, and tempo clicks.
begins = hot[gaps > 0.2 * rate] * 1000 / rate
marks = np.array(due)
extra = [at for at in begins if abs(marks - at).min() > 1000 / rate and not any(
    span["start_ms"] <= at < span["end_ms"] and span["purpose"] == "work" for span in spans)]
assert not extra, f"tones that are not in the schedule, at {extra}"

# Speech starts with its caption. Where there is no caption, only the tones sound.
said = np.array(samples, dtype=np.int32) - alone
times = re.findall(r"(\d+):(\d\d):(\d\d\.\d{3}) --> (\d+):(\d\d):(\d\d\.\d{3})", open(captions, encoding="utf-8").read())
assert times
covered = np.zeros(len(said), dtype=bool)
for time in times:
    start, end = (round((int(h) * 3600 + int(m) * 60 + float(s)) * rate) for h, m, s in (time[:3], time[3:]))
    heard = np.flatnonzero(abs(said[start - rate // 1000 : start + rate // 50]) > 60)
    assert len(heard) and abs(heard[0] - rate // 1000) < 0.005 * rate, f"the caption at {start / rate:.3f} s is not heard"
    covered[max(0, start - rate // 200) : end + rate // 200] = True
# A tone under speech is softer in WHOLE than in TONES. It lies within a caption, so it does not count here.
loose = abs(said) > 60
loose[covered] = False
assert not loose.any(), f"speech without a caption at {np.flatnonzero(loose)[0] / rate:.3f} s"
print(f"{len(due)} tones, worst {worst:.2f} frames; {len(points)} cue points; {len(times)} captions heard")
