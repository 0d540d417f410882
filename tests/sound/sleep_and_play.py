"""The simple way to play the tones of a class, for comparison: sleep until the next tone, then start a player."""

import json
import math
import struct
import subprocess
import sys
import time

RATE = 50_000
schedule, sink = sys.argv[1:]
due = sorted({event["at_ms"] for event in json.load(open(schedule))["events"] if event["kind"] == "tone"})
beep = [round(9_000 * math.sin(2 * math.pi * 1_000 * n / RATE)) for n in range(RATE // 10)]
beep = struct.pack(f"<{len(beep)}h", *beep)
began = time.monotonic() + 5
players = []
for at in due:
    time.sleep(max(0, began + at / 1000 - time.monotonic()))
    player = subprocess.Popen(
        ["pacat", f"--device={sink}", "--format=s16le", f"--rate={RATE}", "--channels=1", "--latency-msec=50"],
        stdin=subprocess.PIPE,
    )
    player.stdin.write(beep)
    player.stdin.close()
    players.append(player)
for player in players:
    player.wait()
