#!/usr/bin/env bash
# Runs every test of the project, as CI does. On Debian and Ubuntu it first installs the packages that the tests need.
set -euo pipefail
cd "$(dirname "$0")/.."

needs=(gcc libc6-dev pkg-config libasound2-dev ffmpeg poppler-utils pulseaudio pulseaudio-utils python3 python3-numpy python3-venv qpdf sox)
# Many systems have Node from another source, and Debian's npm is large.
command -v npm >/dev/null || needs+=(nodejs npm)
if command -v apt-get >/dev/null; then
  missing=()
  for package in "${needs[@]}"; do
    dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q 'install ok installed' || missing+=("$package")
  done
  if [ ${#missing[@]} -gt 0 ]; then
    root=()
    [ "$(id -u)" = 0 ] || root=(sudo)
    "${root[@]}" apt-get update
    "${root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends "${missing[@]}"
  fi
fi

step() { printf '\n== %s\n' "$1"; }

step 'format'
cargo fmt --check
step 'lints'
cargo clippy --locked --workspace --all-targets -- -D warnings
step 'documentation'
RUSTDOCFLAGS='-D warnings' cargo doc --locked --workspace --no-deps --document-private-items
step 'tests'
# A fixed seed gives the same cases every time, so that a failure comes from the change that is being tested.
PROPTEST_RNG_SEED=${PROPTEST_RNG_SEED:-20261125} cargo test --locked --workspace
step 'judges'
tests/judges.sh target/debug/forecall
tests/judges_of_sound.sh target/debug/forecall
step 'a recorded class'
/usr/bin/python3 tests/sound/recorded.py target/debug/forecall busy killed
