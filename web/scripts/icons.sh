#!/usr/bin/env bash
# Makes the PNG icons from icon.svg. They are kept in the repository, so that a
# build needs no drawing program; run this after a change of the drawing. The
# maskable one is the same drawing at 72 % on its paper, within the safe circle.
set -euo pipefail
cd "$(dirname "$0")/../public"
for n in 192 512; do rsvg-convert -w $n -h $n icon.svg -o icon-$n.png; done
mask=$(mktemp --suffix=.svg)
trap 'rm -f "$mask"' EXIT
{
  echo '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 512 512"><rect width="512" height="512" fill="#FBF8F0"/><g transform="translate(72 72) scale(.72)">'
  sed -e '/^<svg/d' -e '/^<\/svg/d' -e '/^<rect/d' icon.svg
  echo '</g></svg>'
} >"$mask"
rsvg-convert -w 512 -h 512 "$mask" -o icon-mask-512.png
