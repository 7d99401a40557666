#!/usr/bin/env bash
# Runs the six verbs on one site into a folder and prints what came of it.
# A broken rule in an example (exit 1) is an answer, not a failure.
set -uo pipefail
bin=$1 site=$2 out=$3
mkdir -p "$out"
for verb in layout prove order work change handover; do
  args=("$site")
  [ "$verb" = change ] && args=(examples/fiber-entry.yaml examples/fiber-entry-moved.yaml)
  "$bin" "$verb" "${args[@]}" -o "$out" >"$out/$verb.txt"
  code=$?
  if [ $code -gt 1 ]; then echo "$verb ended with $code"; exit $code; fi
  echo "== $verb ${args[*]}"
  # The summary is the list at the head.
  awk '/^- /{on=1} on&&/^$/{exit} on{print "  " $0}' "$out/$verb.txt" | head -14
done
echo
echo "In $out: plan.svg, run drawings, points.csv, order.xlsx, order.csv, handover.pdf, and each stage as text."
ls "$out" | wc -l | sed 's/$/ files in all./'
