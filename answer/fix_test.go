package answer_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"stubup/trade/ground"
)

const rocky = "    - resistivity: 100 ohm-m\n"

// with150 is the reference compound in 150 ohm-m, 7.0 ohm, with what the user
// pays.
func with150(t testing.TB, prices, hours string) []string {
	t.Helper()
	f := book(with(t, prices+hours, rocky, "    - resistivity: 150 ohm-m\n")).Fixes(5)
	if len(f.Set) == 0 {
		t.Fatal(f.Missing)
	}
	return f.Set
}

// The user's prices and hours decide, by hand: a 20 ft radial with an 8 ft rod
// is 20 ft of conductor, 20 ft of trench, 8 ft of rod and two joints; rods of 20
// ft in six places are 72 ft more of rod and no joint.
func TestFixesByMoney(t *testing.T) {
	const hours = "hours:\n  welded joint: 30 min each\n  trench: 6 min per ft\n  driven rod: 3 min per ft\n"
	const prices = "prices:\n  2 AWG solid tinned copper: 2 per ft\n  ground rod: 4 per ft\n  welded joint: 15 each\n  labor: 80 per hour\n"
	f := book(with(t, prices+hours, rocky, "    - resistivity: 150 ohm-m\n")).Fixes(5)
	if f.By != ground.ByMoney || !f.Money.Known || !f.Hours.Known {
		t.Fatalf("decided by %v, unsaid %v", f.By, f.Unsaid)
	}
	found := 0
	for _, s := range f.Singles {
		switch {
		case strings.HasPrefix(s.Words, "20'-0\" rods in all 6"):
			found++
			close1(t, "hours of the rods", s.Hours.Value, 72*3/60., 1e-9)
			close1(t, "money of the rods", s.Money.Value, 72*4+72*3/60.*80, 1e-9)
		case strings.HasPrefix(s.Words, "20'-0\" radial out from corner 1"):
			found++
			h := 20*6/60. + 8*3/60. + 2*0.5
			close1(t, "hours of a radial", s.Hours.Value, h, 1e-9)
			close1(t, "money of a radial", s.Money.Value, 20*2+8*4+2*15+h*80, 1e-9)
		}
	}
	if found != 2 {
		t.Errorf("%d of the two are offered", found)
	}
	// A ready trench price takes the place of its hours.
	g := book(with(t, prices+"  trench: 1 per ft\n"+hours, rocky, "    - resistivity: 150 ohm-m\n")).Fixes(5)
	for _, s := range g.Singles {
		if strings.HasPrefix(s.Words, "20'-0\" radial out from corner 1") {
			close1(t, "with a trench price", s.Money.Value, 20*2+8*4+2*15+20*1+(8*3/60.+1)*80, 1e-9)
		}
	}
	// Twin: where rods are dear radials make the set, where trench is dear rods do.
	rods := func(set []string) bool {
		return slices.ContainsFunc(set, func(w string) bool { return strings.Contains(w, "rods in all") })
	}
	dear := with150(t, strings.Replace(prices, "ground rod: 4", "ground rod: 90", 1), hours)
	cheap := with150(t, strings.Replace(prices, "ground rod: 4", "ground rod: 1", 1), strings.Replace(hours, "6 min", "60 min", 1))
	if rods(dear) || !rods(cheap) {
		t.Errorf("dear rods: %v; dear trench: %v", dear, cheap)
	}
}

// Without one of the prices money is not known, and hours decide; without an
// hour, feet. Nothing absent counts as zero.
func TestFixesFallBack(t *testing.T) {
	const hours = "hours:\n  welded joint: 30 min each\n  trench: 6 min per ft\n  driven rod: 3 min per ft\n"
	change := []string{rocky, "    - resistivity: 150 ohm-m\n"}
	f := book(with(t, hours, change...)).Fixes(5)
	if f.By != ground.ByHours || f.Money.Known || !f.Hours.Known || len(f.Unsaid) == 0 {
		t.Errorf("by %v, money %v, unsaid %v", f.By, f.Money, f.Unsaid)
	}
	f = book(with(t, "hours:\n  trench: 6 min per ft\n", change...)).Fixes(5)
	if f.By != ground.ByFeet || f.Hours.Known {
		t.Errorf("by %v, hours %v", f.By, f.Hours)
	}
	for _, s := range f.Singles {
		if s.Hours.Known || s.Money.Known || math.IsNaN(s.Hours.Value) {
			t.Errorf("%s: %v", s.Words, s.Hours)
		}
	}
}
