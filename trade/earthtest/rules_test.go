package earthtest

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/unit"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Abs(want)) {
		t.Errorf("%s: %.5g, want %.5g within %g", what, got, want, tol)
	}
}

// Expected values and tolerances are in the file, with where each is from. One
// entry's own value is from memory to four digits, 0.6432; the printed table
// has 0.643.
func TestFigures(t *testing.T) {
	raw, err := os.ReadFile("testdata/fall.json")
	if err != nil {
		t.Fatal(err)
	}
	var entries []struct {
		ID     string
		Config struct {
			Mu    float64
			Share float64 `json:"P/D"`
		}
		Expected, Tol float64
		Source        string
	}
	if err := json.Unmarshal(raw, &entries); err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		var got float64
		switch {
		case e.ID == "FOP-618":
			got = TrueShare(0)
		case strings.HasPrefix(e.ID, "FOP-ERR"):
			got = float64(HemisphereError(1, 10, unit.Metre(10*e.Config.Share)))
		case strings.HasPrefix(e.ID, "TAGG-MU"):
			got, _ = SlopeShare(e.Config.Mu)
		default:
			t.Errorf("%s: no mapping", e.ID)
			continue
		}
		near(t, e.ID, got, e.Expected, e.Tol)
	}
	if len(entries) != 9 {
		t.Errorf("%d entries", len(entries))
	}
}

func TestFormulas(t *testing.T) {
	for _, f := range Formulas {
		for _, c := range f.Checks {
			got := c.Got()
			d := math.Abs(got - c.Want)
			if !c.Abs {
				d /= math.Abs(c.Want)
			}
			if !(d <= c.Tol) {
				t.Errorf("%s, %s: %v, want %v", f.ID, c.Name, got, c.Want)
			}
		}
	}
}

// The place of the slope method by bisection of the exact condition, without
// the closed form.
func TestTrueShareAgainstTheCondition(t *testing.T) {
	for _, x := range []float64{-0.15, -0.05, 0, 0.1, 0.4, 1, 1.5} {
		lo, hi := math.Max(1e-9, -x+1e-9), 1-1e-9
		for range 100 {
			p := (lo + hi) / 2
			if 1/(p+x)+1/(1+x) > 1/(1-p) {
				lo = p
			} else {
				hi = p
			}
		}
		if got := TrueShare(x); math.Abs(got-lo) > 1e-8 {
			t.Errorf("x %v: %v, want %v", x, got, lo)
		}
	}
	if !math.IsNaN(TrueShare(-1)) {
		t.Error("a center beyond the outer stake")
	}
}

// mu rises with the offset over the whole range, so that the bisection has one
// answer; outside it there is none.
func TestSlopeRange(t *testing.T) {
	last := 0.0
	for x := -0.19; x < 1.62; x += 0.001 {
		m := offsetSlope(x)
		if m <= last {
			t.Fatalf("mu falls at %v", x)
		}
		last = m
	}
	for _, mu := range []float64{0, -1, 1.87, 3, math.NaN(), math.Inf(1)} {
		if s, _ := SlopeShare(mu); !math.IsNaN(s) {
			t.Errorf("mu %v gives %v", mu, s)
		}
	}
}

func line(stake float64, r func(p float64) unit.Ohm, shares ...float64) []Reading {
	var out []Reading
	for _, s := range shares {
		out = append(out, Reading{At: unit.Metre(s * stake), Ohm: r(s * stake)})
	}
	return out
}

// For a hemisphere the slope method is exact whatever the offset of the zero,
// and so are the values between readings: drawn radii, offsets and leads.
func TestSlopeOfHemisphere(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		radius := rapid.Float64Range(0.5, 10).Draw(rt, "radius")
		stake := radius * rapid.Float64Range(4, 60).Draw(rt, "lead")
		x := radius * rapid.Float64Range(0, 1.5).Draw(rt, "offset")
		rho := rapid.Float64Range(5, 5000).Draw(rt, "rho")
		at := func(p float64) unit.Ohm {
			return HemisphereReading(unit.OhmMetre(rho), unit.Metre(radius), unit.Metre(x), unit.Metre(stake), unit.Metre(p))
		}
		want := rho / (2 * math.Pi * radius)
		c := newCurve(unit.Metre(stake), line(stake, at, 0.2, 0.4, 0.5, 0.6, 0.7))
		got := rule(c.at)
		if got.howAll == NotKnown {
			if s := TrueShare(x / stake); s > 0.15 {
				rt.Fatalf("not read at %v", s)
			}
			return
		}
		if math.Abs(float64(got.slope)/want-1) > 1e-5 {
			rt.Errorf("slope %v, want %v", got.slope, want)
		}
		p := 0.618 * stake
		sixty := want * (1 + radius*(1/(stake-p)-1/(p+x)-1/(stake+x)))
		if math.Abs(float64(got.sixty)/sixty-1) > 1e-5 {
			rt.Errorf("62 %% rule %v, want %v", got.sixty, sixty)
		}
	})
}

// What lies too far from readings is not made up.
func TestNotKnown(t *testing.T) {
	rs := []Reading{{At: 35, Ohm: 3.92}, {At: 70, Ohm: 5.32}}
	c := newCurve(100, rs)
	for _, s := range []float64{0.2, 0.5, 0.618, 0.8} {
		if v, how := c.at(s); how != NotKnown {
			t.Errorf("%v: %v %v", s, v, how)
		}
	}
	if v, how := c.at(0.35); how != Read || v != 3.92 {
		t.Errorf("%v %v", v, how)
	}
	if _, how := c.at(0.72); how != Beyond {
		t.Errorf("just past the last reading: %v", how)
	}
	if _, how := newCurve(100, nil).at(0.5); how != NotKnown {
		t.Error("a curve of nothing")
	}
	// Two readings of one place count as their mean.
	if v, _ := newCurve(100, []Reading{{At: 20, Ohm: 3}, {At: 20, Ohm: 4}, {At: 40, Ohm: 5}}).at(0.2); v != 3.5 {
		t.Errorf("read twice: %v", v)
	}
}
