package ground

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/mat"

	"stubup/trade/soil"
)

// timed is one figure of the performance page: the best of several runs, in
// ms, or in ns for one pair.
type timed struct {
	name string
	v    float64
}

func best(runs int, f func()) float64 {
	out := time.Duration(1 << 62)
	for range runs {
		start := time.Now()
		f()
		out = min(out, time.Since(start))
	}
	return float64(out.Nanoseconds()) / 1e6
}

func figures(t *testing.T) []timed {
	var out []timed
	add := func(name string, v float64) { out = append(out, timed{name, v}) }
	for _, n := range []int{300, 600, 900, 1500} {
		src := positive(n, 1)
		c := make(cholesky, n)
		for i := range c {
			c[i] = make([]float64, n)
		}
		reset := func() {
			for i := range c {
				copy(c[i], src[i])
			}
		}
		add(fmt.Sprintf("factor %d ours", n), best(5, func() {
			reset()
			if err := c.factor(context.Background()); err != nil {
				t.Fatal(err)
			}
		}))
		add(fmt.Sprintf("factor %d rows", n), best(3, func() { reset(); c.plain() }))
		s := mat.NewSymDense(n, nil)
		for i := range n {
			for j := range i + 1 {
				s.SetSym(i, j, src[i][j])
			}
		}
		add(fmt.Sprintf("factor %d gonum", n), best(3, func() {
			var ref mat.Cholesky
			ref.Factorize(s)
		}))
	}
	for _, c := range []struct {
		name string
		m    soil.Model
	}{{"uniform", soil.Single(100)}, {"two layers", soil.TwoLayer(300, 100, 2)}, {"three layers", layers(300, .8, 60, 2, 1500)}} {
		var s *Solution
		add("solve "+c.name, best(8, func() { s = solve(t, c.m, Options{}, Electrode{"A", compoundA(8 * ft)}) }))
		n := float64(s.Elements())
		add("elements "+c.name, n)
		add("fill "+c.name, 1e6/(n*(n+1)/2)*best(8, func() {
			if _, err := newFiller(s.fill.k, s.elements).matrix(context.Background(), s.elements); err != nil {
				t.Fatal(err)
			}
		}))
		add("edit "+c.name, best(8, func() {
			if _, err := s.WithWires(context.Background(), 0, []int{1}, []Wire{rod(2*ft, 2*ft, .762, 5*ft, half)}); err != nil {
				t.Fatal(err)
			}
		}))
		add("grid "+c.name, best(3, func() {
			if _, err := s.SurfaceGrid(context.Background(), 0, Box{-3, -3, 15, 12}, .5); err != nil {
				t.Fatal(err)
			}
		}))
	}
	var f *Fixes
	add("candidates", best(3, func() { f = fixes(t, soil.Single(150), compoundA(8*ft), sixteen(), Options{}) }))
	add("candidates elements", float64(f.Elements()))
	add("greedy", best(3, func() {
		if _, err := f.Greedy(context.Background(), 5, ByMoney); err != nil {
			t.Fatal(err)
		}
	}))
	var c Choice
	add("exact", best(1, func() {
		var err error
		if c, err = f.Exact(context.Background(), 5, ByMoney); err != nil {
			t.Fatal(err)
		}
	}))
	add("exact sets", float64(c.Looked))
	return out
}

// TestPerformanceFigures prints the figures for TestPerformancePage.
func TestPerformanceFigures(t *testing.T) {
	if os.Getenv("PRINT_FIGURES") == "" {
		t.Skip("prints figures only where PRINT_FIGURES is set")
	}
	for _, f := range figures(t) {
		fmt.Printf("figure\t%s\t%g\n", f.name, f.v)
	}
}

// TestPerformanceRod prints the field solution of the rod of bench/fem.sh, its
// elements and the time in s.
func TestPerformanceRod(t *testing.T) {
	if os.Getenv("PRINT_FIGURES") == "" {
		t.Skip("prints figures only where PRINT_FIGURES is set")
	}
	var s *Solution
	ms := best(20, func() {
		s = solve(t, soil.TwoLayer(100, 900, 1.5), Options{}, Electrode{"rod", []Wire{rod(0, 0, 0, 2.4384, half)}})
	})
	fmt.Printf("rod\t%.5f\t%d\t%.4f\n", float64(s.Resistance(0)), s.Elements(), ms/1000)
}

// wasmFigures runs the figures under js/wasm.
func wasmFigures(t *testing.T) map[string]float64 {
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("go", "test", "-v", "-run", "PerformanceFigures", "-exec", filepath.Join(strings.TrimSpace(string(root)), "lib/wasm/go_js_wasm_exec"), ".")
	// Node hands its whole environment to the program, which has room for little.
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "HOME=" + os.Getenv("HOME"), "GOFLAGS=" + os.Getenv("GOFLAGS"), "GOOS=js", "GOARCH=wasm", "PRINT_FIGURES=1"}
	text, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	out := map[string]float64{}
	for line := range strings.Lines(string(text)) {
		if p := strings.Split(strings.TrimSpace(line), "\t"); len(p) == 3 && p[0] == "figure" {
			if out[p[1]], err = strconv.ParseFloat(p[2], 64); err != nil {
				t.Fatal(err)
			}
		}
	}
	if len(out) == 0 {
		t.Fatalf("no figures in\n%s", text)
	}
	return out
}

func machine() string {
	name := "unknown processor"
	if b, err := os.ReadFile("/proc/cpuinfo"); err == nil {
		for line := range bytes.Lines(b) {
			if k, v, ok := strings.Cut(string(line), ":"); ok && strings.TrimSpace(k) == "model name" {
				name = strings.TrimSpace(v)
				break
			}
		}
	}
	return fmt.Sprintf("%s, %d logical processors, %s/%s, %s", name, runtime.NumCPU(), runtime.GOOS, runtime.GOARCH, runtime.Version())
}

// TestPerformancePage measures and writes docs/performance.md. Times belong to
// the machine that is named on the page, so that nothing compares them.
func TestPerformancePage(t *testing.T) {
	if os.Getenv("UPDATE_DOCS") == "" || runtime.GOOS == "js" {
		t.Skip("writes docs/performance.md only where UPDATE_DOCS is set")
	}
	native := map[string]float64{}
	for _, f := range figures(t) {
		native[f.name] = f.v
	}
	wasm := wasmFigures(t)
	var b strings.Builder
	p := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	p("# Performance of the field solution")
	p("")
	p("Written by `UPDATE_DOCS=1 go test ./trade/ground -run PerformancePage`. Best of several runs; the machine may have been")
	p("shared. Fills and factors use as many processors as there are; the result has the same bytes for any number of them.")
	p("js/wasm runs under Node.js on one processor.")
	p("")
	p("Machine: %s.", machine())
	p("")
	p("## Factor of a dense symmetric matrix")
	p("")
	p("Ours goes by panels and tiles in plain Go, without assembly; a test holds the bytes of the factor on every platform.")
	p("\"Row by row\" is the textbook loop; gonum is the general-purpose library, whose kernels are assembly on amd64 and plain Go")
	p("under wasm.")
	p("Ratios are times of the other over ours: above 1, ours is faster.")
	p("")
	p("| elements | ours, ms | row by row, ms | gonum, ms | row by row / ours | gonum / ours | wasm ours, ms | wasm gonum, ms | wasm gonum / ours | wasm / native |")
	p("|---:|---:|---:|---:|---:|---:|---:|---:|---:|---:|")
	for _, n := range []int{300, 600, 900, 1500} {
		o, r, g := native[fmt.Sprintf("factor %d ours", n)], native[fmt.Sprintf("factor %d rows", n)], native[fmt.Sprintf("factor %d gonum", n)]
		wo, wg := wasm[fmt.Sprintf("factor %d ours", n)], wasm[fmt.Sprintf("factor %d gonum", n)]
		p("| %d | %.1f | %.1f | %.1f | %.2f | %.2f | %.1f | %.1f | %.2f | %.1f |", n, o, r, g, r/o, g/o, wo, wg, wg/wo, wo/o)
	}
	p("")
	p("## A ring of 36 by 26 ft with six rods")
	p("")
	p("Solve is everything from coordinates to resistance: mesh, images of the soil, fill and factor. Edit changes the length of one")
	p("rod in a solved electrode. The grid is the surface potential at %d points.", 37*31)
	p("")
	p("| soil | elements | solve, ms | fill, ns a pair | edit one rod, ms | grid, ms | wasm solve, ms | wasm fill, ns a pair | wasm edit, ms | wasm grid, ms |")
	p("|---|---:|---:|---:|---:|---:|---:|---:|---:|---:|")
	for _, s := range []string{"uniform", "two layers", "three layers"} {
		p("| %s | %.0f | %.1f | %.0f | %.1f | %.1f | %.1f | %.0f | %.1f | %.1f |", s, native["elements "+s], native["solve "+s], native["fill "+s], native["edit "+s], native["grid "+s], wasm["solve "+s], wasm["fill "+s], wasm["edit "+s], wasm["grid "+s])
	}
	p("")
	p("Large systems, a meshed ground in two layers (once; native):")
	p("")
	p("| elements | memory of the matrix, MB | solve, s |")
	p("|---:|---:|---:|")
	for _, k := range []int{6, 9, 15} {
		var s *Solution
		ms := best(1, func() {
			s = solve(t, soil.TwoLayer(300, 100, 2), Options{MaxLength: 1.4}, Electrode{"A", squareGrid(k+1, k+1, 7, nil, 0)})
		})
		n := float64(s.Elements())
		p("| %.0f | %.0f | %.2f |", n, n*n/2*8/1e6, ms/1000)
	}
	p("")
	p("## Least-cost set of sixteen candidates")
	p("")
	p("Two longer rods at each of six places and a radial with an end rod at each corner; %.0f elements with the electrode. The exact", native["candidates elements"])
	p("search solved %.0f sets of 65,536.", native["exact sets"])
	p("")
	p("| | native, ms | wasm, ms |")
	p("|---|---:|---:|")
	for _, s := range [][2]string{{"candidates", "interaction of all, once"}, {"greedy", "greedy set"}, {"exact", "cheapest set, proven"}} {
		p("| %s | %.1f | %.1f |", s[1], native[s[0]], wasm[s[0]])
	}
	p("")
	p("## Beside finite elements")
	p("")
	_, errMesh := exec.LookPath("gmsh")
	_, errSolve := exec.LookPath("getdp")
	if errMesh != nil || errSolve != nil {
		p("`bench/fem.sh` was not run: gmsh and getdp are not installed here.")
	} else {
		text, err := exec.Command("../../bench/fem.sh").Output()
		if err != nil {
			t.Fatal(err)
		}
		p("`bench/fem.sh`: an 8 ft rod of 5/8 in from the surface in 1.5 m of 100 ohm-m over 900 ohm-m, against 76.65765 ohm, a value")
		p("of other finite elements and another integral equation with a doubt of 0.02 %%. First-order triangles, one processor.")
		p("")
		p("```")
		b.Write(text)
		p("```")
	}
	if err := os.WriteFile("../../docs/performance.md", []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}
