package answer_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"stubup/answer"
	"stubup/base/unit"
	"stubup/trade/ground"
	"stubup/trade/soil"
)

// bruteForce returns the ends of the 90 % interval by sums over a grid of
// soils, of resistivities and of factors.
func bruteForce(t *testing.T, b *answer.Book) (low, high float64) {
	p := b.Plan
	type sample struct{ w, ln float64 }
	var all []sample
	const reading, rodReading, rodFactor, floor = 0.05, 0.03, 0.10, 0.05
	ring := answer.Wires(p, answer.Electrode{})
	for x := -math.Log(50); x <= math.Log(50)+1e-9; x += math.Log(50) / 12 {
		for y := math.Log(0.3); y <= math.Log(30)+1e-9; y += math.Log(100) / 22 {
			m := soil.TwoLayer(1, unit.OhmMetre(math.Exp(x)), unit.Metre(math.Exp(y)))
			es := []ground.Electrode{{ID: "ring", Wires: ring}}
			// One rod of each length, a mile apart, so that none knows of another.
			at := map[string]int{}
			for _, s := range p.Site.State.Rods {
				for _, l := range s.Log {
					if _, ok := at[l.Driven.Text]; !ok {
						at[l.Driven.Text] = len(es)
						r := p.RodByID(s.Rod)
						es = append(es, ground.Electrode{ID: l.Driven.Text, Wires: []ground.Wire{ground.Rod([3]float64{1600 * float64(len(es)), 0, float64(r.Top)}, float64(l.Driven.SI), float64(r.Radius), 0, 0)}})
					}
				}
			}
			sol, err := ground.Solve(context.Background(), m, es, ground.Options{MaxLength: 2})
			if err != nil {
				t.Fatal(err)
			}
			// Residuals at rho = 1, by group.
			type group struct {
				r    []float64
				s, c float64
				rod  bool
			}
			g := []group{{s: reading}}
			for _, q := range p.Site.Soil.Readings {
				rho, err := m.Wenner(q.Spacing.SI)
				if err != nil {
					t.Fatal(err)
				}
				g[0].r = append(g[0].r, math.Log(2*math.Pi*float64(q.Spacing.SI)*float64(q.Ohms.SI)/float64(rho)))
			}
			for _, s := range p.Site.State.Rods {
				k := group{s: rodReading, c: rodFactor, rod: true}
				for _, l := range s.Log {
					k.r = append(k.r, math.Log(float64(l.Ohms.SI)/float64(sol.Resistance(at[l.Driven.Text]))))
				}
				g = append(g, k)
			}
			ln := math.Log(float64(sol.Resistance(0)))
			for _, lateral := range []float64{0.08, 0.15} {
				for lnRho := math.Log(20); lnRho < math.Log(400); lnRho += 0.05 {
					w := 1.0
					for _, k := range g {
						c := k.c
						if !k.rod {
							c = lateral
						}
						sum := 0.0
						for d := -4.0; d <= 4; d += 0.2 {
							q := d * d
							for _, r := range k.r {
								z := (r - lnRho - c*d) / k.s
								q += z * z
							}
							sum += math.Exp(-q / 2)
						}
						w *= sum
					}
					if w > 0 {
						all = append(all, sample{w, ln + lnRho})
					}
				}
			}
		}
	}
	slices.SortFunc(all, func(a, b sample) int {
		if a.ln < b.ln {
			return -1
		}
		return 1
	})
	total := 0.0
	for _, s := range all {
		total += s.w
	}
	at := func(p float64) float64 {
		lo, hi := all[0].ln-1, all[len(all)-1].ln+1
		for range 50 {
			mid := (lo + hi) / 2
			sum := 0.0
			for _, s := range all {
				sum += s.w * math.Erfc((s.ln-mid)/floor/math.Sqrt2) / 2
			}
			if sum < p*total {
				lo = mid
			} else {
				hi = mid
			}
		}
		return math.Exp((lo + hi) / 2)
	}
	return at(0.05), at(0.95)
}
