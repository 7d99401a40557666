package ground

import (
	"errors"
	"math"
	"testing"

	"stubup/trade/soil"
)

func TestShapes(t *testing.T) {
	u := soil.Single(100)
	if got, want := one(t, u, Rod([3]float64{1, 2, .762}, 3.048, half, 0, 0)), one(t, u, rod(1, 2, .762, 3.048, half)); got != want {
		t.Errorf("upright %v, want %v", got, want)
	}
	// Slanted by 45 degrees it is between upright and flat, and its bearing is
	// nothing in even soil.
	up, flat := one(t, u, Rod([3]float64{0, 0, .762}, 2.4, half, 0, 0)), one(t, u, Rod([3]float64{0, 0, .762}, 2.4, half, math.Pi/2, 0))
	a, b := one(t, u, Rod([3]float64{0, 0, .762}, 2.4, half, math.Pi/4, 0)), one(t, u, Rod([3]float64{0, 0, .762}, 2.4, half, math.Pi/4, 2))
	if rel(a, b) > 1e-9 || a <= up || a >= flat {
		t.Errorf("upright %v, slanted %v and %v, flat %v", up, a, b, flat)
	}
	// Sections of one radius are one rod; a thicker coupling lowers R a little.
	whole := one(t, u, rod(0, 0, 0, 4.8, half))
	joined := one(t, u, SectionalRod([3]float64{}, Section{2.4, half}, Section{2.4, half})...)
	coupled := one(t, u, SectionalRod([3]float64{}, Section{2.36, half}, Section{.08, .0125}, Section{2.36, half})...)
	thick := one(t, u, rod(0, 0, 0, 4.8, .0125))
	if rel(joined, whole) > 1e-12 || coupled > whole*1.002 || coupled < thick {
		t.Errorf("whole %v, two sections %v, with a coupling %v, all as thick as it %v", whole, joined, coupled, thick)
	}
	if w, err := Longer(rod(0, 0, 0, 2.4, half), 4.8); err != nil || rel(one(t, u, w), whole) > 1e-12 {
		t.Errorf("driven on: %v", err)
	}
	for _, bad := range []float64{2.4, 1, math.NaN(), math.Inf(1)} {
		var e *Error
		if _, err := Longer(rod(0, 0, 0, 2.4, half), bad); !errors.As(err, &e) || e.Mend == "" {
			t.Errorf("driven on to %v: %v", bad, err)
		}
	}
	// Two radials outward with 8 ft end rods at 150 ohm-m: 5.66 ohm (two
	// independent programs, 1 %).
	two := compoundA(8 * ft)
	two = append(two, Radial([3]float64{2 * ft, 2 * ft, .762}, -3*math.Pi/4, 20*ft, awg2, Section{8 * ft, half})...)
	two = append(two, Radial([3]float64{38 * ft, 28 * ft, .762}, math.Pi/4, 20*ft, awg2, Section{8 * ft, half})...)
	if got := one(t, soil.Single(150), two...); rel(got, 5.66) > .01 {
		t.Errorf("two radials %v", got)
	}
	// An arc of a full turn is Dwight's ring of 50 ft (field value 4.4928 of an
	// independent program, within 0.4 %).
	w, err := Arc([3]float64{3, 4, .762}, 7.62, 0, 2*math.Pi, awg2, .005)
	if err != nil {
		t.Fatal(err)
	}
	if got := one(t, u, w); rel(got, 4.4928) > .004 {
		t.Errorf("ring %v", got)
	}
	for _, p := range w.Path {
		if math.Abs(math.Hypot(p[0]-3, p[1]-4)-7.62) > 1e-9 {
			t.Errorf("a corner off the arc: %v", p)
		}
	}
	for _, bad := range [][4]float64{{0, 0, 1, .01}, {1, 0, 0, .01}, {1, 0, 7, .01}, {1, 0, 1, 0}, {math.NaN(), 0, 1, .01}, {1000, 0, 6, 1e-9}} {
		var e *Error
		if _, err := Arc([3]float64{}, bad[0], bad[1], bad[2], awg2, bad[3]); !errors.As(err, &e) || e.Mend == "" {
			t.Errorf("%v: %v", bad, err)
		}
	}
}
