#!/usr/bin/env bash
# Runs the six verbs on one site into a folder and prints what came of it.
# A broken rule in an example (exit 1) is an answer, not a failure.
set -uo pipefail
bin=$1 site=$2 out=$3
mkdir -p "$out"
for verb in layout prove order work handover; do
  "$bin" "$verb" "$site" -o "$out" --plain >"$out/$verb.txt"
  code=$?
  if [ $code -gt 1 ]; then echo "$verb ended with $code"; exit $code; fi
done
"$bin" change examples/fiber-entry.yaml examples/fiber-entry-moved.yaml -o "$out" --plain >"$out/change.txt"
code=$?
if [ $code -gt 1 ]; then echo "change ended with $code"; exit $code; fi
for verb in layout prove order work change handover; do
  echo "== $verb"
  grep '^- ' "$out/$verb.txt" | sed 's/^- /  /' | head -12
done
echo
echo "files in $out:"
ls "$out" | sed 's/^/  /'
