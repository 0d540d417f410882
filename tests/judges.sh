#!/usr/bin/env bash
# Checks written files with other programs: sheets with qpdf and pdftotext, captions and chapters with ffmpeg, captions
# with the reference parser of WebVTT, the calendar with icalendar, the table with Python.
# usage: tests/judges.sh PROGRAM
set -euo pipefail
program=$(realpath "$1")
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
export XDG_CACHE_HOME=$work/cache

# The tools that are not in the distribution, in fixed versions.
python3 -m venv "$work/python"
"$work/python/bin/pip" --quiet --disable-pip-version-check install icalendar==7.3.2
npm install --silent --no-audit --no-fund --prefix "$work/node" webvtt-parser@2.2.0

# A class of 200 stations, in addition to the demos.
python3 - "$work/many.ron" <<'PY'
import sys
stations = ", ".join(f'(name: "Station {n} with a name that is rather long for a line")' for n in range(1, 201))
open(sys.argv[1], "w").write(f'(title: "Two hundred", blocks: [(name: "All", work: "20s", stations: [{stations}])])')
PY

for session in sessions/*.ron "$work/many.ron"; do
  name=$(basename "$session" .ron)
  for what in '' --cards --blank; do
    for paper in a4 letter; do
      sheet=$work/$name$what-$paper.pdf
      "$program" sheet "$session" $what --paper "$paper" --start 18:15 -o "$sheet" 2>"$work/said" || { cat "$work/said"; exit 1; }
      qpdf --check "$sheet" >"$work/said" 2>&1 || { cat "$work/said"; exit 1; }
      pdftotext -bbox "$sheet" "$work/words.html"
      "$program" export "$session" --as csv >"$work/table.csv" 2>/dev/null
      pdftohtml -xml -i -stdout -zoom 1 "$sheet" >"$work/fonts.xml"
      python3 tests/judge_sheet.py "$work/words.html" "$work/table.csv" "$work/fonts.xml"
    done
  done
  "$program" export "$session" --as vtt --voice none 2>/dev/null >"$work/class.vtt"
  "$program" export "$session" --as srt --voice none 2>/dev/null >"$work/class.srt"
  "$program" export "$session" --as ffmetadata 2>/dev/null >"$work/class.txt"
  "$program" export "$session" --as ics --start 2026-12-01T18:15 --weeks 8 2>/dev/null >"$work/class.ics"
  "$program" show "$session" --json 2>/dev/null >"$work/class.json"
  "$work/python/bin/python" tests/judge_calendar.py "$work/class.ics" "$work/class.json"
  node tests/judge_captions.mjs "$work/node/node_modules/webvtt-parser/parser.js" "$work/class.vtt"
  # ffmpeg reads the same captions from both formats, and all the chapters.
  for captions in vtt srt; do
    ffmpeg -loglevel error -y -i "$work/class.$captions" -f srt "$work/read.$captions"
  done
  [ "$(grep -c -e '-->' "$work/read.vtt")" = "$(grep -c -e '-->' "$work/class.srt")" ]
  cmp <(grep -e '-->' "$work/read.vtt") <(grep -e '-->' "$work/class.srt")
  cmp <(grep -e '-->' "$work/read.srt") <(grep -e '-->' "$work/class.srt")
  [ "$(ffprobe -loglevel error -show_chapters -f ffmetadata "$work/class.txt" | grep -c '^\[CHAPTER\]')" = \
    "$(grep -c '^\[CHAPTER\]' "$work/class.txt")" ]
done
echo 'all files are as expected'
