#!/usr/bin/env bash
# What programs of others make of rendered classes: sox and ffmpeg of the files, ffmpeg of their loudness, a detector in
# Python of every onset, the system of the memory that is taken.
# usage: tests/judges_of_sound.sh PROGRAM
set -euo pipefail
program=$(realpath "$1")
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
export XDG_CACHE_HOME=$work/cache
# The first that has numpy: the system's may stand behind another.
for python in python3 /usr/bin/python3; do
  if "$python" -c 'import numpy' 2>/dev/null; then break; fi
done

die() { echo "$1"; exit 1; }

# What ffmpeg reads of the loudness (EBU R 128) against what was said, within 0.5 LU, and no true peak over -1 dBTP.
loudness() {
  ffmpeg -hide_banner -nostats -i "$1" -af ebur128=peak=true -f null - 2>"$work/heard"
  "$python" - "$work/heard" "$2" <<'PY'
import re, sys
heard, said = (open(path).read() for path in sys.argv[1:])
summary = heard[heard.rindex("Summary:"):]
lufs, peak = (float(re.search(key + r":\s+(-?[\d.]+) ", summary).group(1)) for key in ("I", "Peak"))
named = float(re.search(r"(-[\d.]+) LUFS", said).group(1))
assert abs(lufs - named) <= 0.5, f"{lufs} LUFS heard, {named} said"
assert peak <= -1, f"a true peak of {peak} dBTP"
assert abs(lufs + 16) <= 0.5 or "no room" in said, f"{lufs} LUFS, and nothing said of it"
PY
}

for session in first-look frost-and-oars; do
  render() { "$program" render "sessions/$session.ron" "$@" 2>"$work/said" || die "$(cat "$work/said")"; }
  render --only tones -o "$work/$session-tones.wav"
  for format in flac opus wav; do
    # Of flac a minute and a half will do.
    if [ "$format $session" = 'flac frost-and-oars' ]; then continue; fi
    render -o "$work/$session.$format"
    loudness "$work/$session.$format" "$work/said"
  done
  "$program" show "sessions/$session.ron" --json >"$work/schedule.json"
  "$program" export "sessions/$session.ron" --as vtt >"$work/class.vtt" 2>"$work/said"
  "$python" tests/judge_render.py "$work/$session-tones.wav" "$work/$session.wav" "$work/schedule.json" "$work/class.vtt"
  [ "$(soxi -r "$work/$session.wav") $(soxi -c "$work/$session.wav") $(soxi -b "$work/$session.wav")" = '48000 1 16' ]
  ms() { ffprobe -loglevel error -show_entries format=duration -of csv=p=0 "$1" | awk '{ printf "%d", $1 * 1000 + 0.5 }'; }
  chapters() { ffprobe -loglevel error -show_chapters "$@" | grep -c '^\[CHAPTER\]'; }
  "$program" export "sessions/$session.ron" --as ffmetadata >"$work/class.txt" 2>"$work/said"
  [ "$(chapters "$work/$session.opus")" = "$(chapters -f ffmetadata "$work/class.txt")" ]
  apart=$(($(ms "$work/$session.opus") - $(ms "$work/$session.wav")))
  [ "${apart#-}" -le 20 ] || die "opus and wav are $apart ms apart"
done

# FLAC is the same samples, and has its chapters too.
[ "$(chapters "$work/first-look.flac")" = 3 ]
cmp <(ffmpeg -loglevel error -i "$work/first-look.flac" -f s16le -) <(sox "$work/first-look.wav" -t raw -)
# A pipe is as good as a file, for each format.
for format in wav flac opus; do
  "$program" render sessions/first-look.ron --as "$format" -o - 2>/dev/null | ffprobe -loglevel error -show_format - >"$work/probed"
  grep -q '^format_name=\(wav\|flac\|ogg\)$' "$work/probed"
done

# Three hours take no more memory than ten minutes, but for what the schedule itself has: the sound alone is a gigabyte.
peak() {
  "$python" - "$program" "$@" <<'PY'
import resource, subprocess, sys
subprocess.run(sys.argv[1:], check=True, stderr=subprocess.DEVNULL)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
PY
}
for rounds in 10 180; do
  echo "(title: \"Long\", blocks: [(name: \"All\", work: \"40s\", rest: \"20s\", rounds: $rounds, stations: [\"squat\"])])" >"$work/$rounds.ron"
done
for format in wav flac; do
  short=$(peak render "$work/10.ron" --voice none --as "$format" -o /dev/null)
  long=$(peak render "$work/180.ron" --voice none --as "$format" -o /dev/null)
  echo "$format: 10 minutes take $short KB, three hours $long KB"
  [ $((long - short)) -le 8192 ]
done
echo 'the judges of the sound agree'
