#!/bin/bash
# One case by finite elements beside the field solution: an 8 ft rod of 5/8 in
# from the surface in 1.5 m of 100 ohm-m over 900 ohm-m. Both answers are
# compared with 76.65765 ohm, a value of other finite elements and another
# integral equation (doubt 0.02 %), and both times are printed. Needs Debian's
# gmsh and getdp (as root it installs them) and Go. Not part of the tests.
set -euo pipefail
cd "$(dirname "$0")"
want=76.65765
for p in gmsh getdp; do
  command -v $p >/dev/null || { apt-get update -qq && apt-get install -y -qq --no-install-recommends gmsh getdp; }
done
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
cp fem/rod.geo fem/rod.pro "$tmp"
PRINT_FIGURES=1 go test -count=1 -v -run PerformanceRod ../trade/ground | awk -F'\t' -v w=$want '$1=="rod"{printf "field solution    %9d elements  %10.5f ohm  %+7.3f %%  %8.4f s\n", $3, $2, 100*($2/w-1), $4}'
cd "$tmp"
for n in 1 2 4 8; do # elements over the rod's radius
  t0=$(date +%s.%N)
  gmsh -2 -setnumber n $n -v 1 rod.geo -o rod.msh -format msh22
  t1=$(date +%s.%N)
  getdp rod.pro -msh rod.msh -solve R -pos O -v 1 >getdp.log 2>&1 || { cat getdp.log; exit 1; }
  t2=$(date +%s.%N)
  nodes=$(awk '/\$Nodes/{getline; print; exit}' rod.msh)
  # The axisymmetric integrals are for one radian.
  awk -v n=$nodes -v w=$want -v a=$t0 -v b=$t1 -v c=$t2 '{r=1/(2*3.14159265358979*$2); printf "finite elements   %9d nodes     %10.5f ohm  %+7.3f %%  %8.2f s  (mesh %.2f, solve %.2f)\n", n, r, 100*(r/w-1), c-a, b-a, c-b}' g.txt
done
