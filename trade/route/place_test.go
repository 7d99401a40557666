package route

import (
	"context"
	"errors"
	"math"
	"math/rand"
	"testing"

	"stubup/base/geom"
	"stubup/base/unit"
)

const (
	lbf     = 4.4482216152605
	lbfFoot = lbf / 0.3048
)

// twin tries every choice of a path and works each out by walking it from both
// ends: the slow obvious referee of Place. It keeps the least cost and, for each
// limit alone, the smallest figure that would do.
type twin struct {
	cost  float64
	found bool
	least map[Limit]float64
}

// spent is one section's worth of a choice, walked out plainly.
type spent struct {
	takes, length, arc, angle, radius float64
	in, out                           geom.Point3
	what                              int // 0 straight, 1 bend, 2 fitting
	resets                            Resets
}

func tryAll(p Path, lim Limits, w, mu float64) twin {
	sites := p.sites()
	t := twin{least: map[Limit]float64{}}
	pick := make([]int, len(sites))
	var visit func(i int)
	visit = func(i int) {
		if i == len(sites)-1 {
			t.judge(p, sites, pick, lim, w, mu)
			return
		}
		s := sites[i]
		for k := 0; k <= len(s.bends)+len(s.fittings); k++ {
			switch {
			case k == 0 && s.angle > 0:
				continue
			case k > 0 && k <= len(s.bends) && s.angle == 0:
				continue
			case k > len(s.bends):
				f := s.fittings[k-1-len(s.bends)]
				if s.angle == 0 && !f.Straight || s.angle > 0 && !f.AnyTurn {
					continue
				}
			}
			pick[i] = k
			visit(i + 1)
		}
	}
	visit(0)
	return t
}

func (t *twin) judge(p Path, sites []site, pick []int, lim Limits, w, mu float64) {
	cost, radius := 0.0, math.Inf(1)
	var all []spent
	for i, s := range sites {
		all = append(all, spent{length: s.run, in: s.in, out: s.in})
		k := pick[i]
		if i == len(sites)-1 || k == 0 {
			continue
		}
		if k <= len(s.bends) {
			b := s.bends[k-1]
			cost += b.Cost + b.PerDegree*float64(s.angle)
			radius = math.Min(radius, float64(b.Radius))
			a := float64(s.angle) * math.Pi / 180
			all = append(all, spent{what: 1, takes: float64(b.Radius) * math.Tan(a/2), arc: float64(b.Radius) * a, angle: a, radius: float64(b.Radius), in: s.in, out: s.out})
			continue
		}
		f := s.fittings[k-1-len(s.bends)]
		cost += f.Cost
		if f.Radius > 0 {
			radius = math.Min(radius, float64(f.Radius))
		}
		all = append(all, spent{what: 2, takes: float64(f.Takes), angle: float64(s.angle) * math.Pi / 180, radius: float64(f.Radius), in: s.in, out: s.out, resets: f.Resets})
	}
	// Straights between what takes from them.
	var flat []spent
	for _, s := range all {
		if n := len(flat); s.what == 0 && n > 0 && flat[n-1].what == 0 {
			flat[n-1].length += s.length
			continue
		}
		flat = append(flat, s)
	}
	for i := range flat {
		if flat[i].what != 0 {
			continue
		}
		before, after := float64(p.Takes), float64(p.TakesTo)
		if i > 0 {
			before = flat[i-1].takes
		}
		if i < len(flat)-1 {
			after = flat[i+1].takes
		}
		flat[i].length -= before + after
		if flat[i].length < -1e-9 {
			return // the straight is too short
		}
	}
	// Bend sums and lengths from one reset to the next.
	bends, length, worstB, worstL := 0.0, 0.0, 0.0, 0.0
	var stretches [][]spent
	var stretch []spent
	for _, s := range flat {
		switch s.what {
		case 0:
			length += s.length
			stretch = append(stretch, s)
		case 1:
			length += s.arc
			bends += s.angle * 180 / math.Pi
			stretch = append(stretch, s)
		case 2:
			if !s.resets.Bends {
				bends += s.angle * 180 / math.Pi
			}
			worstB, worstL = math.Max(worstB, bends), math.Max(worstL, length)
			if s.resets.Bends {
				bends = 0
			}
			if s.resets.Length {
				length = 0
			}
			if s.resets.Tension {
				stretches = append(stretches, stretch)
				stretch = nil
			} else {
				stretch = append(stretch, s)
			}
		}
		worstB, worstL = math.Max(worstB, bends), math.Max(worstL, length)
	}
	stretches = append(stretches, stretch)
	walk := func(st []spent, reverse bool) (top, side float64) {
		x := float64(lim.Reel)
		top = x
		for i := range st {
			s := st[i]
			rise := s.in.Z
			if reverse {
				s = st[len(st)-1-i]
				rise = -s.in.Z
			}
			if s.what == 0 {
				flatShare := 1.0
				if s.in != (geom.Point3{}) {
					flatShare = math.Hypot(s.in.X, s.in.Y)
				}
				x += s.length * math.Max(0, w*(rise+mu*flatShare))
			} else if s.angle > 0 {
				x *= math.Exp(mu * s.angle)
				side = math.Max(side, x/s.radius)
			}
			top = math.Max(top, x)
		}
		return top, side
	}
	// The least figure of tension with the sidewall standing, and the other way.
	needT, needS, holds := 0.0, 0.0, true
	for _, st := range stretches {
		one, forT, forS := false, math.Inf(1), math.Inf(1)
		for _, rev := range []bool{false, true} {
			top, side := walk(st, rev)
			okT, okS := lim.Tension == 0 || top <= float64(lim.Tension)*(1+1e-9), lim.Sidewall == 0 || side <= float64(lim.Sidewall)*(1+1e-9)
			one = one || okT && okS
			if okS {
				forT = math.Min(forT, top)
			}
			if okT {
				forS = math.Min(forS, side)
			}
		}
		holds = holds && one
		needT, needS = math.Max(needT, forT), math.Max(needS, forS)
	}
	okB := lim.Bends == 0 || worstB <= float64(lim.Bends)+1e-9
	okL := lim.Length == 0 || worstL <= float64(lim.Length)+1e-9
	okR := radius >= float64(lim.Radius)-1e-12
	if okB && okL && okR && holds {
		if !t.found || cost < t.cost {
			t.cost, t.found = cost, true
		}
	}
	note := func(l Limit, others bool, v float64) {
		if old, ok := t.least[l]; others && !math.IsInf(v, 1) && (!ok || v < old) {
			t.least[l] = v
		}
	}
	note(BendSum, okL && okR && holds, worstB)
	note(SectionLength, okB && okR && holds, worstL)
	if okB && okL && holds && (t.least[CableRadius] == 0 || radius > t.least[CableRadius]) {
		t.least[CableRadius] = radius
	}
	note(Tension, okB && okL && okR, needT)
	note(Sidewall, okB && okL && okR, needS)
}

// randomPath makes a path of a few legs with what may stand on it. Whether it
// climbs is part of the chance.
func randomPath(r *rand.Rand) (Path, Limits, float64, float64) {
	ft := func(lo, hi float64) unit.Metre { return unit.Metre((lo + (hi-lo)*r.Float64()) * 0.3048) }
	bends := []Bend{
		{Name: "elbow", Kind: "elbow", Radius: ft(0.6, 1.2), Cost: 10 + 5*r.Float64()},
		{Name: "sweep", Kind: "sweep", Radius: ft(2, 3.5), Cost: 25 + 20*r.Float64(), PerDegree: 0.1 * r.Float64()},
	}
	fits := []Fitting{
		{Name: "body", Kind: "body", Takes: ft(0.1, 0.4), Radius: ft(0.2, 0.5), AnyTurn: true, Cost: 15 + 20*r.Float64(), Resets: PullPoint},
		{Name: "box", Kind: "box", Takes: ft(0.2, 1), Straight: true, Cost: 60 + 60*r.Float64(), Resets: PullPoint},
		{Name: "handhole", Kind: "handhole", Takes: ft(1, 3), Radius: ft(1, 3), AnyTurn: true, Straight: true, Cost: 100 + 100*r.Float64(), Resets: PullPoint},
		{Name: "tee", Kind: "body", Takes: ft(0.1, 0.3), Radius: ft(0.5, 1), AnyTurn: true, Straight: true, Cost: 20 + 20*r.Float64(), Resets: Resets{Bends: r.Intn(2) == 0, Length: r.Intn(2) == 0}},
	}
	some := func() []Fitting {
		var out []Fitting
		for _, f := range fits {
			if r.Intn(3) == 0 {
				out = append(out, f)
			}
		}
		return out
	}
	angles := []unit.Degree{30, 45, 60, 90, 90}
	headings := []geom.Point3{{X: 1}, {Z: 1}, {Y: 1}, {Z: -1}, {X: 0.8, Z: 0.6}, {}}
	p := Path{From: "hand-off", To: "panel", Takes: ft(0, 0.3), TakesTo: ft(0, 0.3)}
	n := 2 + r.Intn(4)
	for i := range n {
		l := Leg{Length: ft(3, 60), Heading: headings[r.Intn(len(headings))]}
		if r.Intn(3) == 0 {
			l.Spots = []Spot{{l.Length * unit.Metre(0.3+0.4*r.Float64()), some()}}
		}
		if i < n-1 {
			l.Turn, l.Bends, l.Fittings = angles[r.Intn(len(angles))], bends[:1+r.Intn(2)], some()
		}
		p.Legs = append(p.Legs, l)
	}
	lim := Limits{Reel: unit.Newton(20 * r.Float64() * lbf)}
	if r.Intn(3) > 0 {
		lim.Bends = []unit.Degree{90, 135, 180, 270, 360}[r.Intn(5)]
	}
	if r.Intn(3) > 0 {
		lim.Length = ft(30, 150)
	}
	if r.Intn(3) == 0 {
		lim.Radius = ft(0.2, 2)
	}
	if r.Intn(3) > 0 {
		lim.Tension = unit.Newton((20 + 300*r.Float64()) * lbf)
	}
	if r.Intn(3) > 0 {
		lim.Sidewall = unit.NewtonPerM((20 + 200*r.Float64()) * lbfFoot)
	}
	return p, lim, (0.2 + 2*r.Float64()) * lbfFoot, 0.2 + 0.3*r.Float64()
}

// 3,000 random paths: the cost is that of the best of every choice, and where
// there is none, each limit that alone could give way is named with the
// smallest figure that does. Tolerances: 1e-9 on cost, 2e-6 on figures (the
// search for a figure stops at 1e-6 of it).
func TestPlaceAgainstEveryChoice(t *testing.T) {
	r := rand.New(rand.NewSource(20))
	ctx := context.Background()
	found, blocked, named := 0, 0, 0
	for i := range 3000 {
		p, lim, w, mu := randomPath(r)
		want := tryAll(p, lim, w, mu)
		got, err := Place(ctx, p, lim, Plain(unit.NewtonPerM(w), mu))
		if want.found {
			found++
			if err != nil {
				t.Fatalf("path %d: %v, and a choice of cost %v holds", i, err, want.cost)
			}
			if math.Abs(got.Cost-want.cost) > 1e-9*want.cost {
				t.Fatalf("path %d: cost %v, the best of all is %v", i, got.Cost, want.cost)
			}
			for _, s := range got.Sections {
				if over(float64(s.Bends), float64(lim.Bends)) || over(float64(s.Length), float64(lim.Length)) || !s.Forward.Holds && !s.Reverse.Holds {
					t.Fatalf("path %d: a section breaks a limit: %+v", i, s)
				}
			}
			continue
		}
		blocked++
		var b *Blocked
		if !errors.As(err, &b) {
			t.Fatalf("path %d: %v, %v; no choice holds", i, got, err)
		}
		have := map[Limit]float64{}
		for _, way := range b.Ways {
			if len(way) == 1 {
				have[way[0].Limit] = way[0].To
			}
		}
		if len(b.Ways) > 0 && len(b.Ways[0]) > 1 && len(want.least) > 0 {
			t.Fatalf("path %d: several limits named, and one alone would do: %v", i, want.least)
		}
		for _, l := range limitOrder {
			v, could := want.least[l]
			could = could && l.of(lim) > 0
			h, has := have[l]
			if has != could {
				t.Fatalf("path %d: %s named %v, could give way %v (%v)", i, l, has, could, v)
			}
			if has {
				named++
				if math.Abs(h-v) > 2e-6*v {
					t.Fatalf("path %d: %s to %v, the smallest is %v", i, l, h, v)
				}
			}
		}
	}
	if found < 500 || blocked < 500 || named < 500 {
		t.Errorf("%d found, %d blocked, %d named: the chance is lopsided", found, blocked, named)
	}
	t.Logf("%d found, %d blocked, %d limits named", found, blocked, named)
}

// Reversing a path keeps its cost and bend sums, loosening a limit never costs
// more, and splitting a straight keeps the bill.
func TestPlaceProperties(t *testing.T) {
	r := rand.New(rand.NewSource(7))
	ctx := context.Background()
	done := 0
	for done < 300 {
		p, lim, w, mu := randomPath(r)
		d := Plain(unit.NewtonPerM(w), mu)
		one, err := Place(ctx, p, lim, d)
		if err != nil {
			continue
		}
		done++
		two, err := Place(ctx, p.Reverse(), lim, d)
		if err != nil || math.Abs(one.Cost-two.Cost) > 1e-9 {
			t.Fatalf("reversed: %v and %v, %v", one.Cost, two, err)
		}
		sum := func(pl *Placing) (s float64) {
			for _, q := range pl.Pieces {
				s += float64(q.Angle)
			}
			return s
		}
		if math.Abs(sum(one)-sum(two)) > 1e-9 {
			t.Fatalf("reversed: bends %v and %v", sum(one), sum(two))
		}
		for _, l := range limitOrder {
			v := l.of(lim) * 1.3
			if l == CableRadius {
				v = l.of(lim) * 0.7
			}
			loose, err := Place(ctx, p, l.set(lim, v), d)
			if err != nil || loose.Cost > one.Cost+1e-9 {
				t.Fatalf("%s loosened: %v costs more than %v (%v)", l, loose, one.Cost, err)
			}
		}
		q := p
		q.Legs = nil
		for _, l := range p.Legs {
			if len(l.Spots) == 0 {
				a := l
				a.Length, a.Turn, a.Bends, a.Fittings = l.Length/3, 0, nil, nil
				l.Length -= a.Length
				q.Legs = append(q.Legs, a)
			}
			q.Legs = append(q.Legs, l)
		}
		split, err := Place(ctx, q, lim, d)
		if err != nil || math.Abs(split.Cost-one.Cost) > 1e-9 || len(split.Pieces) != len(one.Pieces) {
			t.Fatalf("split: %v and %v, %v", split, one, err)
		}
	}
}

func feet(v ...float64) []unit.Metre {
	out := make([]unit.Metre, len(v))
	for i := range v {
		out[i] = unit.Metre(v[i]) * unit.Foot
	}
	return out
}

// A fiber entry that moves with 70 ft laid: 70 ft, 45, 55 ft, 90, 38 ft, a 90
// sweep and 4 ft up, all of 3 ft radius. Worked by hand: 167 ft of straights and
// pi/4 x 3 ft for each 45 degrees. The code's 360 holds; an owner's 180 needs a
// pull point. Tolerance 0.05 ft, what is printed.
func TestEntryMoved(t *testing.T) {
	r3 := 3 * unit.Foot
	legs, err := Corners(feet(70, 55, 38, 4), []unit.Degree{45, 90, 90}, []unit.Metre{r3, r3, r3})
	if err != nil {
		t.Fatal(err)
	}
	sweep := []Bend{{Name: "36 in sweep", Kind: "sweep", Radius: r3, Cost: 60}}
	inLine := Fitting{Name: "handhole", Kind: "handhole", Straight: true, Cost: 400, Resets: PullPoint}
	atTurn := Fitting{Name: "handhole for a turn", Kind: "handhole", Takes: r3, Radius: r3, Turns: []unit.Degree{90}, Cost: 300, Resets: PullPoint}
	body := Fitting{Name: "conduit body", Kind: "body", Takes: 0.3 * unit.Foot, Radius: 3 * unit.Inch, Turns: []unit.Degree{90}, Cost: 20, Resets: PullPoint}
	for i := range 3 {
		legs[i].Bends = sweep
		legs[i].Fittings = []Fitting{body}
	}
	legs[2].Spots = []Spot{{legs[2].Length / 2, []Fitting{inLine}}}
	p := Path{From: "hand-off", To: "room", Legs: legs}
	total := func(pl *Placing) (sum float64) {
		for _, q := range pl.Pieces {
			sum += q.Length.Ft()
		}
		return sum
	}
	check := func(name string, p Path, lim Limits, length float64, bends ...float64) {
		t.Helper()
		got, err := Place(context.Background(), p, lim, Drag{})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if math.Abs(total(got)-length) > 0.05 {
			t.Errorf("%s: %v ft, want %v", name, total(got), length)
		}
		if len(got.Sections) != len(bends) {
			t.Fatalf("%s: %d sections, want %d", name, len(got.Sections), len(bends))
		}
		for i, b := range bends {
			if math.Abs(float64(got.Sections[i].Bends)-b) > 1e-9 {
				t.Errorf("%s: section %d turns %v, want %v", name, i+1, got.Sections[i].Bends, b)
			}
		}
	}
	fiber := Limits{Radius: 10 * unit.Inch} // no body has that: none is offered
	check("code", p, Limits{Bends: 360, Radius: fiber.Radius}, 178.8, 225)
	owner := Limits{Bends: 180, Radius: fiber.Radius}
	check("handhole in the straight", p, owner, 178.8, 135, 90)
	p.Legs[1].Fittings = append(p.Legs[1].Fittings, atTurn)
	check("handhole at the turn", p, owner, 174.1, 45, 90)
	// Without any pull point the owner's limit would have to be 225.
	for i := range p.Legs {
		p.Legs[i].Spots, p.Legs[i].Fittings = nil, nil
	}
	_, err = Place(context.Background(), p, owner, Drag{})
	var b *Blocked
	if !errors.As(err, &b) || len(b.Ways) != 1 || len(b.Ways[0]) != 1 || b.Ways[0][0].Limit != BendSum || math.Abs(b.Ways[0][0].To-225) > 1e-9 {
		t.Errorf("without pull points: %v", err)
	}
}
