#!/usr/bin/env bash
# Checks rendered classes with other programs: the files with sox and ffmpeg, their loudness with ffmpeg, every onset
# with a detector in Python, the memory that is used with the operating system. usage: tests/judges_of_sound.sh PROGRAM
set -euo pipefail
program=$(realpath "$1")
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
export XDG_CACHE_HOME=$work/cache
# The first Python that has numpy: the system's own may come after another one.
for python in python3 /usr/bin/python3; do
  if "$python" -c 'import numpy' 2>/dev/null; then break; fi
done

die() { echo "$1"; exit 1; }

# Compares the loudness that ffmpeg measures (EBU R 128) with the reported one, within 0.5 LU. No true peak may be over
# -1 dBTP.
loudness() {
  ffmpeg -hide_banner -nostats -i "$1" -af ebur128=peak=true -f null - 2>"$work/heard"
  "$python" - "$work/heard" "$2" <<'PY'
import re, sys
heard, said = (open(path).read() for path in sys.argv[1:])
summary = heard[heard.rindex("Summary:"):]
lufs, peak = (float(re.search(key + r":\s+(-?[\d.]+) ", summary).group(1)) for key in ("I", "Peak"))
named = float(re.search(r"(-[\d.]+) LUFS", said).group(1))
assert abs(lufs - named) <= 0.5, f"{lufs} LUFS measured, {named} reported"
assert peak <= -1, f"a true peak of {peak} dBTP"
assert abs(lufs + 16) <= 0.5 or "do not allow" in said, f"{lufs} LUFS, and no reason reported"
PY
}

for session in first-look frost-and-oars; do
  render() { "$program" render "sessions/$session.ron" "$@" 2>"$work/said" || die "$(cat "$work/said")"; }
  render --only tones -o "$work/$session-tones.wav"
  for format in flac opus wav; do
    # For flac the short class is enough.
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

# FLAC has the same samples, and chapters too.
[ "$(chapters "$work/first-look.flac")" = 3 ]
cmp <(ffmpeg -loglevel error -i "$work/first-look.flac" -f s16le -) <(sox "$work/first-look.wav" -t raw -)
# Every format can be written to a pipe.
for format in wav flac opus; do
  "$program" render sessions/first-look.ron --as "$format" -o - 2>/dev/null | ffprobe -loglevel error -show_format - >"$work/probed"
  grep -q '^format_name=\(wav\|flac\|ogg\)$' "$work/probed"
done

# Three hours take no more memory than 10 minutes, except for the schedule. The sound alone would be 1 GB.
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
echo 'all sound files are as expected'
