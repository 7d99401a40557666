package stock

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/unit"
)

func TestCouple(t *testing.T) {
	zone := func(a, b float64) Zone { return Zone{unit.Metre(a) * ft, unit.Metre(b) * ft} }
	for _, c := range []struct {
		length, shortest float64
		zones            []Zone
		ends             []float64
		over             int
	}{
		{9, 0, nil, []float64{9}, 0},
		{25, 0, nil, []float64{10, 20, 25}, 0},
		// 20 ft and a hair: the last piece would be 0.1 ft. Two cut sticks do.
		{20.1, 0.5, nil, []float64{10, 19.6, 20.1}, 0},
		{20.1, 0, nil, []float64{10, 20, 20.1}, 0},
		// A bend from 8 to 12 ft: three pieces either way. As far as can be from
		// the start, 8 + 10 + 7, cuts two sticks; 5 + 10 + 10 cuts one.
		{25, 0, []Zone{zone(8, 12)}, []float64{5, 15, 25}, 0},
		// 8 + 10 + 2: one stick less cut up than 8 + 4 + 8.
		{20, 0, []Zone{zone(8, 12)}, []float64{8, 18, 20}, 0},
		// Zones that touch may be coupled where they touch, but a whole stick
		// is better.
		{12, 0, []Zone{zone(2, 7), zone(7, 11)}, []float64{2, 12}, 0},
		{12, 0, []Zone{zone(1, 7), zone(7, 11)}, []float64{7, 12}, 0},
		// A bend longer than a stick.
		{30, 0, []Zone{zone(5, 17)}, []float64{5, 17, 27, 30}, 1},
	} {
		got, err := Couple(unit.Metre(c.length)*ft, 10*ft, unit.Metre(c.shortest)*ft, c.zones)
		if err != nil || len(got.Ends) != len(c.ends) || got.Over != c.over || got.Couplings != len(c.ends)-1 {
			t.Errorf("%v %v: %+v %v", c.length, c.zones, got, err)
			continue
		}
		for i, e := range c.ends {
			if math.Abs(got.Ends[i].Ft()-e) > 1e-6 {
				t.Errorf("%v %v: end %d at %v ft, want %v", c.length, c.zones, i, got.Ends[i].Ft(), e)
			}
		}
	}
	for _, bad := range []unit.Metre{0, -1, unit.Metre(math.NaN()), unit.Metre(math.Inf(1))} {
		if _, err := Couple(bad, 10*ft, 0, nil); err == nil {
			t.Errorf("a length of %v passes", bad)
		}
		if _, err := Couple(10, bad, 0, nil); err == nil {
			t.Errorf("a stick of %v passes", bad)
		}
	}
}

// Against every set of couplings on whole feet. All figures of the case are
// whole feet, and then the best is among them.
func TestCoupleAgainstEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		length := rapid.IntRange(1, 24).Draw(t, "length")
		stick := rapid.IntRange(5, 8).Draw(t, "stick")
		shortest := rapid.IntRange(0, 2).Draw(t, "shortest")
		var zones []Zone
		no := make([]bool, length+1)
		for range rapid.IntRange(0, 3).Draw(t, "zones") {
			a := rapid.IntRange(0, length).Draw(t, "from")
			b := min(length, a+rapid.IntRange(1, 5).Draw(t, "long"))
			zones = append(zones, Zone{unit.Metre(a) * ft, unit.Metre(b) * ft})
			for x := a + 1; x < b; x++ {
				no[x] = true
			}
			// No coupling in the middle of the foot either: one more reason to
			// look at whole feet only.
		}
		type score struct {
			pieces, short, cuts int
			spread              float64
		}
		better := func(a, b score) bool {
			switch {
			case a.pieces != b.pieces:
				return a.pieces < b.pieces
			case a.short != b.short:
				return a.short < b.short
			case a.cuts != b.cuts:
				return a.cuts < b.cuts
			}
			return a.spread > b.spread+1e-9
		}
		best, found := score{pieces: math.MaxInt}, false
		var try func(at int, s score)
		try = func(at int, s score) {
			if at == length {
				if better(s, best) {
					best, found = s, true
				}
				return
			}
			for to := at + 1; to <= min(length, at+stick); to++ {
				if no[to] && to < length {
					continue
				}
				n := s
				n.pieces++
				if l := to - at; l < stick {
					n.cuts++
					n.spread += float64((stick - l) * (stick - l))
				}
				if to-at < shortest {
					n.short++
				}
				try(to, n)
			}
		}
		try(0, score{})
		got, err := Couple(unit.Metre(length)*ft, unit.Metre(stick)*ft, unit.Metre(shortest)*ft, zones)
		if err != nil {
			t.Fatal(err)
		}
		if !found {
			if got.Over == 0 {
				t.Fatalf("%+v where no make-up is", got)
			}
			return
		}
		spread, at := 0.0, unit.Metre(0)
		for _, e := range got.Ends {
			if l := (e - at).Ft(); l < float64(stick)-1e-6 {
				spread += (float64(stick) - l) * (float64(stick) - l)
			}
			at = e
		}
		if got.Over != 0 || len(got.Ends) != best.pieces || got.Short != best.short || got.Cuts != best.cuts || math.Abs(spread-best.spread) > 1e-5 {
			t.Fatalf("%d of %d, %v: %+v (%v), best %+v", length, stick, zones, got, spread, best)
		}
	})
}
