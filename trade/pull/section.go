package pull

import (
	"fmt"
	"math"

	"stubup/base/cite"
	"stubup/base/unit"
	"stubup/trade/conductor"
	"stubup/trade/raceway"
)

// End is a pull point at one end of a section and how cable would be fed there.
type End struct {
	Name string
	Back unit.Newton // tension off the reel when fed here
	// Turn is the bend between reel and raceway mouth, over a sheave or in a
	// feeding tube of TurnRadius; zero where the reel stands in line.
	Turn       unit.Degree
	TurnRadius unit.Metre
}

// Duct is the raceway of a section.
type Duct struct {
	Name      string
	ID        unit.Metre
	Innerduct bool
	Fill      unit.Ratio // the owner's allowed share of the area; zero: the usual one
}

// Attachment is how the line holds the cable.
type Attachment string

// The attachments.
const (
	Eye  Attachment = "pulling eye"
	Grip Attachment = "basket grip"
)

// Section is what is pulled between two pull points.
type Section struct {
	Name     string
	Units    unit.System // in which what is said of it is printed
	A, B     End
	Path     []Element // from A to B
	Duct     Duct
	Cables   []Cable // pulled together
	InPlace  []Cable // already in the raceway; counted in its fill only
	Friction Friction
	Attach   Attachment
	// Arrangement of the cables; empty: ArrangementOf.
	Arrangement Arrangement
	// GroupShare is the share of the summed limits above three conductors;
	// zero: the usual 0.8. Airfield practice is 1.
	GroupShare unit.Ratio
	Device     unit.Newton // rating of the weakest of puller, line and swivel; zero: the usual one
}

// Range is a value at the low, nominal and high friction.
type Range[T ~float64] struct{ Low, Nominal, High T }

func (r *Range[T]) set(i int, v T) { *[]*T{&r.Low, &r.Nominal, &r.High}[i] = v }

// Bound is one limit with its ground.
type Bound struct {
	Name  string
	Force unit.Newton
	Cite  cite.Ref
}

// At is the pull at one element of a section, in one direction.
type At struct {
	Name          string
	Form          Form
	Length        unit.Metre // along the centerline
	Angle         unit.Degree
	Inside        unit.Metre // inside radius of a bend
	In, Out, Peak Range[unit.Newton]
	Sidewall      Range[unit.NewtonPerM] // on the worst cable; zero on a straight
}

// Direction is a pull from one end.
type Direction struct {
	Feed, Pull string
	Back       unit.Newton        // as given
	HoldBack   Range[unit.Newton] // what the reel must be braked with; zero: nothing
	Entering   Range[unit.Newton] // the larger of the two
	Steps      []At
	End        Range[unit.Newton] // at the pulling end
	Greatest   Range[unit.Newton] // anywhere
	Worst      int                // the step with the greatest tension, at high friction
	Sidewall   Range[unit.NewtonPerM]
	WorstBend  int // the step with the greatest sidewall pressure; -1 without bends
	// Allowance is what may enter at the feed, at each friction: the margin is
	// what it leaves over Entering.
	Allowance Range[unit.Newton]
	// HoldsTo is the largest friction at which the limits hold; the high one
	// where they hold there, zero where they hold at none.
	HoldsTo float64
	Use     float64 // the largest share of any limit, at high friction
	Outcome Outcome
	Over    []string // the limits that are passed, at high friction
	// Unshared says that the sidewall limit holds or not by how the cables share
	// the pressure, which no form tells for five and more.
	Unshared bool
}

// Outcome is the answer for a section.
type Outcome string

// The outcomes. CannotTell names what is missing.
const (
	OK         Outcome = "ok"
	Over       Outcome = "over"
	CannotTell Outcome = "cannot tell"
)

// Occupancy is the share of the raceway that is filled. The fill rule of the
// code, with its printed areas, decides.
type Occupancy struct {
	Found, Allowed unit.Ratio
	Most           unit.Ratio // of innerduct: the fullest that practice takes; zero elsewhere
	Holds          bool
	Cite           cite.Ref
}

// Radius is the least bend of a section against what a cable asks.
type Radius struct {
	Cable string
	Least unit.Metre // asked of the inside radius
	Found unit.Metre // tightest inside radius of the path
	At    string
	Holds bool
	Cite  cite.Ref
}

// Card is the pull of one section, for a sheet that goes to the crew.
type Card struct {
	Section     string
	units       unit.System
	Cables      []Cable
	Count       int
	Weight      unit.NewtonPerM // of all
	Diameter    unit.Metre      // mean of the cables
	Length      unit.Metre
	Bends       unit.Degree
	Arrangement Arrangement
	Factor      float64 // weight correction
	Share       float64 // sidewall share of the worst cable
	Friction    Friction
	Bounds      []Bound // every tension limit
	Tension     Bound   // the smallest of them
	Sidewall    Bound   // N per metre of bend
	Jam         *JamRatios
	Clearance   *Clearances
	Occupancy   *Occupancy
	Radii       []Radius
	Directions  []Direction // fed at A, then at B; empty where a figure is missing
	Best        int         // of Directions; -1 without any
	Outcome     Outcome
	Over        []string // limits that are passed, pulled the best way, at high friction
	Missing     []string // what an answer needs
	Cautions    []string
	Cite        []cite.Ref
}

// caution are the words that go on every card.
var caution = []string{
	"The makers' figures for cable, grip, line, swivel and lubricant replace those here; the weakest of them is the limit.",
	"Keep clear of the line and of its reach while it is under tension; agree on a stop signal; pull with a tension gauge in sight.",
}

// Evaluate returns the card of a section. What is not given is listed in
// Missing; what is wrong is an error that names it.
func Evaluate(s Section) (Card, error) {
	c := Card{Section: s.Name, Cables: s.Cables, Friction: s.Friction, Best: -1, units: s.Units, Cautions: append([]string(nil), caution...)}
	if err := s.check(); err != nil {
		return Card{}, err
	}
	c.measure(s)
	known := c.cables(s)
	c.limits(s)
	c.radii(s)
	if known {
		c.directions(s)
	}
	c.judge()
	return c, nil
}

func (s Section) check() error {
	if err := CheckPath(s.Path); err != nil {
		return err
	}
	if len(s.Path) == 0 {
		return fmt.Errorf("the section has no path")
	}
	for _, k := range append(append([]Cable(nil), s.Cables...), s.InPlace...) {
		if err := k.Check(); err != nil {
			return err
		}
	}
	if err := s.Friction.Check(); err != nil {
		return err
	}
	for _, v := range []struct {
		name  string
		value float64
	}{{"inside diameter", float64(s.Duct.ID)}, {"allowed fill", float64(s.Duct.Fill)}, {"group share", float64(s.GroupShare)}, {"rating of the pulling gear", float64(s.Device)}} {
		if !(v.value >= 0) || math.IsInf(v.value, 0) {
			return fmt.Errorf("the %s is %v", v.name, v.value)
		}
	}
	for _, e := range []End{s.A, s.B} {
		if !(e.Back >= 0) || math.IsInf(float64(e.Back), 0) {
			return fmt.Errorf("%s: a back tension of %v", e.Name, float64(e.Back))
		}
		if e.Turn != 0 {
			if err := e.turn().Check(); err != nil {
				return fmt.Errorf("set-up at %s: %w", e.Name, err)
			}
		}
	}
	n := 0
	for _, k := range s.Cables {
		n += k.Count
	}
	if s.Arrangement != "" && !s.Arrangement.takes(n) {
		return fmt.Errorf("%q is no arrangement of %d cables", s.Arrangement, n)
	}
	if s.Duct.ID > 0 {
		return Limits{Tension: 1, Half: s.Duct.ID / 2}.check(s.Path)
	}
	return nil
}

// turn returns the bend between reel and raceway. How the reel stands is taken
// as level: its weight is a foot or two of cable.
func (e End) turn() Element {
	b := LevelBend(e.Turn, e.TurnRadius)
	b.Name, b.Open = "set-up at "+e.Name, true
	return b
}

func (c *Card) measure(s Section) {
	for _, e := range s.Path {
		c.Length += e.Run()
		c.Bends += e.Angle
	}
}

// cables fills in what is pulled and reports whether tension can be computed.
func (c *Card) cables(s Section) bool {
	miss := func(what string, args ...any) { c.Missing = append(c.Missing, fmt.Sprintf(what, args...)) }
	known := true
	od, area := unit.Metre(0), 0.0
	unequal := false
	for _, k := range s.Cables {
		if k.Count == 0 {
			continue
		}
		if k.Mass == 0 {
			miss("the weight of %s", k.Name)
			known = false
		}
		if k.OD == 0 {
			miss("the outside diameter of %s", k.Name)
		}
		unequal = unequal || c.Count > 0 && k.OD != od/unit.Metre(c.Count)
		c.Count += k.Count
		c.Weight += unit.NewtonPerM(float64(k.Count) * float64(k.Mass) * gravity)
		od += k.OD * unit.Metre(k.Count)
		area += float64(k.Count) * float64(k.OD*k.OD)
	}
	if c.Count == 0 {
		miss("the cables")
		return false
	}
	if s.Friction == (Friction{}) {
		miss("the friction of the cable in the raceway")
		known = false
	}
	if s.Duct.ID == 0 {
		miss("the inside diameter of the raceway")
	}
	for _, m := range c.Cables {
		if m.Count > 0 && m.OD == 0 {
			return false
		}
	}
	if s.Duct.ID == 0 {
		return false
	}
	c.Diameter = od / unit.Metre(c.Count)
	c.Arrangement = s.Arrangement
	if c.Arrangement == "" {
		c.Arrangement = ArrangementOf(c.Count, c.Diameter, s.Duct.ID)
	}
	wc, from, err := WeightCorrection(c.Arrangement, c.Diameter, s.Duct.ID)
	if err != nil || float64(s.Duct.ID) <= fits(c.Count)*float64(c.Diameter) {
		c.Over = append(c.Over, fmt.Sprintf("%d cables of %s in do not go into an inside diameter of %s in", c.Count, unit.Trim(c.Diameter.In(), 3), unit.Trim(s.Duct.ID.In(), 3)))
		known = false
	}
	c.Factor = wc
	c.Cite = append(c.Cite, from, s.Friction.Cite)
	if c.Factor > 0 {
		c.Share, _ = SidewallShare(c.Arrangement, c.Factor)
	}
	if c.Count == 3 {
		j := Jam(c.Diameter, s.Duct.ID)
		c.Jam = &j
		if j.Risk {
			c.caution("Three cables may jam side by side in this raceway: by one rule the ratio is %s (%s), by the other %s (%s). Change the raceway or bind the cables.", unit.Trim(j.Grown, 2), j.GrownBand, unit.Trim(j.Plain, 2), j.PlainBand)
		}
	}
	if v, ok := Clearance(c.Arrangement, c.Diameter, s.Duct.ID); ok {
		c.Clearance = &v
		if v.Low {
			c.caution("Clearance over the cables is %s in, less than %s in: pull a mandrel and a short piece of the same cable first.", unit.Trim(v.Least.In(), 2), unit.Trim(v.Target.In(), 2))
		}
	}
	if unequal && c.Count > 1 {
		c.caution("The cables are not equal: jam, clearance and weight correction take their mean diameter.")
	}
	n := c.Count
	for _, k := range s.InPlace {
		if k.Count > 0 && k.OD == 0 {
			miss("the outside diameter of %s", k.Name)
		}
		n += k.Count
		area += float64(k.Count) * float64(k.OD*k.OD)
	}
	if n > c.Count {
		c.caution("Cable is in place in this raceway: have it de-energized or proven fit to be pulled over, and expect a friction above the range.")
	}
	c.occupancy(s, n, area/float64(s.Duct.ID*s.Duct.ID))
	return known
}

func (c *Card) occupancy(s Section, n int, found float64) {
	o := Occupancy{Found: unit.Ratio(found)}
	switch {
	case s.Duct.Fill > 0:
		o.Allowed, o.Cite = s.Duct.Fill, cite.Ref{Work: "the owner's fill, as entered", Seen: cite.Derived}
	case s.Duct.Innerduct:
		v, r := figure("innerduct.fill")
		most, _ := figure("innerduct.fill.most")
		o.Allowed, o.Most, o.Cite = unit.Ratio(v), unit.Ratio(most), r
	default:
		o.Allowed, o.Cite = raceway.FillShare(n, false)
	}
	o.Holds = o.Found <= o.Allowed*(1+1e-9)
	c.Occupancy = &o
	if !o.Holds {
		c.caution("The cables fill %s %% of the raceway, above %s %%.", unit.Trim(found*100, 1), unit.Trim(float64(o.Allowed)*100, 1))
	}
}

func (c *Card) caution(words string, args ...any) {
	c.Cautions = append(c.Cautions, fmt.Sprintf(words, args...))
}

// limits lists every tension limit, and the sidewall limit of the cable that
// bears least.
func (c *Card) limits(s Section) {
	share := s.GroupShare
	if share == 0 {
		share, _, _ = GroupShare()
	}
	t, ref, missing := GroupTension(s.Cables, share)
	c.Missing = append(c.Missing, missing...)
	if t > 0 {
		c.Bounds = append(c.Bounds, Bound{"cables", t, ref})
	}
	switch s.Attach {
	case Grip:
		g, ref := GripLimit()
		c.Bounds = append(c.Bounds, Bound{"basket grip", g, ref})
	case Eye:
	default:
		c.Missing = append(c.Missing, "how the line holds the cable: pulling eye or basket grip")
	}
	d, ref := DeviceLimit()
	if s.Device > 0 {
		d, ref = s.Device, cite.Ref{Work: "rating of the pulling gear, as entered", Seen: cite.Derived}
	}
	c.Bounds = append(c.Bounds, Bound{"pulling gear", d, ref})
	c.Tension = c.Bounds[0]
	for _, b := range c.Bounds {
		if b.Force < c.Tension.Force {
			c.Tension = b
		}
	}
	for _, k := range s.Cables {
		if k.Count == 0 {
			continue
		}
		p, ref, ok := SidewallLimit(k)
		switch {
		case !ok:
			c.caution("No sidewall limit of %s is given: its bend radius and its tension are checked, the pressure is only printed.", k.Name)
		case c.Sidewall.Force == 0 || unit.Newton(p) < c.Sidewall.Force:
			c.Sidewall = Bound{"sidewall of " + k.Name, unit.Newton(p), ref}
		}
	}
}

// radii holds the tightest bend against what each cable asks.
func (c *Card) radii(s Section) {
	if s.Duct.ID == 0 {
		return
	}
	m := Limits{Half: s.Duct.ID / 2}
	tight, at := unit.Metre(math.Inf(1)), ""
	path := append([]Element(nil), s.Path...)
	for _, e := range []End{s.A, s.B} {
		if e.Turn > 0 {
			path = append(path, e.turn())
		}
	}
	for i, e := range path {
		if e.Bend() && m.inside(e) < tight {
			tight, at = m.inside(e), e.label(i)
		}
	}
	if at == "" {
		return
	}
	for _, k := range s.Cables {
		if k.Count == 0 {
			continue
		}
		r, ref, ok := LeastRadius(k)
		if !ok {
			if k.OD > 0 {
				c.Missing = append(c.Missing, "the least bend radius of "+k.Name)
			}
			continue
		}
		v := Radius{Cable: k.Name, Least: r, Found: tight, At: at, Holds: tight >= r*(1-1e-9), Cite: ref}
		c.Radii = append(c.Radii, v)
		if !v.Holds {
			c.Over = append(c.Over, fmt.Sprintf("%s: inside radius %s in, %s asks %s in", at, unit.Trim(tight.In(), 2), k.Name, unit.Trim(r.In(), 2)))
		}
	}
}

func (c *Card) limitsOf(s Section) Limits {
	return Limits{Tension: c.Tension.Force, Sidewall: unit.NewtonPerM(c.Sidewall.Force), Share: c.Share, Half: s.Duct.ID / 2}
}

func (c *Card) directions(s Section) {
	m := c.limitsOf(s)
	for _, d := range []struct {
		feed, pull End
		path       []Element
	}{{s.A, s.B, s.Path}, {s.B, s.A, Reverse(s.Path)}} {
		path := d.path
		if d.feed.Turn > 0 {
			path = append([]Element{d.feed.turn()}, path...)
		}
		c.Directions = append(c.Directions, c.direction(d.feed, d.pull, path, m))
	}
	c.Best = 0
	if b := c.Directions[1]; b.better(c.Directions[0]) {
		c.Best = 1
	}
	if h := c.Directions[c.Best].HoldBack.High; h > 0 {
		c.caution("The cable runs ahead by its own weight: brake the reel at %s with %s or more.", c.Directions[c.Best].Feed, s.Units.Force(h))
	}
}

// better reports whether a direction is to be preferred: by its outcome, then
// by the largest share of any limit, then by the tension at its end.
func (d Direction) better(o Direction) bool {
	rank := map[Outcome]int{OK: 0, CannotTell: 1, Over: 2}
	if rank[d.Outcome] != rank[o.Outcome] {
		return rank[d.Outcome] < rank[o.Outcome]
	}
	if math.Abs(d.Use-o.Use) > 1e-9 {
		return d.Use < o.Use
	}
	return d.End.High < o.End.High*(1-1e-9)
}

func (c *Card) direction(feed, pulled End, path []Element, m Limits) Direction {
	d := Direction{Feed: feed.Name, Pull: pulled.Name, Back: feed.Back, WorstBend: -1}
	for i, e := range path {
		a := At{Name: e.label(i), Form: e.Form(), Length: e.Run(), Angle: e.Angle}
		if e.Bend() {
			a.Inside = m.inside(e)
		}
		d.Steps = append(d.Steps, a)
	}
	load := func(f float64) Load { return Load{Weight: c.Weight, Friction: f, Factor: c.Factor} }
	holds := func(f float64) bool { return allowance(path, load(f), m).Holds(feed.Back) }
	for i, f := range []float64{c.Friction.Low, c.Friction.Nominal, c.Friction.High} {
		l := load(f)
		a := allowance(path, l, m)
		enter := max(feed.Back, a.Least)
		d.HoldBack.set(i, a.Least)
		d.Entering.set(i, enter)
		d.Allowance.set(i, a.Most)
		greatest, press := enter, unit.NewtonPerM(0)
		for j, s := range tensions(path, l, enter) {
			at := &d.Steps[j]
			at.In.set(i, s.In)
			at.Out.set(i, s.Out)
			at.Peak.set(i, s.Peak)
			if s.Peak > greatest || j == 0 {
				greatest, d.Worst = max(greatest, s.Peak), j
			}
			if path[j].Bend() {
				p := Sidewall(s.Peak, at.Inside, c.Share)
				at.Sidewall.set(i, p)
				if p > press || d.WorstBend < 0 {
					press, d.WorstBend = p, j
				}
			}
			d.End.set(i, s.Out)
		}
		d.Greatest.set(i, greatest)
		d.Sidewall.set(i, press)
	}
	d.Use = float64(d.Greatest.High / m.Tension)
	if m.Sidewall > 0 {
		d.Use = math.Max(d.Use, float64(d.Sidewall.High/m.Sidewall))
	}
	d.HoldsTo = c.Friction.High
	if !holds(c.Friction.High) {
		d.HoldsTo = holdsTo(holds, c.Friction.Low, c.Friction.Nominal, c.Friction.High)
	}
	switch {
	case holds(c.Friction.High):
		d.Outcome = OK
	case holds(c.Friction.Low):
		d.Outcome = CannotTell
	default:
		d.Outcome = Over
		// Where the share of the worst cable is but a bound, even shares decide.
		even := m
		even.Share = c.Factor / float64(c.Count)
		if _, bound := SidewallShare(c.Arrangement, c.Factor); bound && allowance(path, load(c.Friction.Low), even).Holds(feed.Back) {
			d.Outcome, d.Unshared = CannotTell, true
		}
	}
	if d.Outcome != OK {
		d.Over = c.passed(d, m)
	}
	return d
}

// passed says which limits a direction passes at high friction.
func (c *Card) passed(d Direction, m Limits) []string {
	var out []string
	if d.Greatest.High > m.Tension {
		out = append(out, fmt.Sprintf("fed at %s: tension %s at %s, %s allows %s", d.Feed, c.units.Force(d.Greatest.High), d.Steps[d.Worst].Name, c.Tension.Name, c.units.Force(m.Tension)))
	}
	if m.Sidewall > 0 && d.Sidewall.High > m.Sidewall {
		out = append(out, fmt.Sprintf("fed at %s: sidewall pressure %s at %s, limit %s", d.Feed, c.units.Side(d.Sidewall.High), d.Steps[d.WorstBend].Name, c.units.Side(m.Sidewall)))
	}
	return out
}

func allowance(path []Element, l Load, m Limits) Allowance {
	a := Allowance{Most: m.Tension}
	for i := len(path) - 1; i >= 0; i-- {
		a = path[i].before(a, l, m)
	}
	return a
}

// holdsTo returns the largest friction up to 2 at which a pull holds, in
// thousandths and rounded down. It starts from frictions tried, for more of it
// may also help: on a steep fall the brake bears less.
func holdsTo(holds func(float64) bool, tried ...float64) float64 {
	lo, hi, found := 0.0, 2.0, holds(0)
	for _, f := range tried {
		if f > lo && holds(f) {
			lo, found = f, true
		}
	}
	switch {
	case !found:
		return 0
	case lo >= hi || holds(hi):
		return math.Max(lo, hi)
	}
	for hi-lo > 1e-4 {
		if m := (lo + hi) / 2; holds(m) {
			lo = m
		} else {
			hi = m
		}
	}
	return math.Floor(lo*1000+1e-3) / 1000
}

// judge joins what was found to one outcome.
func (c *Card) judge() {
	wall := len(c.Over) > 0
	if c.Best >= 0 {
		best := c.Directions[c.Best]
		if best.Outcome == Over {
			wall = true
		}
		c.Over = append(c.Over, best.Over...)
		switch {
		case best.Unshared:
			c.Missing = append(c.Missing, "how the cables share the sidewall pressure; ask their maker")
		case best.Outcome == CannotTell:
			c.Missing = append(c.Missing, fmt.Sprintf("the friction of this cable, lubricant and raceway: fed at %s it holds up to %s", best.Feed, unit.Trim(best.HoldsTo, 2)))
		}
	}
	switch {
	case wall:
		c.Outcome = Over
	case len(c.Missing) > 0:
		c.Outcome = CannotTell
	default:
		c.Outcome = OK
	}
}

// Largest returns the index of the card whose best direction has the greatest
// tension, or -1 where none has any.
func Largest(cards []Card) int {
	at, most := -1, unit.Newton(math.Inf(-1))
	for i, c := range cards {
		if c.Best >= 0 && c.Directions[c.Best].Greatest.High > most {
			at, most = i, c.Directions[c.Best].Greatest.High
		}
	}
	return at
}

// ConductorArea returns the circular mils of a size, for Cable.CMil.
func ConductorArea(w unit.Wire) float64 { return conductor.CircularMils(w) }
