"""A voice for tests: it plays a tone of 7 kHz for every text. No tone of a class is that high, so a detector can tell
them apart. The tone lasts 300 ms plus 20 ms for each letter, so that texts differ in length."""

import math
import struct
import sys
import wave

RATE, PITCH = 22_050, 7_000
text = sys.stdin.read()
frames = RATE * (300 + 20 * len(text)) // 1000
samples = [round(12_000 * math.sin(2 * math.pi * PITCH * n / RATE) * min(1, n / 20, (frames - n) / 200)) for n in range(frames)]
with wave.open(sys.stdout.buffer, "wb") as out:
    out.setparams((1, 2, RATE, 0, "NONE", ""))
    out.writeframes(struct.pack(f"<{frames}h", *samples))
