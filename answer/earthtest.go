package answer

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/cite"
	"stubup/base/geom"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/site"
	"stubup/trade/earthtest"
	"stubup/trade/ground"
)

// Figures without a printed source, common practice: how near to a corner a
// clip counts as on it, how long a meter's calibration is taken to last, and
// how many times the resistivity of a top rises as it freezes.
const (
	atCorner      = 1.0 // m
	calibratedFor = 365 // days
	frostTimes    = 10
)

// EarthTest is a test of the document with its judgment.
type EarthTest struct {
	Test     site.EarthTest
	Judged   earthtest.Result
	Missing  string // why it cannot be judged at all
	Lead     earthtest.Lead
	Stake    unit.Metre
	Bearing  string // "S", "N 45 E"; empty where the direction is not told
	Shapes   []earthtest.Shape
	Diagonal unit.Metre
	// Of the shape that is believed: what the whole ground reads, and with the
	// frost that the test says.
	Predicted, Frozen unit.Ohm
	Value             Answer // what the limit is held against
}

// Limit returns the owner's resistance limit: the least of those asked.
func (b *Book) Limit() (site.OwnerRule, bool) {
	var out site.OwnerRule
	ok := false
	for _, o := range b.Plan.Site.Owner.Rules {
		if o.Key == "resistance-limit" && o.Ohms.Set && (!ok || o.Ohms.SI < out.Ohms.SI) {
			out, ok = o, true
		}
	}
	return out, ok
}

// EarthTests returns the earth tests of the document, judged, in its order.
func (b *Book) EarthTests() []EarthTest {
	return memo(b, "ground.tests", func() []EarthTest {
		var out []EarthTest
		for _, t := range b.Plan.Site.Tests {
			out = append(out, b.earthTest(t))
		}
		return out
	})
}

// Together returns what the lines of the site say beside each other.
func (b *Book) Together() []earthtest.Flag {
	var lines []earthtest.Result
	for _, t := range b.EarthTests() {
		if t.Missing == "" && t.Test.Method == site.FallOfPotential {
			lines = append(lines, t.Judged)
		}
	}
	if len(lines) == 0 {
		return nil
	}
	return earthtest.Together(lines...)
}

func (b *Book) earthTest(t site.EarthTest) EarthTest {
	e := EarthTest{Test: t, Stake: t.Outer.SI, Diagonal: b.Diagonal()}
	switch {
	case len(t.Readings) == 0:
		e.Missing = "no reading has been taken"
	case t.Method == site.TwoPoint:
		e.Missing = "a reading against another ground holds that ground's resistance and the leads'; it says nothing of this one alone. Do a three-pole test"
	case t.Method == site.ClampOn:
		b.clampOn(&e)
	case !t.Outer.Set:
		e.Missing = "how far out the outer stake stood"
	default:
		b.threePole(&e)
	}
	if e.Missing == "" {
		e.Value = b.testValue(&e)
	}
	return e
}

func (b *Book) threePole(e *EarthTest) {
	t := e.Test
	e.Lead, e.Bearing = b.lead(t)
	x := earthtest.Test{Lead: e.Lead, Stake: t.Outer.SI, Diagonal: e.Diagonal, Conditions: b.conditions(t), Units: b.Plan.Site.Units}
	for _, r := range t.Readings {
		if r.At.Set {
			asked := slices.ContainsFunc(t.Asked, func(q unit.Q[unit.Metre]) bool { return math.Abs(float64(q.SI-r.At.SI)) < 0.01 })
			x.Readings = append(x.Readings, earthtest.Reading{At: r.At.SI, Ohm: r.Ohms.SI, Asked: asked})
		}
	}
	if len(x.Readings) == 0 {
		e.Missing = "where the inner stake stood for any of the readings"
		return
	}
	if o, ok := b.Limit(); ok {
		x.Limit, x.LimitSource = o.Ohms.SI, o.Source
	}
	if e.Bearing != "" {
		e.Shapes = b.shapes(e.Lead)
	}
	x.Shapes = e.Shapes
	if len(b.Plan.Site.Soil.Readings) > 0 {
		if band := b.Band(); band.OK() {
			x.Low, x.High = unit.Ohm(band.NinetyPct.Low), unit.Ohm(band.NinetyPct.High)
		}
	}
	if len(e.Shapes) > 0 {
		e.Predicted = e.Shapes[0].Resistance
		if t.Frozen.Set && t.Frozen.SI > 0 {
			e.Frozen = b.frozen(t.Frozen.SI)
			x.Conditions.FrozenModel, x.Conditions.ThawedModel = e.Frozen, e.Predicted
		}
	}
	r, err := earthtest.Judge(x)
	if err != nil {
		e.Missing = err.Error()
		return
	}
	e.Judged = r
}

func (b *Book) clampOn(e *EarthTest) {
	t := e.Test
	c := earthtest.ClampOn{Ohm: t.Readings[0].Ohms.SI, Around: t.Around, Conditions: b.conditions(t)}
	if o, ok := b.Limit(); ok {
		c.Limit, c.LimitSource = o.Ohms.SI, o.Source
	}
	// Until something else is bonded to it the ring stands alone, and a clamp
	// on it or on a whip has no way back but the ring itself.
	switch t.Disconnected {
	case "yes":
		c.Path = earthtest.PathIsolated
		if spoken := t.Around; spoken == "ring" || spoken == "the ring" {
			c.Path = earthtest.PathLoop
			if n, err := b.Metal(refTemperature); err == nil {
				c.Loop = n.Loop
			}
		}
	case "no":
		c.Path = earthtest.PathSystem
	}
	r, err := earthtest.JudgeClampOn(c)
	if err != nil {
		e.Missing = err.Error()
		return
	}
	e.Judged = r
}

// testValue keeps what a test says as a value with its descent.
func (b *Book) testValue(e *EarthTest) Answer {
	v, ok := e.Judged.Best()
	if !ok || e.Test.Method != site.FallOfPotential {
		return cannot("a value: the flags say why")
	}
	var from []*trace.Value
	for i, r := range e.Test.Readings {
		from = append(from, trace.Input(fmt.Sprintf("tests.%s.readings[%d]", e.Test.ID, i+1), "reading at "+r.At.Text, float64(r.Ohms.SI), "ohm", r.Ohms.Text, trace.Measured, cite.Ref{}))
	}
	name := "resistance by test " + e.Test.ID
	by := trace.By{ID: "earthtest.rule", Equation: "the larger of the rules that are valid here", Cite: cite.Ref{Work: "fall of potential", Place: "62 % rule and slope method", Seen: cite.FromMemory}}
	text := unit.Ohms(v)
	if f := e.Judged.Fit; f.Known && !f.Odd {
		by = trace.By{ID: "earthtest.fit", Equation: "ln R(p) = ln k + ln S(p) + stakes + discrepancy + noise; R = k S", Put: fmt.Sprintf("%d readings, band %s to %s", f.Readings, unit.Ohms(f.Low), unit.Ohms(f.High)), Cite: cite.Ref{Work: "fit of the curve", Place: "of this ground in its soil", Seen: cite.Derived}}
	}
	return b.keep(trace.Derive("tests."+e.Test.ID, name, float64(v), "ohm", text, by, from...))
}

// Diagonal returns the longest distance across the ring.
func (b *Book) Diagonal() unit.Metre {
	if b.Plan.Ring == nil {
		return 0
	}
	var d float64
	ps := b.Plan.Ring.Polyline(arcTol)
	for i, p := range ps {
		for _, q := range ps[i+1:] {
			d = math.Max(d, p.Dist(q))
		}
	}
	return unit.Metre(d)
}

// lead returns the line of a test and its bearing in words. The zero is at the
// clip or in the middle of the ring; a clip on a corner is found from its
// place. Where nobody says in which direction the line ran, it has none.
func (b *Book) lead(t site.EarthTest) (earthtest.Lead, string) {
	l := earthtest.Lead{Name: t.ID}
	ring := b.Plan.Ring
	if ring == nil {
		return l, ""
	}
	var from geom.Point
	switch {
	case t.Zero == "center":
		l.Zero = earthtest.AtCenter
		from = geom.Outline(ring.Polyline(arcTol)).Centroid()
	case t.Zero == "clip" && t.HasClip:
		from = t.Clip
		l.Zero = earthtest.AtEdge
		for _, c := range ring.Corners {
			if c.Dist(t.Clip) <= atCorner {
				l.Zero = earthtest.AtCorner
			}
		}
	default:
		return l, ""
	}
	l.From = [2]float64{from.X, from.Y}
	if !t.HasToward {
		return l, ""
	}
	d := t.Toward.Sub(from)
	if d.Norm() < geom.Eps {
		return l, ""
	}
	l.Bearing = math.Atan2(d.Y, d.X)
	return l, bearingWords(d)
}

// bearingWords returns a direction as a surveyor says it: "N", "S 30 E".
func bearingWords(d geom.Point) string {
	ns, ew := "N", "E"
	if d.Y < 0 {
		ns = "S"
	}
	if d.X < 0 {
		ew = "W"
	}
	a := math.Atan2(math.Abs(d.X), math.Abs(d.Y)) * 180 / math.Pi
	switch {
	case a < 0.5:
		return ns
	case a > 89.5:
		return ew
	}
	return fmt.Sprintf("%s %s %s", ns, unit.Trim(a, 0), ew)
}

// asStands is the electrode as it is in the ground: rods as they were driven.
var asStands = Electrode{Actual: true}

// shapes returns what is believed of the curve along a lead: the ground as it
// stands in the soil as it is modeled.
func (b *Book) shapes(l earthtest.Lead) []earthtest.Shape {
	g := b.SoilModel()
	if b.Plan.Ring == nil || !b.Plan.Wire().Set() || !g.OK() {
		return nil
	}
	key, e := "ground.resistance.design", Electrode{}
	for _, r := range b.Plan.Rods {
		if r.Driven != r.Length || r.Lies != "" { // else it stands as it was wanted
			key, e = "ground.resistance.as-driven", asStands
		}
	}
	s, err := b.solution(key, g.Model, e)
	if err != nil {
		return nil
	}
	return []earthtest.Shape{b.shape(s, l, g.Kind)}
}

// shape is earthtest.Predicted with what it reads remembered: a fit asks for
// the same stakes several times.
func (b *Book) shape(s *ground.Solution, l earthtest.Lead, name string) earthtest.Shape {
	sh := earthtest.Predicted(s, 0, l, name, 1)
	ask := sh.Predict
	seen := map[string][]unit.Ohm{}
	sh.Predict = func(stake unit.Metre, probes []unit.Metre) ([]unit.Ohm, error) {
		key := fmt.Sprint(float64(stake), probes)
		if v, ok := seen[key]; ok {
			return v, nil
		}
		v, err := ask(stake, probes)
		if err == nil {
			seen[key] = v
		}
		return v, err
	}
	return sh
}

// frozen returns what the ground reads with its top frozen to a depth; 0 where
// that cannot be told.
func (b *Book) frozen(depth unit.Metre) unit.Ohm {
	g := b.SoilModel()
	times := b.Plan.Site.Soil.FrozenTimes
	if times == 0 {
		times = frostTimes
	}
	m, err := g.Model.Frozen(depth, unit.Ratio(times))
	if err != nil {
		return 0
	}
	s, err := b.solution(fmt.Sprintf("frozen.%g", float64(depth)), m, asStands)
	if err != nil {
		return 0
	}
	return s.Resistance(0)
}

// conditions turns the words of a test into what its judge asks. What nobody
// said stays unasked.
func (b *Book) conditions(t site.EarthTest) earthtest.Conditions {
	said := func(w string) earthtest.Answer {
		switch w {
		case "yes":
			return earthtest.Yes
		case "no":
			return earthtest.No
		}
		return earthtest.Unasked
	}
	c := earthtest.Conditions{OthersOff: said(t.Disconnected), Wetted: said(t.Wetted)}
	switch t.Trench {
	case "open":
		c.Trench = earthtest.Open
	case "backfilled":
		c.Trench = earthtest.Backfilled
	}
	if t.Frozen.Set {
		c.Frozen = earthtest.No
		if t.Frozen.SI > 0 {
			c.Frozen, c.FrostDepth = earthtest.Yes, t.Frozen.SI
		}
	}
	// The clock of the judge starts at the first reading.
	c.FirstReading = earthtest.At(0)
	if t.Rain.Set {
		c.RainEnded = earthtest.At(-float64(t.Rain.SI) / 3600)
	}
	for _, o := range b.Plan.Site.Owner.Rules {
		if o.Key == "dry-before-test" && o.Time.Set {
			if h := float64(o.Time.SI) / 3600; h > c.RainHours {
				c.RainHours, c.RainWords = h, o.Time.Text+" after rain"
			}
		}
	}
	if day, ok := dayOf(t.Date); ok {
		if cal, ok := dayOf(t.Calibrated); ok {
			c.Calibration = earthtest.At(24 * float64(cal+calibratedFor-day))
		}
	}
	return c
}

// dayOf returns the number of the day of a date or time as written, 2026-01-30
// counted from March of year 0 in the Gregorian calendar. No clock is asked.
func dayOf(s string) (int, bool) {
	y, rest, ok := unit.Whole(s)
	m, rest, ok2 := unit.Whole(strings.TrimPrefix(rest, "-"))
	d, _, ok3 := unit.Whole(strings.TrimPrefix(rest, "-"))
	if !ok || !ok2 || !ok3 || m < 1 || m > 12 || d < 1 || d > 31 {
		return 0, false
	}
	if m < 3 { // the year begins in March, so that its odd day is its last
		y, m = y-1, m+12
	}
	return 365*y + y/4 - y/100 + y/400 + (153*(m-3)+2)/5 + d - 1, true
}

// LeadLength is what a line of some length out from the ring would read.
type LeadLength struct {
	Stake unit.Metre
	Inner unit.Metre // where the inner stake reads true
	Share float64
	Error unit.Ratio // predicted of a reading there
	Rules earthtest.RuleBias
}

// LeadPlan is where stakes should go on this site, before anyone walks.
type LeadPlan struct {
	Clip    geom.Point
	Bearing string
	Asked   unit.Metre // by the habit of five diagonals
	Lengths []LeadLength
	Missing string
}

// leadLengths are the lengths that are looked at, in diagonals of the ring.
var leadLengths = []float64{1.4, 2, 3, 5}

// PlanLead returns what lines of several lengths would read, straight out from
// the middle of the ring's longest side.
func (b *Book) PlanLead() LeadPlan {
	return memo(b, "ground.lead-plan", func() LeadPlan {
		p := b.Plan
		if p.Ring == nil {
			return LeadPlan{Missing: "no ring is drawn"}
		}
		var side geom.Segment
		for _, s := range p.Ring.Straights() {
			if s.A.Dist(s.B) > side.A.Dist(side.B)+geom.Eps {
				side = s
			}
		}
		d := b.Diagonal()
		clip := side.A.Add(side.B.Sub(side.A).Scale(0.5))
		out := p.Outward(clip)
		lp := LeadPlan{Clip: clip, Bearing: bearingWords(out), Asked: 5 * d}
		l := earthtest.Lead{Name: "out from the longest side", From: [2]float64{clip.X, clip.Y}, Bearing: math.Atan2(out.Y, out.X), Zero: earthtest.AtEdge}
		shapes := b.shapes(l)
		if len(shapes) == 0 {
			g := b.SoilModel()
			lp.Missing = g.Missing
			return lp
		}
		for _, k := range leadLengths {
			stake := roundRun(p.Site.Units, unit.Metre(k)*d)
			as, err := earthtest.Advise([]earthtest.Allowed{{Lead: l, Nearest: stake, Longest: stake}}, func(earthtest.Lead) ([]earthtest.Shape, error) { return shapes, nil }, earthtest.FitOptions{})
			if err != nil {
				lp.Missing = err.Error()
				return lp
			}
			a := as[0]
			lp.Lengths = append(lp.Lengths, LeadLength{Stake: a.Stake, Inner: a.Inner, Share: a.Share, Error: a.Error, Rules: a.Rules})
		}
		return lp
	})
}

// roundRun rounds a run of lead to 10 ft or 5 m.
func roundRun(u unit.System, m unit.Metre) unit.Metre {
	step := 10 * unit.Foot
	if u == unit.SI {
		step = 5
	}
	return unit.Metre(math.Round(float64(m/step))) * step
}
