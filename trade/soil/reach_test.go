package soil

import (
	"math"
	"math/rand/v2"
	"testing"

	"stubup/base/unit"
)

var reachSpacings = []unit.Metre{0.5, 1, 1.5, 2, 3, 4, 6, 8, 12}

// surveyOf reads a model on two lines with the scatter that Fit takes for
// granted.
func surveyOf(t *testing.T, m Model, rng *rand.Rand) []Point {
	t.Helper()
	var ps []Point
	for _, line := range []string{"A", "B"} {
		factor := math.Exp(float64(LateralNoise) * rng.NormFloat64())
		for _, a := range reachSpacings {
			w, err := m.Wenner(a)
			if err != nil {
				t.Fatal(err)
			}
			ps = append(ps, Point{WennerSetting(a), unit.OhmMetre(float64(w) * factor * math.Exp(float64(ReadingNoise)*rng.NormFloat64())), line})
		}
	}
	return ps
}

// The band is a promise: of simulated surveys nine in ten hold the true curve
// at a spacing. The share of 60 of them scatters by 4 % about that, so 80 to
// 99 %.
func TestReachHoldsTheTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 7))
	for _, m := range []Model{TwoLayer(500, 50, 1.5), TwoLayer(60, 400, 2)} {
		at := []Setting{WennerSetting(0.7), WennerSetting(2.5), WennerSetting(10)}
		held := make([]int, len(at))
		const surveys = 60
		for range surveys {
			ps := surveyOf(t, m, rng)
			f, err := Fit(ps, Options{Layers: len(m)})
			if err != nil {
				t.Fatal(err)
			}
			band, err := f.Reach(ps, at)
			if err != nil {
				t.Fatal(err)
			}
			for i, s := range at {
				truth, err := m.Wenner(s.Spacing())
				if err != nil {
					t.Fatal(err)
				}
				if band[i].Low <= float64(truth) && float64(truth) <= band[i].High {
					held[i]++
				}
			}
		}
		for i, n := range held {
			if share := float64(n) / surveys; share < 0.80 || share > 0.99 {
				t.Errorf("%v at %.1f m: %.0f %% of the bands hold the true curve", m, float64(at[i].Spacing()), 100*share)
			}
		}
	}
}

// Two ways to the same end: far below the smallest spacing a survey reads the
// top layer alone, and far beyond the widest the bottom one, so there the band
// is the interval of that layer, which comes from the profile of the
// likelihood and not from slopes.
func TestReachEndsInTheLayers(t *testing.T) {
	ps := surveyOf(t, TwoLayer(500, 50, 1.5), rand.New(rand.NewPCG(3, 4)))
	f, err := Fit(ps, Options{Layers: 2})
	if err != nil {
		t.Fatal(err)
	}
	band, err := f.Reach(ps, []Setting{WennerSetting(0.01), WennerSetting(2000)})
	if err != nil {
		t.Fatal(err)
	}
	for i, k := range f.Known {
		if got, want := band[i].Width(), k.Resistivity.Width(); math.Abs(got/want-1) > 0.15 {
			t.Errorf("layer %d: band %.3f wide in logarithms, the layer's interval %.3f", i+1, got, want)
		}
	}
}

// One layer and one line can be done by hand: the line's factor and the mean of
// n readings, 2 z sqrt(tau^2 + s^2/n) wide. A reading set aside does not count.
func TestReachByHand(t *testing.T) {
	ps := surveyOf(t, Single(100), rand.New(rand.NewPCG(3, 4)))[:len(reachSpacings)]
	at := []Setting{WennerSetting(2.5)}
	for _, bad := range []int{0, 1} {
		for i := range bad {
			ps[3+i].Apparent *= 3
		}
		f, err := Fit(ps, Options{Layers: 1, Noise: 0.2})
		if err != nil || len(f.Flagged) != bad {
			t.Fatalf("%v %+v", err, f.Flagged)
		}
		b, err := f.Reach(ps, at)
		if err != nil {
			t.Fatal(err)
		}
		n := float64(len(ps) - bad)
		if want := 2 * 1.6449 * math.Sqrt(0.08*0.08+float64(f.Noise*f.Noise)/n); math.Abs(b[0].Width()/want-1) > 1e-3 {
			t.Errorf("band %.4f wide, by hand %.4f", b[0].Width(), want)
		}
	}
	if _, err := (Fitted{}).Reach(nil, at); err == nil {
		t.Error("a band out of nothing")
	}
}
