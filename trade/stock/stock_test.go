package stock

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/unit"
)

const ft = unit.Foot

// The takeoff of a compound with 44 welds, worked by hand: 10 percent spares,
// at least one, pooled over the joints that share a charge, then packs of ten.
func TestTakeoff(t *testing.T) {
	lines := Takeoff([]Need{{"45 g", "tap", 23}, {"90 g", "cable-through-to-rod", 6}, {"45 g", "inline splice", 1}, {"115 g", "cable-to-pipe", 10}, {"115 g", "cable-to-flat", 4}},
		0.10, map[string]int{"45 g": 10, "90 g": 10, "115 g": 10})
	want := []struct {
		item                    string
		count, spare, buy, pack int
	}{{"45 g", 24, 3, 27, 3}, {"90 g", 6, 1, 7, 1}, {"115 g", 14, 2, 16, 2}}
	if len(lines) != len(want) {
		t.Fatalf("%+v", lines)
	}
	for i, w := range want {
		l := lines[i]
		if l.Item != w.item || l.Count != w.count || l.Spare != w.spare || l.Buy != w.buy || l.Packs != w.pack || l.Over != w.pack*10-w.buy {
			t.Errorf("%+v, want %+v", l, w)
		}
	}
	if len(lines[0].For) != 2 {
		t.Errorf("%+v", lines[0].For)
	}
	// Without the pack of a supplier no packs are made up.
	if l := Takeoff([]Need{{"45 g", "tap", 1}}, 0.1, nil); l[0].Packs != 0 || l[0].Buy != 2 {
		t.Errorf("%+v", l)
	}
	if l := Takeoff([]Need{{"45 g", "tap", 0}}, 0.1, nil); l[0].Buy != 0 {
		t.Errorf("%+v", l)
	}
	// An exact tenth is not rounded up because the machine holds it high.
	for n := 10; n <= 1000; n += 10 {
		if s := Spares(n, 0.10); s != n/10 {
			t.Errorf("%d spares of %d", s, n)
		}
	}
}

// A reject at the ninth of 23 shots leaves 15 joints and 14 charges; a second
// at the fifteenth leaves 10 and 8.
func TestShort(t *testing.T) {
	if Short(15, 23-9) != 1 || Short(10, 23-15) != 2 || Short(3, -1) != 4 || Short(1, 3) != -2 {
		t.Error("short")
	}
	if ShortBy(1, 0, 3) != -2 || ShortBy(2, 2, 3) != 1 {
		t.Error("short by")
	}
}

// 352 ft and 10 percent: 387.2, asked as 388, from 400 ft put-ups.
func TestConductor(t *testing.T) {
	p, err := Conductor(352*ft, 0.10, []unit.Metre{400 * ft}, 124*ft)
	if err != nil || len(p.Lengths) != 1 || math.Abs(p.Total.Ft()-400) > 1e-9 || math.Abs(p.Exact.Ft()-387.2) > 1e-9 || math.Abs(p.Asked.Ft()-388) > 1e-9 || math.Abs(p.Over.Ft()-12) > 1e-9 {
		t.Errorf("%+v %v", p, err)
	}
	// 250 + 150 beats 500; a 100 is not offered where one piece needs 124.
	p, err = Conductor(352*ft, 0.10, []unit.Metre{500 * ft, 100 * ft, 250 * ft, 150 * ft}, 124*ft)
	if err != nil || len(p.Lengths) != 2 || math.Abs(p.Lengths[0].Ft()-250) > 1e-9 || math.Abs(p.Total.Ft()-400) > 1e-9 {
		t.Errorf("%+v %v", p, err)
	}
	// A whole number of feet is not raised by the machine's last bit.
	p, _ = Conductor(100*ft, 0.10, nil, 0)
	if math.Abs(p.Asked.Ft()-110) > 1e-9 {
		t.Errorf("%+v", p)
	}
	if _, err := Conductor(100*ft, 0, []unit.Metre{50 * ft}, 60*ft); err == nil {
		t.Error("a piece is longer than every put-up")
	}
	for _, bad := range []unit.Metre{-1, unit.Metre(math.NaN()), unit.Metre(math.Inf(1))} {
		if _, err := Conductor(bad, 0.1, nil, 0); err == nil {
			t.Errorf("%v passes", bad)
		}
	}
}

// The put-ups against every combination up to five pieces.
func TestPutUpsAgainstEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		offer := rapid.SliceOfNDistinct(rapid.IntRange(20, 60), 1, 3, rapid.ID[int]).Draw(t, "offer")
		need := rapid.IntRange(1, 90).Draw(t, "need")
		var o []unit.Metre
		for _, n := range offer {
			o = append(o, unit.Metre(n)*ft)
		}
		p, err := Conductor(unit.Metre(need)*ft, 0, o, 0)
		if err != nil {
			t.Fatal(err)
		}
		best, pieces := math.MaxInt, 0
		var try func(sum, n, from int)
		try = func(sum, n, from int) {
			if sum >= need {
				if sum < best || sum == best && n < pieces {
					best, pieces = sum, n
				}
				return
			}
			for i := from; i < len(offer); i++ {
				try(sum+offer[i], n+1, i)
			}
		}
		try(0, 0, 0)
		if got := int(math.Round(p.Total.Ft())); got != best || len(p.Lengths) != pieces {
			t.Fatalf("%d ft of %v: %d in %d pieces, best %d in %d", need, offer, got, len(p.Lengths), best, pieces)
		}
	})
}

func TestMoldLife(t *testing.T) {
	m := MoldLife(31, 23, 0.05, 50, 45)
	if m.Redos != 2 || m.Expect != 56 || !m.Second || m.Warning {
		t.Errorf("%+v", m)
	}
	if m := MoldLife(30, 20, 0, 50, 45); m.Second {
		t.Errorf("exactly the life: %+v", m)
	}
	if m := MoldLife(45, 0, 0, 50, 45); !m.Warning || m.Second {
		t.Errorf("%+v", m)
	}
}

func pieces(l ...float64) []Piece {
	var out []Piece
	for _, v := range l {
		out = append(out, Piece{"p", unit.Metre(v) * ft})
	}
	return out
}

func TestCutList(t *testing.T) {
	for _, c := range []struct {
		l                       []float64
		count, bound, couplings int
	}{
		{nil, 0, 0, 0},
		{[]float64{10}, 1, 1, 0},
		{[]float64{10.5}, 2, 2, 1},
		{[]float64{60}, 6, 6, 5},
		{[]float64{6, 4, 7, 3}, 2, 2, 0},
		{[]float64{6, 6, 6}, 3, 3, 0},
		{[]float64{25, 5}, 3, 3, 2},
		{[]float64{0}, 0, 0, 0},
	} {
		s, err := CutList(pieces(c.l...), 10*ft, 0)
		if err != nil || s.Count != c.count || s.Bound != c.bound || s.Couplings != c.couplings || !s.Proven {
			t.Errorf("%v: %+v %v", c.l, s, err)
		}
	}
	// A kerf of 1/8 in: two halves no longer come out of one stick, and the
	// bound knows it. One of 5 ft and one of 4 ft 11-7/8 in still do.
	s, err := CutList(pieces(5, 5), 10*ft, unit.Inch/8)
	if err != nil || s.Count != 2 || s.Bound != 2 || !s.Proven {
		t.Errorf("%+v %v", s, err)
	}
	s, err = CutList([]Piece{{"a", 5 * ft}, {"b", 5*ft - unit.Inch/8}}, 10*ft, unit.Inch/8)
	if err != nil || s.Count != 1 || !s.Proven {
		t.Errorf("%+v %v", s, err)
	}
	for _, bad := range []unit.Metre{0, -1, unit.Metre(math.NaN()), unit.Metre(math.Inf(1))} {
		if _, err := CutList(pieces(1), bad, 0); err == nil {
			t.Errorf("a stick of %v passes", bad)
		}
	}
	if _, err := CutList([]Piece{{"p", unit.Metre(math.NaN())}}, 10*ft, 0); err == nil {
		t.Error("no length passes")
	}
}

// The cut list against the exact optimum of small cases by enumeration: the
// count is it, and so is the bound.
func TestCutListAgainstEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 9).Draw(t, "n")
		l := make([]float64, n)
		sum := 0.0
		for i := range l {
			l[i] = float64(rapid.IntRange(1, 40).Draw(t, "l")) / 4
			sum += l[i]
		}
		s, err := CutList(pieces(l...), 10*ft, 0)
		if err != nil {
			t.Fatal(err)
		}
		best := n
		var place func(i int, bins []float64)
		place = func(i int, bins []float64) {
			if len(bins) >= best {
				return
			}
			if i == n {
				best = len(bins)
				return
			}
			for j := range bins {
				if bins[j]+l[i] <= 10 {
					bins[j] += l[i]
					place(i+1, bins)
					bins[j] -= l[i]
				}
			}
			place(i+1, append(append([]float64(nil), bins...), l[i]))
		}
		best++
		place(0, nil)
		if s.Count != best || s.Bound != best {
			t.Fatalf("%v: count %d, bound %d, best %d", l, s.Count, s.Bound, best)
		}
		used := 0.0
		for _, k := range s.Sticks {
			for _, c := range k.Cuts {
				used += c.Length.Ft()
			}
		}
		if math.Abs(used-sum) > 1e-6 || math.Abs(used+s.Waste.Ft()-10*float64(s.Count)) > 1e-6 {
			t.Fatalf("%v: %v ft cut, %v wasted of %d sticks", l, used, s.Waste.Ft(), s.Count)
		}
	})
}

func TestCouplingsIn(t *testing.T) {
	for _, c := range []struct {
		l    float64
		want int
	}{{0, 0}, {9, 0}, {10, 0}, {10.1, 1}, {60, 5}} {
		if got := CouplingsIn(unit.Metre(c.l)*ft, 10*ft); got != c.want {
			t.Errorf("%v ft: %d", c.l, got)
		}
	}
}

// Two straights of 25 and 12 ft and an elbow between: 2 + 1 inside, 2 beside.
func TestRunCouplings(t *testing.T) {
	if n := RunCouplings([]unit.Metre{25 * ft, 12 * ft}, 1, 10*ft); n != 5 {
		t.Error(n)
	}
	if n := RunCouplings(nil, 0, 10*ft); n != 0 {
		t.Error(n)
	}
	if n := RunCouplings([]unit.Metre{0, 9 * ft}, 0, 10*ft); n != 0 {
		t.Error(n)
	}
}

// Supports: one within 3 ft of each end and 10 ft between (EMT, NFPA 70
// 358.30), by hand.
func TestSupports(t *testing.T) {
	for _, c := range []struct {
		l    float64
		want int
	}{{0, 0}, {2, 1}, {6, 1}, {6.1, 2}, {16, 2}, {16.1, 3}, {26, 3}, {60, 7}} {
		if got := Supports(unit.Metre(c.l)*ft, 10*ft, 3*ft); got != c.want {
			t.Errorf("%v ft: %d supports, want %d", c.l, got, c.want)
		}
	}
	// PVC 3 ft apart, first within 3: the ends never reach further than the spacing.
	if got := Supports(9*ft, 3*ft, 3*ft); got != 2 {
		t.Error(got)
	}
}
