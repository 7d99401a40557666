package route

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand"
	"reflect"
	"slices"
	"strings"
	"testing"

	"stubup/base/geom"
	"stubup/base/unit"
)

func at(x, y, z float64) geom.Point3 { return geom.Point3{X: x, Y: y, Z: z}.Scale(float64(unit.Foot)) }

func rect(o, u, v geom.Point3) []geom.Point3 {
	return []geom.Point3{o, o.Add(u), o.Add(u).Add(v), o.Add(v)}
}

func perFoot(v float64) float64 { return v / float64(unit.Foot) }

// smallCase is a floor and one or two walls with a coarse mesh, at random with
// an obstacle, a hole, a line or a core.
func smallCase(r *rand.Rand) (Ask, float64, float64) {
	ft := func(lo, hi float64) unit.Metre { return unit.Metre((lo + (hi-lo)*r.Float64()) * 0.3048) }
	rate := func() float64 { return perFoot(1 + 3*r.Float64()) }
	a := Ask{Space: Space{Pitch: 3 * unit.Foot}}
	a.Space.Surfaces = []Surface{
		{Name: "floor", Kind: "floor", Outline: rect(at(0, 0, 0), at(6, 0, 0), at(0, 6, 0)), Rate: rate(), Diagonals: r.Intn(4) == 0},
		{Name: "north wall", Kind: "wall", Outline: rect(at(0, 6, 0), at(6, 0, 0), at(0, 0, 6)), Rate: rate()},
	}
	if r.Intn(2) == 0 {
		a.Space.Surfaces = append(a.Space.Surfaces, Surface{Name: "east wall", Kind: "wall", Outline: rect(at(6, 0, 0), at(0, 6, 0), at(0, 0, 3)), Rate: rate()})
	}
	if r.Intn(3) == 0 {
		a.Space.Obstacles = []Obstacle{{Name: "rack", Min: at(2, 2, 0), Max: at(4, 4, 5)}}
	}
	if r.Intn(3) == 0 {
		a.Space.Surfaces[1].Holes = [][]geom.Point3{rect(at(3, 6, 3), at(3, 0, 0), at(0, 0, 3))}
	}
	if r.Intn(3) == 0 {
		a.Space.Lines = []Line{{Name: "strut", Kind: "strut", Points: []geom.Point3{at(0, 0, 0), at(0, 3, 3), at(0, 6, 3)}, Rate: rate()}}
	}
	if r.Intn(3) == 0 {
		a.Space.Cores = []Core{{Name: "core", Kind: "core", From: at(3, 0, 0), To: at(3, 6, 6), Cost: 5 * r.Float64(), Rate: rate()}}
	}
	a.From = Terminal{Name: "hand-off", At: at(0, 0, 0), Takes: ft(0, 0.2)}
	a.To = Terminal{Name: "panel", At: at([]float64{0, 3, 6}[r.Intn(3)], 6, 6), Takes: ft(0, 0.2)}
	if r.Intn(3) == 0 {
		a.From.Heading = geom.Point3{X: 1}
		if r.Intn(2) == 0 {
			h := geom.Point3{X: 1}
			a.From.Laid = []Piece{{What: Straight, Length: ft(1, 20), Heading: geom.Point3{Y: 1}, Out: geom.Point3{Y: 1}}, {What: Bent, Length: ft(1, 2), Angle: 90, Radius: ft(1, 2), Cable: ft(1, 2), Heading: geom.Point3{Y: 1}, Out: h}, {What: Straight, Length: ft(1, 5), Heading: h, Out: h}}
			a.From.CutBack = ft(0, 1)
			a.From.Takes = 0
		}
	}
	if r.Intn(4) == 0 {
		a.To.Heading = geom.Point3{Z: 1}
	}
	a.Bends = []Bend{
		{Name: "elbow", Kind: "elbow", Radius: ft(0.4, 0.9), Cost: 3 + 3*r.Float64()},
		{Name: "sweep", Kind: "sweep", Radius: ft(1, 1.7), Cost: 5 + 4*r.Float64(), PerDegree: 0.02},
	}
	all := []Fitting{
		{Name: "body", Kind: "body", Takes: ft(0.1, 0.4), Radius: ft(0.2, 0.5), Turns: []unit.Degree{90}, Cost: 4 + 4*r.Float64(), Resets: PullPoint, On: []string{"wall"}},
		{Name: "box", Kind: "box", Takes: ft(0.2, 0.6), Straight: true, Cost: 8 + 5*r.Float64(), Resets: PullPoint},
		{Name: "tee", Kind: "body", Takes: ft(0.1, 0.3), Radius: ft(0.5, 1), AnyTurn: true, Cost: 5 + 4*r.Float64(), Resets: Resets{Bends: true}},
	}
	for _, f := range all {
		if r.Intn(2) == 0 {
			a.Fittings = append(a.Fittings, f)
		}
	}
	l := &a.Limits
	l.Reel = unit.Newton(5 * r.Float64() * lbf)
	if r.Intn(3) > 0 {
		l.Bends = []unit.Degree{90, 180, 270}[r.Intn(3)]
	}
	if r.Intn(3) == 0 {
		l.Length = ft(8, 20)
	}
	if r.Intn(3) == 0 {
		l.Radius = ft(0.2, 1)
	}
	w, mu := (0.3+r.Float64())*lbfFoot, 0.2+0.3*r.Float64()
	if r.Intn(3) > 0 {
		l.Tension = unit.Newton((8 + 40*r.Float64()) * lbf)
	}
	if r.Intn(3) == 0 {
		l.Sidewall = unit.NewtonPerM((10 + 40*r.Float64()) * lbfFoot)
	}
	a.Drag = Plain(unit.NewtonPerM(w), mu)
	return a, w, mu
}

// cheaper walks every way over the net that costs less than a figure and
// returns the cost of the cheapest that holds, worked out from both ends by
// the plain referee of Place. It gives up past a count of steps.
func cheaper(a *Ask, n *net, w, mu, than float64, most int) (best float64, steps int) {
	best = math.Inf(1)
	from, _ := n.find(a.From.At)
	to, _ := n.find(a.To.At)
	// A plain bound, turns free: Bellman and Ford's rounds.
	togo := make([]float64, len(n.at))
	for i := range togo {
		togo[i] = math.Inf(1)
	}
	togo[to] = 0
	for range n.at {
		for i := range n.out {
			for _, e := range n.out[i] {
				togo[i] = math.Min(togo[i], e.cost+togo[e.to])
			}
		}
	}
	p := Path{Takes: a.From.Takes, TakesTo: a.To.Takes}
	var sites []site
	var picks []int
	run := 0.0
	// What is laid comes first, tangent to tangent; the piece that may be cut
	// back lends its straight as if it were new.
	for i, q := range a.From.Laid {
		switch q.What {
		case Straight:
			run += float64(q.Length)
			if i == len(a.From.Laid)-1 {
				// no more than CutBack may be taken: a fitting of no size keeps
				// the rest whole
				run -= float64(a.From.CutBack)
				sites = append(sites, site{run: run, in: q.Heading, out: q.Heading, fittings: []Fitting{{}}})
				picks = append(picks, 1)
				run = float64(a.From.CutBack)
			}
		case Bent:
			// as a turn that takes no straight; its arc is counted by the bend
			sites = append(sites, site{run: run, in: q.Heading, out: q.Out, angle: q.Angle})
			picks = append(picks, -1)
			run = 0
		}
	}
	var visit func(node, heading int32, cost float64, came string)
	visit = func(node, heading int32, cost float64, came string) {
		if steps++; steps > most {
			return
		}
		if node == to && (a.To.Heading == geom.Point3{} || n.headings[heading].Dist(a.To.Heading) < 1e-6) {
			s := append(slices.Clone(sites), site{run: run, in: n.headings[heading], end: true})
			one := twin{least: map[Limit]float64{}}
			one.judgeLaid(a, p, s, append(slices.Clone(picks), 0), w, mu)
			if one.found && cost < best {
				best = cost
			}
		}
		for _, e := range n.out[node] {
			step := func(extra float64) {
				if c := cost + extra + e.cost; c+togo[e.to] < than {
					run += e.length
					visit(e.to, e.heading, c, n.faces[e.face].kind)
					run -= e.length
				}
			}
			if heading < 0 || heading == e.heading {
				step(0)
			}
			if heading < 0 {
				continue
			}
			u, v := n.headings[heading], n.headings[e.heading]
			angle := math.Round(math.Acos(math.Max(-1, math.Min(1, u.Dot(v))))*180/math.Pi*1e4) / 1e4 // acos is blind near 0
			if angle > 179 {
				continue
			}
			turn := func(s site, extra float64) {
				if cost+extra+e.cost+togo[e.to] >= than {
					return
				}
				was := run
				s.run, s.in, s.out, s.angle = run, u, v, unit.Degree(angle)
				sites, picks, run = append(sites, s), append(picks, 1), 0
				step(extra)
				sites, picks, run = sites[:len(sites)-1], picks[:len(picks)-1], was
			}
			if angle > 0 {
				for x, b := range a.Bends {
					turn(site{bends: a.Bends[x : x+1]}, b.Cost+b.PerDegree*angle)
				}
			}
			for x, f := range a.Fittings {
				if angle == 0 && !f.Straight || angle > 0 && !f.AnyTurn && !(len(f.Turns) > 0 && math.Abs(angle-90) < 0.5) {
					continue
				}
				if len(f.On) > 0 && !slices.Contains(f.On, came) && !slices.Contains(f.On, n.faces[e.face].kind) {
					continue
				}
				turn(site{fittings: a.Fittings[x : x+1]}, f.Cost)
			}
		}
	}
	head := int32(-1)
	if a.From.Heading != (geom.Point3{}) {
		head = n.heading(a.From.Heading)
	}
	visit(from, head, 0, "")
	return best, steps
}

// judgeLaid judges a walk whose first pieces are laid.
func (t *twin) judgeLaid(a *Ask, p Path, sites []site, picks []int, w, mu float64) {
	lim := a.Limits
	k := 0
	for _, q := range a.From.Laid {
		if q.What == Bent {
			// A laid bend of any radius and arc: the referee takes its tangents
			// from the straights beside it, so they are lent to them first.
			b := Bend{Name: "laid", Radius: q.Cable}
			tan := float64(q.Cable) * math.Tan(float64(q.Angle)*math.Pi/360)
			sites[k].bends, picks[k] = []Bend{b}, 1
			sites[k].run += tan
			sites[k+1].run += tan
			k++
		}
	}
	t.judge(p, sites, picks, lim, w, mu)
}

// 300 random small spaces: of every way up to the cost of the run found, walked
// out from both ends, that run is the cheapest that holds; and where none was
// found, none holds up to half as much again as the cheapest way unlimited.
func TestFindAgainstEveryCheaperWay(t *testing.T) {
	r := rand.New(rand.NewSource(41))
	ctx := context.Background()
	const mostSteps = 150_000
	found, blocked, fitted, laid, walked, skipped := 0, 0, 0, 0, 0, 0
	for i := 0; found+blocked < 300; i++ {
		a, w, mu := smallCase(r)
		for k := range a.From.Laid {
			if q := &a.From.Laid[k]; q.What == Bent {
				q.Radius, q.Length = q.Cable, unit.Metre(float64(q.Cable)*math.Pi/2)
			}
		}
		n, err := a.ready()
		if err != nil {
			t.Fatal(err)
		}
		got, err := a.solve(ctx, n, a.Limits)
		if err != nil {
			t.Fatal(err)
		}
		than := 0.0
		if got != nil {
			than = got.Cost + 1e-7 // the run itself is among the ways
		} else {
			h := begin(&a, n, Limits{})
			if err := h.backward(ctx); err != nil {
				t.Fatal(err)
			}
			low := math.Inf(1)
			for d := range n.headings {
				for _, e := range n.out[h.from] {
					if int(e.heading) == d {
						low = math.Min(low, e.cost+h.bound[h.key(e.to, e.heading)])
					}
				}
			}
			than = low * 1.5
		}
		best, steps := cheaper(&a, n, w, mu, than, mostSteps)
		if steps > mostSteps {
			skipped++
			continue
		}
		walked += steps
		if got == nil {
			if !math.IsInf(best, 1) {
				t.Fatalf("case %d: a way of cost %v holds, none was found", i, best)
			}
			blocked++
			continue
		}
		if math.Abs(best-got.Cost) > 1e-6 {
			t.Fatalf("case %d: found %v, the cheapest of all ways that hold is %v", i, got.Cost, best)
		}
		found++
		if len(got.Fittings()) > 0 {
			fitted++
		}
		if len(a.From.Laid) > 0 {
			laid++
		}
		sum := 0.0
		for _, b := range got.Bill {
			sum += b.Cost
		}
		if math.Abs(sum-got.Cost) > 1e-9*sum {
			t.Fatalf("case %d: the bill sums to %v, the cost is %v", i, sum, got.Cost)
		}
		for _, s := range got.Sections {
			if over(float64(s.Bends), float64(a.Limits.Bends)) || over(float64(s.Length), float64(a.Limits.Length)) || !s.Forward.Holds && !s.Reverse.Holds {
				t.Fatalf("case %d: section breaks a limit: %+v", i, s)
			}
		}
	}
	t.Logf("%d found (%d with fittings, %d from a laid half), %d blocked, %d left out as too many ways, %d steps walked", found, fitted, laid, blocked, skipped, walked)
	if found < 100 || blocked < 20 || fitted < 30 || laid < 10 {
		t.Error("the chance is lopsided")
	}
}

var _ = []any{errors.New, fmt.Sprint, reflect.DeepEqual, strings.Contains}
