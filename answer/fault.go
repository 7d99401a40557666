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
	"stubup/plan"
	"stubup/site"
	"stubup/trade/bond"
	"stubup/trade/ground"
	"stubup/trade/shock"
)

// FaultHeat is what the stated fault asks of a ground conductor and one kind of
// its joints.
type FaultHeat struct {
	Answer       // least area, with its descent; Missing where it cannot be told
	Joints       string
	Conductor    site.Conductor
	bond.Heating              // zero where Missing
	Bears        *trace.Value // the current that the conductor has room for
}

// heatLimits are the joints that a plan can have, with what limits them.
var heatLimits = []struct {
	words, limit string
	kinds        []plan.JointKind
}{
	{"welded joints", "exothermic", []plan.JointKind{plan.Tap, plan.Cross, plan.Splice, plan.ToRod, plan.ToPipe, plan.ToFlat}},
	{"compression lugs", "pressure 250", []plan.JointKind{plan.Lug}},
}

// FaultHeating returns what the fault of the document asks of the ground
// conductor, by each kind of joint that it has. Without a stated current
// nothing is told.
func (b *Book) FaultHeating() []FaultHeat {
	return memo(b, "fault.heating", func() []FaultHeat {
		f, w := b.Plan.Site.Fault, b.Plan.Wire()
		missing := ""
		switch {
		case f == nil:
			return nil
		case !f.Current.Set || !f.Duration.Set:
			missing = "the fault's current through a ground conductor, and its duration"
		case !w.Set():
			missing = "the ground conductor's size"
		}
		if missing != "" {
			return []FaultHeat{{Answer: cannot(missing), Conductor: w}}
		}
		var out []FaultHeat
		for _, k := range heatLimits {
			if slices.ContainsFunc(b.Plan.Joints, func(j plan.Joint) bool { return slices.Contains(k.kinds, j.Kind) }) {
				out = append(out, b.heat(f, w, k.words, k.limit))
			}
		}
		return out
	})
}

func (b *Book) heat(f *site.Fault, w site.Conductor, words, limit string) FaultHeat {
	h := FaultHeat{Conductor: w, Joints: words}
	warm, _ := bond.Ambient()
	x, err := bond.Check(bareOf(w), limit, bond.Event{Current: f.Current.SI, Duration: f.Duration.SI, XR: f.XR, Hertz: f.Hertz, Source: f.Source}, warm)
	if err != nil {
		h.Missing = err.Error()
		return h
	}
	h.Heating = x
	path := "fault." + strings.ReplaceAll(words, " ", "-")
	c := x.Cite[0]
	i := trace.Input("fault.current", "fault current through a ground conductor", float64(f.Current.SI), "A", f.Current.Text, trace.Entered, source(f.Source))
	t := trace.Input("fault.duration", "duration of the fault", float64(f.Duration.SI), "s", f.Duration.Text, trace.Entered, source(f.Source))
	put := fmt.Sprintf("A = %s x %s kA x sqrt(%s s)", unit.Figures(x.Factor, 4), unit.Figures(float64(f.Current.SI)*x.Offset/1000, 4), unit.Trim(float64(f.Duration.SI), 3))
	v := trace.Derive(path+".least-area", "least copper that bears the fault with "+words, x.Least, "kcmil", unit.Figures(x.Least, 3)+" kcmil",
		trace.By{ID: "bond.least-area", Equation: "A = K I sqrt(t)", Put: put, Cite: c}, i, t)
	v.Outside = x.Outside
	h.Answer = b.keep(v)
	size := input("ground.conductor", "the ground conductor", x.Has, "kcmil", w.Text)
	bears := trace.Derive(path+".withstand", "current that the conductor bears for that time with "+words, float64(x.Withstand), "A", kiloamps(x.Withstand),
		trace.By{ID: "bond.withstand", Equation: "I = A/(K sqrt(t) Df)", Put: fmt.Sprintf("%s kcmil, offset %s", unit.Figures(x.Has, 4), unit.Figures(x.Offset, 4)), Cite: c}, size, t)
	bears.Outside = x.Outside
	h.Bears = b.keep(bears).Value
	return h
}

func kiloamps(i unit.Ampere) string { return unit.Figures(float64(i)/1000, 3) + " kA" }

// Surface is what the surface is at while a fault current leaves through the
// ground.
type Surface struct {
	Missing string
	Rise    *trace.Value // of the ground over far earth
	Grid    *ground.Grid // volts for each volt of the rise
	Levels  []float64    // of the contours, V
	Lines   []ground.Contour
	Touch   ground.Worst // at the metal that can be touched
	Step    ground.Worst
	TouchV  *trace.Value
	StepV   *trace.Value
	Limits  *shock.Limits // of the body and surface that the document names
	Bare    *shock.Limits // of the same body on bare soil
	Within  [][2]float64  // where metal that is bonded stands within reach of a hand
}

// Reach is how far a hand reaches from where a person stands, m.
const Reach = 1.0

// TouchLimit returns the touch voltage that the stated body bears on what it
// stands on; false where no body or duration is stated.
func (s *Surface) TouchLimit() (float64, bool) {
	switch {
	case s.Limits != nil:
		return float64(s.Limits.Touch), true
	case s.Bare != nil:
		return float64(s.Bare.Touch), true
	}
	return 0, false
}

// TouchOver reports whether metal within reach of a place stands more volts
// over the surface there than most.
func (s *Surface) TouchOver(x, y, most float64) bool {
	if s.Rise == nil || s.Grid == nil {
		return false
	}
	near := false
	for _, p := range s.Within {
		if math.Hypot(p[0]-x, p[1]-y) <= Reach {
			near = true
			break
		}
	}
	g := s.Grid
	i, j := (x-g.X0)/g.Step, (y-g.Y0)/g.Step
	a, b := int(math.Floor(i)), int(math.Floor(j))
	if !near || a < 0 || b < 0 || a+1 >= g.NX || b+1 >= g.NY {
		return false
	}
	u, v := i-float64(a), j-float64(b)
	at := (1-v)*((1-u)*g.At(a, b)+u*g.At(a+1, b)) + v*((1-u)*g.At(a, b+1)+u*g.At(a+1, b+1))
	return (1-at)*s.Rise.SI > most
}

// surfaceBeyond is how far past the ring the surface is looked at, m, and
// surfaceStep how finely. Step voltage is worst just outside the ring.
const (
	surfaceBeyond = 4.0
	surfaceStep   = 0.5
	surfaceMost   = 20000 // points; a larger site is looked at more coarsely
)

// SurfaceVoltage returns the rise of the ground, the lines of equal potential
// of the surface, and the worst touch and step voltage, beside what a body
// bears. It answers only for a stated current into the soil.
func (b *Book) SurfaceVoltage() *Surface {
	return memo(b, "fault.surface", func() *Surface {
		f := b.Plan.Site.Fault
		if f == nil || !f.Earth.Set {
			return nil
		}
		s := &Surface{}
		d, g := b.Design(), b.SoilModel()
		switch {
		case !g.OK():
			s.Missing = g.Missing
			return s
		case !d.OK():
			s.Missing = d.Missing
			return s
		}
		sol, err := b.solution("ground.resistance.design", g.Model, Electrode{})
		if err != nil {
			s.Missing = err.Error()
			return s
		}
		i := trace.Input("fault.earth-current", "current that leaves through this ground", float64(f.Earth.SI), "A", f.Earth.Text, trace.Entered, source(f.Source))
		rise := float64(f.Earth.SI) * d.Value.SI
		s.Rise = b.keep(trace.Derive("fault.rise", "rise of the ground over far earth", rise, "V", volts(rise),
			trace.By{ID: "fault.rise", Equation: "V = I R", Put: fmt.Sprintf("%s x %s", f.Earth.Text, d.Value.Text), Cite: cite.Ref{Work: "circuit theory", Place: "Ohm's law", Seen: cite.Derived}}, i, d.Value)).Value
		box, step := b.around()
		if s.Grid, err = sol.SurfaceGrid(b.ctx, 0, box, step); err != nil {
			s.Missing = err.Error()
			return s
		}
		s.Levels = levels(s.Grid, rise)
		at := make([]float64, len(s.Levels))
		for k, v := range s.Levels {
			at[k] = v / rise
		}
		s.Lines = s.Grid.Contours(at...)
		s.Within = b.touchable()
		if len(s.Within) > 0 {
			if s.Touch, err = sol.Touch(0, 0, s.Within, Reach); err == nil {
				s.TouchV = b.worst("fault.touch", "worst touch voltage, 1 m from metal that can be touched", s.Touch, s.Rise)
			}
		}
		if _, s.Step, err = sol.Walk(b.ctx, 0, box, step, 1); err == nil {
			s.StepV = b.worst("fault.step", "worst step voltage, a pace of 1 m", s.Step, s.Rise)
		}
		b.tolerable(s, f, g)
		return s
	})
}

func (b *Book) worst(path, name string, w ground.Worst, rise *trace.Value) *trace.Value {
	v := w.Volts * rise.SI
	return b.keep(trace.Derive(path, name, v, "V", volts(v),
		trace.By{ID: "fault.surface", Equation: "V = (u(p) - u(q)) V_rise", Put: fmt.Sprintf("%s x %s", unit.Figures(w.Volts, 3), rise.Text), Cite: FieldSolution}, rise)).Value
}

func (b *Book) tolerable(s *Surface, f *site.Fault, g Ground) {
	if f.Body == 0 || !f.Duration.Set {
		return
	}
	rho := g.Model[0].Resistivity
	if l, err := shock.Tolerable(shock.Body(f.Body), f.Duration.SI, rho, 0, 0); err == nil {
		s.Bare = &l
	}
	if !f.Surface.Set || !f.Thickness.Set {
		return
	}
	if l, err := shock.Tolerable(shock.Body(f.Body), f.Duration.SI, rho, f.Surface.SI, f.Thickness.SI); err == nil {
		s.Limits = &l
	}
}

// around is the ground that is looked at: the ring and what surrounds it.
func (b *Book) around() (ground.Box, float64) {
	lo, hi := geom.Point{X: math.Inf(1), Y: math.Inf(1)}, geom.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range b.Plan.Ring.Polyline(arcTol) {
		lo = geom.Point{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = geom.Point{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	box := ground.Box{X0: lo.X - surfaceBeyond, Y0: lo.Y - surfaceBeyond, X1: hi.X + surfaceBeyond, Y1: hi.Y + surfaceBeyond}
	step := math.Max(surfaceStep, math.Sqrt((box.X1-box.X0)*(box.Y1-box.Y0)/surfaceMost))
	return box, step
}

// touchable lists where metal that is bonded to the ground stands within reach.
func (b *Book) touchable() [][2]float64 {
	var out [][2]float64
	for _, q := range b.Plan.Posts {
		out = append(out, [2]float64{q.At.X, q.At.Y})
	}
	for _, w := range b.Plan.Whips {
		if w.EndZ >= 0 {
			out = append(out, [2]float64{w.To.X, w.To.Y})
		}
	}
	return out
}

// levels returns round voltages, some eight of them, between the least and the
// most of a grid.
func levels(g *ground.Grid, rise float64) []float64 {
	lo, hi := math.Inf(1), 0.0
	for _, v := range g.V {
		lo, hi = math.Min(lo, v*rise), math.Max(hi, v*rise)
	}
	if !(hi > lo) {
		return nil
	}
	step := (hi - lo) / 8
	ten := math.Pow(10, math.Floor(math.Log10(step)))
	for _, k := range []float64{1, 2, 5, 10} {
		if k*ten >= step {
			step = k * ten
			break
		}
	}
	var out []float64
	for v := math.Ceil(lo/step) * step; v < hi; v += step {
		if v > lo {
			out = append(out, v)
		}
	}
	return out
}

func volts(v float64) string { return unit.Figures(v, 3) + " V" }
