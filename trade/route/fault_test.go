package route

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"stubup/base/geom"
	"stubup/base/unit"
)

// A run pulled by the manual's steps: s100 b45 s80 b90 s75 b45 s70 at 0.144
// lb/ft and friction 0.5. It prints 10, 16, 35, 40 and 59 lbf after pieces 2 to
// 6, rounding to whole pounds at every step, so within 2.5 lbf here. Source: a
// conduit maker's printed construction manual, pp. 44, 68-71.
func TestPulledAgainstManual(t *testing.T) {
	d := Plain(0.144*lbfFoot, 0.5)
	r := 10 * unit.Foot
	s := func(l float64) Piece { return Piece{What: Straight, Length: unit.Metre(l) * unit.Foot} }
	b := func(a unit.Degree) Piece { return Piece{What: Bent, Angle: a, Cable: r, Radius: r} }
	ps := []Piece{s(100), b(45), s(80), b(90), s(75), b(45), s(70)}
	for i, want := range []float64{10, 16, 35, 40, 59} {
		if got := float64(pulled(ps[:i+2], Limits{}, d, false).Tension) / lbf; math.Abs(got-want) > 2.5 {
			t.Errorf("after %d pieces %v lbf, the manual has %v", i+2, got, want)
		}
	}
}

// A finer bend form may be handed in without its inverse: T2 = T1 cosh(mu a) +
// sinh(mu a) sqrt(T1^2 + (w R)^2). Its placing is that of the same form with
// the inverse written out, T1 = T2 cosh - sinh sqrt(T2^2 + (w R)^2).
func TestDragHandedIn(t *testing.T) {
	w, mu := 3*lbfFoot, 0.3
	level := Drag{
		Straight: Plain(unit.NewtonPerM(w), mu).Straight,
		Bend: func(in unit.Newton, b Turn) unit.Newton {
			a, t1 := mu*radians(b.Angle), float64(in)
			return unit.Newton(t1*math.Cosh(a) + math.Sinh(a)*math.Hypot(t1, w*float64(b.Radius)))
		},
	}
	both := level
	both.Enter = func(out unit.Newton, b Turn) unit.Newton {
		a, t2 := mu*radians(b.Angle), float64(out)
		return unit.Newton(t2*math.Cosh(a) - math.Sinh(a)*math.Hypot(t2, w*float64(b.Radius)))
	}
	for _, out := range []float64{1, 30, 100, 5000} {
		b := Turn{Angle: 90, Radius: unit.Foot}
		if x, y := level.enter(out, b), both.enter(out, b); !(x < 0 && y < 0) && math.Abs(x-y) > 1e-9*out {
			t.Errorf("%v N out: %v in by halving, %v by the inverse", out, x, y)
		}
	}
	legs, err := Corners(feet(60, 40, 5), []unit.Degree{90, 90}, []unit.Metre{unit.Foot, unit.Foot})
	if err != nil {
		t.Fatal(err)
	}
	for i := range 2 {
		legs[i].Bends = []Bend{{Name: "elbow", Radius: unit.Foot, Cost: 10}}
	}
	p := Path{Legs: legs}
	// Pulled by hand, both ways; the limit just at the better and just under.
	pull := func(order []float64) float64 {
		x := unit.Newton(0)
		for i, l := range order {
			x += unit.Newton(l * float64(unit.Foot) * w * mu)
			if i < 2 {
				x = level.Bend(x, Turn{Angle: 90, Radius: unit.Foot})
			}
		}
		return float64(x)
	}
	better := min(pull([]float64{60, 40, 5}), pull([]float64{5, 40, 60}))
	if _, err := Place(context.Background(), p, Limits{Tension: unit.Newton(better * (1 + 1e-6))}, level); err != nil {
		t.Errorf("at the better way: %v", err)
	}
	if _, err := Place(context.Background(), p, Limits{Tension: unit.Newton(better * (1 - 1e-6))}, level); err == nil {
		t.Error("under the better way: found")
	}
}

// Where no single limit is enough, several are named together, and with them
// the path can be had.
func TestSeveralLimitsGiveWay(t *testing.T) {
	legs, err := Corners(feet(60, 60, 60), []unit.Degree{90, 90}, []unit.Metre{unit.Foot, unit.Foot})
	if err != nil {
		t.Fatal(err)
	}
	for i := range 2 {
		legs[i].Bends = []Bend{{Name: "elbow", Radius: unit.Foot, Cost: 10}}
	}
	p := Path{Legs: legs}
	lim := Limits{Bends: 120, Length: 100 * unit.Foot}
	_, err = Place(context.Background(), p, lim, Drag{})
	var b *Blocked
	if !errors.As(err, &b) || len(b.Ways) != 1 || len(b.Ways[0]) != 2 {
		t.Fatalf("%v", err)
	}
	for _, r := range b.Ways[0] {
		lim = r.Limit.set(lim, r.To)
	}
	if lim.Bends != 180 || math.Abs(lim.Length.Ft()-(180+math.Pi)) > 1e-6 {
		t.Errorf("by hand 180 degrees and 180 ft + pi ft, got %v and %v ft", lim.Bends, lim.Length.Ft())
	}
	if _, err := Place(context.Background(), p, lim, Drag{}); err != nil {
		t.Errorf("with what was named: %v", err)
	}
	if !strings.Contains(b.Error(), "bend sum from 120 degrees to 180 degrees and section length from 100.0 ft to 183.1 ft") {
		t.Errorf("it says %q", b.Error())
	}
}

// What makes no sense is named with its place and a mend.
func TestFaults(t *testing.T) {
	ctx := context.Background()
	nan := math.NaN()
	path := func(f func(*Path, *Limits)) error {
		legs, _ := Corners(feet(60, 60), []unit.Degree{90}, []unit.Metre{unit.Foot})
		legs[0].Bends = []Bend{{Name: "elbow", Radius: unit.Foot, Cost: 10}}
		p, lim := Path{Legs: legs}, Limits{}
		f(&p, &lim)
		_, err := Place(ctx, p, lim, Drag{})
		return err
	}
	find := func(f func(*Ask)) error {
		a := building()
		f(&a)
		_, err := Find(ctx, a)
		return err
	}
	for _, c := range []struct {
		err   error
		where string
	}{
		{path(func(p *Path, _ *Limits) { p.Legs = nil }), "path: it has no leg"},
		{path(func(p *Path, _ *Limits) { p.Legs[1].Length = unit.Metre(nan) }), "leg 2: it has no length"},
		{path(func(p *Path, _ *Limits) { p.Legs[1].Length = 0 }), "leg 2: it has no length"},
		{path(func(p *Path, _ *Limits) { p.Legs[0].Turn = 200 }), "leg 1: a turn of 200"},
		{path(func(p *Path, _ *Limits) { p.Legs[1].Turn = 90 }), "leg 2: the path ends in a turn"},
		{path(func(p *Path, _ *Limits) { p.Legs[0].Spots = []Spot{{At: 100}} }), "leg 1: the spot"},
		{path(func(p *Path, _ *Limits) { p.Legs[0].Bends[0].Radius = 0 }), `bend "elbow": it has no radius`},
		{path(func(_ *Path, l *Limits) { l.Bends = unit.Degree(nan) }), "limit of bend sum: NaN"},
		{path(func(_ *Path, l *Limits) { l.Tension = 100 }), "limits: tension or sidewall"},
		{path(func(p *Path, _ *Limits) { p.Legs[0].Length = unit.Inch }), "corner 1: nothing that is offered fits"},
		{path(func(p *Path, _ *Limits) { p.Legs[0].Bends = nil }), "corner 1: it turns 90 degrees and nothing"},
		{path(func(p *Path, _ *Limits) { p.Legs[1].Length = unit.Inch }), "end of the path: the last straight is too short"},
		{find(func(a *Ask) { a.From.At = at(1, 3, 3) }), `start "hand-off": it stands on no surface or line at (1, 3, 3) ft`},
		{find(func(a *Ask) { a.To.At = at(15, 12, 4) }), `end "panel": it stands on no surface`}, // inside a rack
		{find(func(a *Ask) { a.To.At.X = nan }), `end "panel": it is not a place`},
		{find(func(a *Ask) { a.To.At = a.From.At }), "start and end: they are the same place"},
		{find(func(a *Ask) { a.From.Heading = geom.Point3{X: 2} }), `start "hand-off": its heading`},
		{find(func(a *Ask) { a.Space.Surfaces[0].Outline[0].Y = 1 }), `surface "south wall": corner`},
		{find(func(a *Ask) { a.Space.Surfaces[0].Outline = a.Space.Surfaces[0].Outline[:2] }), `surface "south wall": 2 corners`},
		{find(func(a *Ask) { a.Space.Lines[0].Points = nil }), `line "strut": it has fewer`},
		{find(func(a *Ask) { a.Space.Obstacles[0].Min.X = 100 }), `obstacle "rack 1": it is not a box`},
		{find(func(a *Ask) { a.Space.Pitch = unit.Metre(nan) }), "mesh: a pitch"},
		{find(func(a *Ask) { a.Space = Space{} }), "space: there is nothing"},
		{find(func(a *Ask) { a.Limits.Sidewall = unit.NewtonPerM(math.Inf(1)) }), "limit of sidewall pressure"},
		{find(func(a *Ask) { a.Fittings[0].Radius = 0 }), `fitting "conduit body": the cable turns in it`},
		{find(func(a *Ask) { a.From.Laid = []Piece{{Length: 1}} }), "start: part of the run is laid"},
	} {
		if c.err == nil || !strings.HasPrefix(c.err.Error(), c.where) || !strings.Contains(c.err.Error(), "mend: ") {
			t.Errorf("want %q with a mend, got %v", c.where, c.err)
		}
	}
	for _, l := range []unit.Metre{0, unit.Metre(nan), 100} {
		if _, _, _, err := Cut([]Piece{{What: Straight, Length: 3}}, l); err == nil {
			t.Errorf("cut at %v of 3 m: no fault", l)
		}
	}
}

func TestStopped(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Find(ctx, building()); !errors.Is(err, context.Canceled) {
		t.Errorf("find: %v", err)
	}
	legs, _ := Corners(feet(60), nil, nil)
	if _, err := Place(ctx, Path{Legs: legs}, Limits{}, Drag{}); !errors.Is(err, context.Canceled) {
		t.Errorf("place: %v", err)
	}
}

// Two yards that do not touch: the answer names both and the gap.
func TestNothingJoins(t *testing.T) {
	a := Ask{
		Space: Space{Surfaces: []Surface{
			{Name: "yard", Kind: "trench", Outline: rect(at(0, 0, 0), at(20, 0, 0), at(0, 10, 0))},
			{Name: "room wall", Kind: "wall", Outline: rect(at(23, 0, 0), at(0, 10, 0), at(0, 0, 8))},
		}},
		From:  Terminal{Name: "hand-off", At: at(0, 5, 0)},
		To:    Terminal{Name: "panel", At: at(23, 5, 4)},
		Bends: []Bend{{Name: "elbow", Radius: unit.Foot}},
	}
	_, err := Find(context.Background(), a)
	if err == nil || !strings.Contains(err.Error(), `no surface joins "hand-off" to "panel": from "hand-off" one comes to "yard", from "panel" to "room wall"; they are nearest 3'-0"`) {
		t.Errorf("%v", err)
	}
	a.Space.Cores = []Core{{Name: "crossing", Kind: "core", From: at(20, 5, 0), To: at(23, 5, 0), Cost: 7}}
	r, err := Find(context.Background(), a)
	if err != nil || math.Abs(r.Cost-7) > 1e-9 || math.Abs(r.Takeoff.Ft()-27) > 1e-9 {
		t.Errorf("with a crossing: %+v, %v; by hand 20 + 3 + 4 ft", r, err)
	}
	// A door leaves no wall at its sill.
	door := Ask{
		Space: Space{Surfaces: []Surface{{Name: "wall", Kind: "wall", Outline: rect(at(0, 0, 0), at(20, 0, 0), at(0, 0, 10)), Holes: [][]geom.Point3{rect(at(8, 0, 0), at(3, 0, 0), at(0, 0, 7))}, Rate: perFoot(1)}}},
		From:  Terminal{At: at(2, 0, 0)}, To: Terminal{At: at(15, 0, 0)},
		Bends: []Bend{{Name: "elbow", Radius: 6 * unit.Inch}},
	}
	if r, err = Find(context.Background(), door); err != nil || math.Abs(r.Takeoff.Ft()-27) > 1e-9 {
		t.Errorf("over the door: %+v, %v; by hand 7 + 13 + 7 ft", r, err)
	}
	// And a closed door frame around the end: the straights are too short.
	door.Bends[0].Radius = 20 * unit.Foot
	if _, err = Find(context.Background(), door); err == nil || !strings.Contains(err.Error(), "too short for the bends") {
		t.Errorf("20 ft elbows: %v", err)
	}
}

// A gable: two sloped roofs, their ridge, and the gable wall below. By hand the
// way from one eave over the ridge to the other is twice the rafter.
func TestSlopedRoof(t *testing.T) {
	wall := []geom.Point3{at(0, 0, 0), at(12, 0, 0), at(12, 0, 8), at(6, 0, 12.5), at(0, 0, 8)}
	left := []geom.Point3{at(0, 0, 8), at(6, 0, 12.5), at(6, 10, 12.5), at(0, 10, 8)}
	right := []geom.Point3{at(12, 0, 8), at(6, 0, 12.5), at(6, 10, 12.5), at(12, 10, 8)}
	a := Ask{
		Space: Space{Surfaces: []Surface{{Name: "left slope", Kind: "roof", Outline: left, Rate: perFoot(1)}, {Name: "right slope", Kind: "roof", Outline: right, Rate: perFoot(1)}, {Name: "gable", Kind: "wall", Outline: wall, Rate: perFoot(1)}}},
		From:  Terminal{At: at(0, 4, 8)}, To: Terminal{At: at(12, 4, 8)},
		Bends: []Bend{{Name: "bend", Radius: unit.Foot}},
	}
	r, err := Find(context.Background(), a)
	if err != nil || math.Abs(r.Takeoff.Ft()-15) > 1e-6 || len(r.Corners) != 3 || math.Abs(float64(r.Sections[0].Bends)-73.7398) > 1e-3 {
		t.Errorf("over the ridge: %+v, %v; by hand 2 x 7.5 ft, one bend of 2 atan(4.5/6)", r, err)
	}
	// From the slope down onto the gable wall, over their shared sloping edge.
	a.To.At = at(6, 0, 3)
	r, err = Find(context.Background(), a)
	if err != nil {
		t.Fatal(err)
	}
	used := map[string]bool{}
	for _, b := range r.Bill {
		used[b.Name] = true
	}
	if !used["left slope"] || !used["gable"] {
		t.Errorf("from the slope to the gable: %+v", r.Bill)
	}
}
