package pull_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/unit"
	. "stubup/trade/pull"
)

// fiber is a made-up outside-plant cable; feeder three single conductors. The
// weights are of the size that such cables have, not of any maker.
func fiber() Cable {
	return Cable{Name: "fiber", Count: 1, OD: 0.5 * in, Mass: 0.12, Class: FiberOutside}
}

func feeder() Cable {
	return Cable{Name: "4/0 copper", Count: 3, OD: 0.642 * in, Mass: 1.05, Class: Wire600, Metal: Copper, CMil: 211600}
}

func lubricated(t *testing.T) Friction {
	t.Helper()
	f, ok := FrictionOf("lubricated")
	if !ok {
		t.Fatal("no row")
	}
	return f
}

func section(t *testing.T) Section {
	return Section{
		Name: "fiber 1, P1 to P2", A: End{Name: "P1"}, B: End{Name: "P2"},
		Path:     []Element{Straight(60*ft, 0), LevelBend(90, 36*in), Straight(10*ft, 0), VerticalBend(0, 90, 36*in), Straight(4*ft, 90)},
		Duct:     Duct{Name: "2 PVC", ID: 2.047 * in},
		Cables:   []Cable{fiber()},
		Friction: lubricated(t), Attach: Eye,
	}
}

func evaluate(t *testing.T, s Section) Card {
	t.Helper()
	c, err := Evaluate(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func mentions(list []string, words string) bool {
	return strings.Contains(strings.Join(list, "\n"), words)
}

func TestCard(t *testing.T) {
	s := section(t)
	c := evaluate(t, s)
	if c.Outcome != OK || len(c.Missing)+len(c.Over) > 0 || len(c.Directions) != 2 || c.Tension.Name != "cables" {
		t.Fatalf("%+v", c)
	}
	if math.Abs(float64(c.Tension.Force/lbf)-600) > 1e-9 {
		t.Errorf("a fiber cable may bear %v lbf, the practice is 600", c.Tension.Force/lbf)
	}
	// The heavy bends stand near P2: fed there, little tension goes into them.
	if c.Directions[c.Best].Feed != "P2" || c.Directions[0].Feed != "P1" || c.Directions[1].Pull != "P1" {
		t.Errorf("best is %+v", c.Directions[c.Best])
	}
	d := c.Directions[c.Best]
	if d.Steps[0].Form != Down || d.Steps[1].Form != BendDownLevel || d.HoldBack.High <= 0 || !mentions(c.Cautions, "brake the reel at P2") {
		t.Errorf("a cable fed into a riser runs ahead: %+v", d)
	}
	for _, d := range c.Directions {
		if len(d.Steps) != len(s.Path) || !(d.End.Low < d.End.Nominal && d.End.Nominal < d.End.High) || d.Greatest.High < d.End.High || d.HoldsTo < lubricated(t).High || d.Outcome != OK {
			t.Errorf("%+v", d)
		}
		if d.Steps[d.Worst].Peak.High < d.Greatest.High {
			t.Errorf("the worst step %+v does not have %v", d.Steps[d.Worst], d.Greatest.High)
		}
	}
	if len(c.Cautions) < 2 || len(c.Radii) != 1 || !c.Radii[0].Holds || c.Occupancy == nil || !c.Occupancy.Holds || c.Jam != nil {
		t.Errorf("%+v", c)
	}
}

// Naming the ends the other way round changes nothing but which comes first.
func TestEitherEndFirst(t *testing.T) {
	s := section(t)
	s.A.Back, s.B.Back = 40, 90
	r := s
	r.A, r.B, r.Path = s.B, s.A, Reverse(s.Path)
	a, b := evaluate(t, s), evaluate(t, r)
	x, y := a.Directions[a.Best], b.Directions[b.Best]
	if x.Feed != y.Feed || math.Abs(float64(x.End.High-y.End.High)) > 1e-9 || a.Best == b.Best {
		t.Errorf("%+v and %+v", x, y)
	}
}

// The path of a card is walked by Tensions, whose result is held to the force
// balance; a set-up turn at the feed is one bend more before it.
func TestCardAgreesWithTensions(t *testing.T) {
	s := section(t)
	s.A = End{Name: "P1", Back: 60, Turn: 60, TurnRadius: 18 * in}
	d := evaluate(t, s).Directions[0]
	turn := LevelBend(60, 18*in)
	steps, err := Tensions(append([]Element{turn}, s.Path...), Load{Weight: unit.NewtonPerM(0.12 * 9.80665), Friction: 0.35}, 60)
	if err != nil {
		t.Fatal(err)
	}
	for i, st := range steps {
		if got := d.Steps[i]; got.Out.High != st.Out || got.In.High != st.In {
			t.Errorf("%s: %v, walked %v", got.Name, got.Out.High, st.Out)
		}
	}
	if d.Steps[0].Name != "set-up at P1" || d.Steps[0].Inside != 18*in {
		t.Errorf("%+v", d.Steps[0])
	}
}

func TestOverAndCannotTell(t *testing.T) {
	for name, v := range map[string]struct {
		change func(*Section)
		want   Outcome
		say    string
	}{
		"no weight":      {func(s *Section) { s.Cables[0].Mass = 0 }, CannotTell, "the weight of fiber"},
		"no diameter":    {func(s *Section) { s.Cables[0].OD = 0 }, CannotTell, "the outside diameter of fiber"},
		"no inside":      {func(s *Section) { s.Duct.ID = 0 }, CannotTell, "inside diameter of the raceway"},
		"no friction":    {func(s *Section) { s.Friction = Friction{} }, CannotTell, "the friction"},
		"no attachment":  {func(s *Section) { s.Attach = "" }, CannotTell, "how the line holds"},
		"no limit":       {func(s *Section) { s.Cables[0].Class = MakersCable; s.Cables[0].Radius = in }, CannotTell, "maker's tension"},
		"no cables":      {func(s *Section) { s.Cables = nil }, CannotTell, "the cables"},
		"tight elbow":    {func(s *Section) { s.Path[1].Radius = 9.5 * in }, Over, "inside radius 8.48 in, fiber asks 10 in"},
		"too big":        {func(s *Section) { s.Cables[0].OD = 2.1 * in; s.Cables[0].Radius = in }, Over, "do not go into"},
		"weak cable":     {func(s *Section) { s.Cables[0].Tension = 5 }, Over, "tension"},
		"weak wall":      {func(s *Section) { s.Cables[0].Sidewall = 1 }, Over, "sidewall pressure"},
		"long":           {func(s *Section) { s.Path[0].Length = 50000 * ft }, Over, "tension"},
		"friction tells": {func(s *Section) { s.Cables[0].Tension = 8 }, CannotTell, "it holds up to"},
		"weak gear":      {func(s *Section) { s.Device = 5 }, Over, "pulling gear allows"},
	} {
		s := section(t)
		v.change(&s)
		c := evaluate(t, s)
		if c.Outcome != v.want || !mentions(append(c.Missing, c.Over...), v.say) {
			t.Errorf("%s: %s, missing %q, over %q", name, c.Outcome, c.Missing, c.Over)
		}
	}
}

// HoldsTo is where the outcome turns: a little under it the limits hold, above
// it they do not.
func TestHoldsTo(t *testing.T) {
	s := section(t)
	s.Cables[0].Tension = 8
	c := evaluate(t, s)
	d := c.Directions[c.Best]
	if d.HoldsTo <= 0.2 || d.HoldsTo >= 0.35 {
		t.Fatalf("%+v", d)
	}
	for f, want := range map[float64]Outcome{d.HoldsTo: OK, d.HoldsTo + 0.002: Over} {
		s.Friction = Friction{Name: "tried", Low: f, Nominal: f, High: f}
		c := evaluate(t, s)
		if got := c.Directions[c.Best].Outcome; got != want {
			t.Errorf("at %v: %s, want %s", f, got, want)
		}
	}
}

func TestBadSectionIsNamed(t *testing.T) {
	for words, change := range map[string]func(*Section){
		"fiber: a weight of -1":         func(s *Section) { s.Cables[0].Mass = -1 },
		"a friction coefficient of -1":  func(s *Section) { s.Friction.Low = -1 },
		"radius of 0 in":                func(s *Section) { s.Path[1].Radius = 0 },
		"no path":                       func(s *Section) { s.Path = nil },
		"P2: a back tension of -5":      func(s *Section) { s.B.Back = -5 },
		"set-up at P1":                  func(s *Section) { s.A.Turn = 30 },
		"fiber: a count of -1":          func(s *Section) { s.Cables[0].Count = -1 },
		"no pulling stress":             func(s *Section) { s.Cables[0].Metal = "tin" },
		"the inside diameter is NaN":    func(s *Section) { s.Duct.ID = unit.Metre(math.NaN()) },
		"inside a raceway of":           func(s *Section) { s.Path[1].Radius = in / 2 },
		"\"heap\" is no arrangement":    func(s *Section) { s.Arrangement = "heap" },
		"\"cradled\" is no arrangement": func(s *Section) { s.Arrangement = Cradled },
	} {
		s := section(t)
		change(&s)
		if _, err := Evaluate(s); err == nil || !strings.Contains(err.Error(), words) {
			t.Errorf("want %q, have %v", words, err)
		}
	}
}

// Three equal conductors where both jam rules, and both clearances, differ.
// D/d = 2.9: the older ratio is 3.045, cradled; the code note calls it a risk.
func TestBothJamRules(t *testing.T) {
	j := Jam(in, 2.9*in)
	if j.GrownBand != JamCradled || j.PlainBand != JamInside || !j.Risk {
		t.Errorf("%+v", j)
	}
	for ratio, want := range map[float64]JamBand{2.3: JamTriangular, 2.5: JamTransition, 2.75: JamProbable, 2.85: JamProbable, 3.3: JamCradled} {
		if j := Jam(in, unit.Metre(ratio)*in); j.GrownBand != want {
			t.Errorf("D/d %v: %s", ratio, j.GrownBand)
		}
	}
	s := section(t)
	s.Cables = []Cable{feeder()}
	s.Duct.ID = 2.9 * 0.642 * in
	if c := evaluate(t, s); c.Jam == nil || !mentions(c.Cautions, "may jam") || c.Arrangement != Cradled {
		t.Errorf("%+v", c)
	}
}

// The clearance over cradled cables by placing the circles: the middle one at
// the bottom, the outer two touching it and the wall. The smaller of the two
// forms is that geometry, and the published one is above it.
func TestClearanceByPlacingCircles(t *testing.T) {
	for _, ratio := range []float64{2.6, 2.8, 3, 3.5, 4} {
		d, id := 1.0, ratio
		r := (id - d) / 2
		a := 2 * math.Asin(d/(id-d))
		top := -r*math.Cos(a) + d/2
		c, ok := Clearance(Cradled, unit.Metre(d), unit.Metre(id))
		if !ok || math.Abs(float64(c.Geometry)-(id/2-top)) > 1e-12 || c.Least != c.Geometry || c.Published <= c.Geometry {
			t.Errorf("D/d %v: %+v, circles leave %v", ratio, c, id/2-top)
		}
	}
	for _, a := range []Arrangement{Single, Triangular, Diamond} {
		if c, ok := Clearance(a, 0.25*in, 3*in); !ok || c.Low || c.Published != c.Geometry {
			t.Errorf("%s: %+v", a, c)
		}
	}
	if _, ok := Clearance(Complex, in, 9*in); ok {
		t.Error("a form for five and more")
	}
}

// The weight correction of two and of three triangular cables is the wedge of
// two on a round wall: each is pushed out along its radius, and half the
// weight over the cosine of that angle bears on each.
func TestWedge(t *testing.T) {
	for _, ratio := range []float64{2.3, 2.6, 3, 4} {
		angle := math.Asin(1 / (ratio - 1))
		want := 2 * (0.5 / math.Cos(angle))
		for _, a := range []Arrangement{Two, Triangular} {
			got, _, err := WeightCorrection(a, in, unit.Metre(ratio)*in)
			if err != nil || math.Abs(got-want) > 1e-12 {
				t.Errorf("%s %v: %v, wedge %v, %v", a, ratio, got, want, err)
			}
			if share, bound := SidewallShare(a, got); bound || math.Abs(share-want/2) > 1e-12 {
				t.Errorf("%s: share %v", a, share)
			}
		}
	}
}

func TestGroupTension(t *testing.T) {
	share, _, _ := GroupShare()
	for _, v := range []struct {
		name   string
		cables []Cable
		share  unit.Ratio
		want   float64 // lbf
	}{
		// 0.008 lbf/cmil; 0.8 of the sum above three; the airfield takes the sum.
		{"three 4/0", []Cable{feeder()}, share, 3 * 0.008 * 211600},
		{"three 4/0 and a 4 AWG", []Cable{feeder(), {Name: "4", Count: 1, Metal: Copper, CMil: 41740}}, share, 0.8 * 0.008 * (3*211600 + 41740)},
		{"the same, whole sum", []Cable{feeder(), {Name: "4", Count: 1, Metal: Copper, CMil: 41740}}, 1, 0.008 * (3*211600 + 41740)},
		{"a cable of three", []Cable{{Name: "tray", Count: 1, Conductors: 3, Metal: Copper, CMil: 26240}}, share, 3 * 0.008 * 26240},
		{"a cable of four", []Cable{{Name: "tray", Count: 1, Conductors: 4, Metal: Copper, CMil: 26240}}, share, 0.8 * 4 * 0.008 * 26240},
		{"fiber among power: twice the weaker", []Cable{fiber(), {Name: "4/0", Count: 1, Metal: Copper, CMil: 211600}}, share, 2 * 600},
		{"maker's own", []Cable{{Name: "coax", Count: 1, Tension: 55 * lbf, Metal: Copper, CMil: 26240}}, share, 55},
		{"four-pair", []Cable{{Name: "four-pair", Count: 2, Class: FourPair}}, share, 50},
	} {
		got, _, missing := GroupTension(v.cables, v.share)
		if len(missing) > 0 || math.Abs(float64(got/lbf)-v.want) > 1e-6 {
			t.Errorf("%s: %v lbf, want %v, missing %q", v.name, got/lbf, v.want, missing)
		}
	}
}

// A basket grip caps a strong conductor, and no grip lifts a weak one.
func TestGrip(t *testing.T) {
	s := section(t)
	s.Cables, s.Attach = []Cable{feeder()}, Grip
	s.Duct.ID = 3 * in
	c := evaluate(t, s)
	if c.Tension.Name != "basket grip" || len(c.Bounds) != 3 {
		t.Errorf("%+v", c.Tension)
	}
	s.Cables = []Cable{{Name: "12", Count: 1, OD: 0.13 * in, Mass: 0.035, Class: Wire600, Metal: Copper, CMil: 6530}}
	if c := evaluate(t, s); c.Tension.Name != "cables" || math.Abs(float64(c.Sidewall.Force/unit.Newton(plf))-300) > 1e-6 {
		t.Errorf("%+v %+v", c.Tension, c.Sidewall)
	}
}

// Five and more cables: the whole on one is but a bound, so passing it alone
// is no verdict.
func TestComplexIsABound(t *testing.T) {
	s := section(t)
	k := feeder()
	k.Count, k.OD, k.Sidewall = 6, 0.3*in, 60
	s.Cables = []Cable{k}
	c := evaluate(t, s)
	if c.Arrangement != Complex || c.Outcome != CannotTell || !mentions(c.Missing, "share the sidewall pressure") {
		t.Errorf("%s %s %q %q", c.Arrangement, c.Outcome, c.Missing, c.Over)
	}
	s.Cables[0].Sidewall = 5
	if c := evaluate(t, s); c.Outcome != Over {
		t.Errorf("%s %q", c.Outcome, c.Missing)
	}
}

func TestInnerductAndInPlace(t *testing.T) {
	s := section(t)
	s.Duct = Duct{Name: "1-1/4 innerduct", ID: 1.25 * in, Innerduct: true}
	var ok bool
	if s.Friction, ok = FrictionOf("innerduct"); !ok {
		t.Fatal("no row")
	}
	c := evaluate(t, s)
	if c.Outcome != OK || math.Abs(float64(c.Occupancy.Found)-0.16) > 1e-12 || c.Occupancy.Allowed != 0.4 || c.Occupancy.Most != 0.5 {
		t.Errorf("%+v", c.Occupancy)
	}
	s.InPlace = []Cable{{Name: "old fiber", Count: 2, OD: 0.5 * in}}
	c = evaluate(t, s)
	if c.Occupancy.Holds || !mentions(c.Cautions, "de-energized") || !mentions(c.Cautions, "fill 48 %") {
		t.Errorf("%+v %q", c.Occupancy, c.Cautions)
	}
}

func TestLargest(t *testing.T) {
	s := section(t)
	long := s
	long.Path = append([]Element{Straight(100*ft, 0)}, s.Path...)
	bare := s
	bare.Cables = nil
	if at := Largest([]Card{evaluate(t, s), evaluate(t, bare), evaluate(t, long)}); at != 2 {
		t.Errorf("the largest is %d", at)
	}
	if Largest([]Card{evaluate(t, bare)}) != -1 {
		t.Error("a card without tension is the largest")
	}
}

// A card never says ok where the walk passes a limit, nor holds a number that
// is none.
func TestCardIsHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(0.05, 0.6).Draw(t, "friction")
		s := Section{
			Name: "drawn", A: End{Name: "A", Back: unit.Newton(rapid.Float64Range(0, 300).Draw(t, "back"))}, B: End{Name: "B"},
			Path: elements(t, route(t, 2)), Duct: Duct{ID: 2 * in}, Attach: Eye,
			Friction: Friction{Name: "drawn", Low: f / 2, Nominal: f * 0.75, High: f},
			Cables: []Cable{{
				Name: "drawn", Count: rapid.IntRange(1, 6).Draw(t, "count"), OD: unit.Metre(rapid.Float64Range(0.1, 0.9).Draw(t, "od")) * in, Mass: 0.5, Radius: in / 10,
				Tension: unit.Newton(rapid.Float64Range(50, 3000).Draw(t, "limit")), Sidewall: unit.NewtonPerM(rapid.Float64Range(50, 5000).Draw(t, "wall")),
			}},
		}
		c, err := Evaluate(s)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range c.Directions {
			within := d.Greatest.High <= c.Tension.Force*(1+1e-9) && d.Sidewall.High <= unit.NewtonPerM(c.Sidewall.Force)*(1+1e-9)
			if within != (d.Outcome == OK) && math.Abs(d.Use-1) > 1e-6 {
				t.Fatalf("%s: %+v", d.Outcome, d)
			}
			if math.IsNaN(d.Use) || math.IsInf(d.Use, 0) || math.IsNaN(d.HoldsTo) {
				t.Fatalf("%+v", d)
			}
		}
		again, _ := Evaluate(s)
		if !reflect.DeepEqual(c, again) {
			t.Fatal("the same section gave two cards")
		}
	})
}
