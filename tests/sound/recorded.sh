#!/bin/sh
# Leads the ninety-second demo with the real program on a real sound server, records what comes out, and has an
# independent detector look for every tone. Needs Debian's pulseaudio, pulseaudio-utils and python3-numpy.
# Usage: recorded.sh PROGRAM [SESSION] [busy]
set -eu
here=$(cd "$(dirname "$0")" && pwd)
program=$1
session=${2:-$here/../../sessions/first-look.ron}
work=$(mktemp -d)
mkdir -p "$work/run" "$work/home" && chmod 700 "$work/run"
export HOME="$work/home" XDG_RUNTIME_DIR="$work/run" XDG_CACHE_HOME="$work/home" XDG_CONFIG_HOME="$work/home"
children=
# Each child is ended by its own number.
trap 'for child in $children; do kill "$child" 2>/dev/null || :; done; rm -rf "$work"' EXIT
# A null sink counts whole microseconds for each chunk that it plays, so at 48 kHz its own clock runs some tens of
# parts in a million fast. At 50 kHz a frame is 20 microseconds and its clock is exact.
pulseaudio -n --daemonize=no --use-pid-file=no --exit-idle-time=-1 --disable-shm=yes --realtime=no --high-priority=no \
  -L "module-native-protocol-unix auth-anonymous=1 socket=$work/run/native" \
  -L "module-null-sink sink_name=room format=float32le rate=50000 channels=2" 2>/dev/null &
children=$!
sleep 1.5
export PULSE_SERVER="unix:$work/run/native"
parec -d room.monitor --format=s16le --rate=50000 --channels=2 --file-format=wav --latency-msec=20 "$work/room.wav" &
recorder=$!
children="$children $recorder"
sleep 2
if [ "${3:-}" = busy ]; then
  for _ in 1 2; do (while :; do :; done) & children="$children $!"; done
fi
"$program" show "$session" --json > "$work/schedule.json"
# Without speech, which would hide the onsets of tones.
"$program" lead "$session" --plain --voice none < /dev/null > "$work/lines.txt"
sleep 0.5
kill -INT "$recorder"
wait "$recorder" || :
/usr/bin/python3 "$here/find_tones.py" "$work/room.wav" "$work/schedule.json"
