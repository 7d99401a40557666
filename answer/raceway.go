package answer

import (
	"fmt"
	"math"
	"strings"

	"stubup/base/cite"
	"stubup/base/geom"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
	"stubup/trade/conductor"
	"stubup/trade/raceway"
)

// input makes a value of something written in the document.
func input(path, name string, si float64, u, text string) *trace.Value {
	return trace.Input(path, name, si, u, text, trace.Entered, cite.Ref{})
}

// Geometry is the citation of what follows from plane or solid geometry.
var Geometry = cite.Ref{Work: "geometry", Seen: cite.Derived}

func runPath(r *plan.Run, what string) string {
	return "runs." + strings.ReplaceAll(r.ID, " ", "-") + "." + what
}

// BendSum returns the degrees of bend of one section of a run.
func (b *Book) BendSum(r *plan.Run, section int) Answer {
	s := r.Sections[section]
	path := fmt.Sprintf("%s[%d].bends", runPath(r, "section"), section+1)
	return memo(b, path, func() Answer {
		var from []*trace.Value
		var put []string
		for i, q := range s.Pieces {
			if !q.Arc {
				continue
			}
			txt := unit.Trim(float64(q.Angle), 1) + " deg"
			from = append(from, input(fmt.Sprintf("%s.%d", path, i+1), q.What, float64(q.Angle), "deg", txt))
			put = append(put, unit.Trim(float64(q.Angle), 1))
		}
		if len(put) == 0 {
			put = []string{"0"}
		}
		v := trace.Derive(path, fmt.Sprintf("%s, %s: sum of bends", r.ID, s.Name()), float64(s.Degrees), "deg", unit.Trim(float64(s.Degrees), 1)+" deg",
			trace.By{ID: "run.bends", Equation: "sum = a1 + a2 + ..", Put: "sum = " + strings.Join(put, " + "), Cite: Geometry}, from...)
		return b.keep(v)
	})
}

// SectionLength returns the length of one section of a run along its
// centerline.
func (b *Book) SectionLength(r *plan.Run, section int) Answer {
	s := r.Sections[section]
	path := fmt.Sprintf("%s[%d].length", runPath(r, "section"), section+1)
	return memo(b, path, func() Answer {
		var arcs, straights float64
		for _, q := range s.Pieces {
			if q.Arc {
				arcs += float64(q.Length)
			} else {
				straights += float64(q.Length)
			}
		}
		sys := b.Plan.Site.Units
		in1 := input(path+".straights", "straights, tangent to tangent", straights, "m", sys.Run(unit.Metre(straights)))
		in2 := trace.Derive(path+".arcs", "arcs", arcs, "m", sys.Run(unit.Metre(arcs)), trace.By{ID: "raceway.bend.length", Equation: "L = R a pi/180", Cite: Geometry})
		in2.Standing = trace.Entered
		v := trace.Derive(path, fmt.Sprintf("%s, %s: length", r.ID, s.Name()), float64(s.Length), "m", sys.Run(s.Length),
			trace.By{ID: "run.length", Equation: "L = straights + arcs", Put: fmt.Sprintf("L = %s + %s", in1.Text, in2.Text), Cite: Geometry}, in1, in2)
		return b.keep(v)
	})
}

// refs keeps the first citation as the one of a value, known only as well as
// the worst of all of them, and names the others in its note.
func refs(all ...cite.Ref) cite.Ref {
	if len(all) == 0 {
		return cite.Ref{}
	}
	c := all[0]
	var also []string
	for _, r := range all[1:] {
		c.Seen = cite.Worst(c.Seen, r.Seen)
		if !r.IsZero() && r.String() != c.String() {
			also = append(also, r.String())
		}
	}
	if len(also) > 0 {
		c.Note = "with " + strings.Join(also, ", ")
	}
	return c
}

func squareInches(a conductor.Area) string { return unit.Figures(a.In2(), 4) + " sq in" }

func percent(share float64) string { return unit.Fixed(share*100, 1) + " %" }

// FillAnswer is the fill of a run and the test that was used.
type FillAnswer struct {
	Answer
	Fill raceway.Fill
}

// Fill returns the share of the raceway's inside that the cables take.
func (b *Book) Fill(r *plan.Run) FillAnswer {
	path := runPath(r, "fill")
	return memo(b, path, func() FillAnswer {
		set, missing := Fillers(r)
		if missing != "" {
			return FillAnswer{Answer: cannot(missing)}
		}
		nipple, _ := conductor.NippleLength()
		f, err := raceway.CheckFill(r.Kind, r.Trade, set, r.Length <= nipple && len(r.Sections) == 1)
		if err != nil {
			return FillAnswer{Answer: cannot("the dimensions for the fill: " + err.Error())}
		}
		var from []*trace.Value
		for i, c := range r.Carries {
			from = append(from, input(fmt.Sprintf("%s.carries[%d]", path, i+1), "carried", float64(max(1, c.Count)), "", c.Text))
		}
		from = append(from, input(path+".raceway", "raceway", float64(f.Inside), "m2", fmt.Sprintf("%s %s, inside %s", r.Kind, r.Trade, squareInches(f.Inside))))
		put := fmt.Sprintf("%s / %s = %s, test by %s", squareInches(f.Used), squareInches(f.Inside), percent(float64(f.Found)), f.Test)
		if f.Test == raceway.CountTest {
			put += fmt.Sprintf(": %d of at most %d", f.Count, f.Most)
		}
		id := "raceway.fill.area"
		if f.Test == raceway.CountTest {
			id = "raceway.fill.count"
		}
		v := trace.Derive(path, r.ID+": fill", float64(f.Found), "", percent(float64(f.Found)),
			trace.By{ID: id, Equation: "fill = sum(A) / (pi/4 ID^2)", Put: put, Cite: refs(f.Cite...)}, from...)
		return FillAnswer{b.keep(v), f}
	})
}

// Fillers lists what a run carries, for the fill test, or says what is
// missing.
func Fillers(r *plan.Run) ([]raceway.Filler, string) {
	if len(r.Carries) == 0 {
		return nil, "what run " + r.ID + " carries"
	}
	if r.Trade == 0 {
		return nil, "the trade size of run " + r.ID
	}
	var set []raceway.Filler
	for _, c := range r.Carries {
		n := max(1, c.Count)
		switch {
		case c.OD.Set:
			set = append(set, raceway.Cable(n, c.Text, c.OD.SI))
		case c.Size != 0 && strings.EqualFold(c.Insulation, "bare"):
			p, ok := conductor.Table8(c.Size, false)
			if !ok {
				return nil, "the diameter of a bare " + c.Size.String()
			}
			set = append(set, raceway.Filler{Name: c.Text, Count: n, Diameter: p.Diameter, Area: p.Area})
		case c.Size != 0:
			ins, err := conductor.ParseInsulation(c.Insulation)
			if err != nil {
				return nil, "the insulation of " + c.Text + " in run " + r.ID + ": " + err.Error()
			}
			f, _, err := raceway.Conductors(n, conductor.Insulated{Size: c.Size, Insulation: ins})
			if err != nil {
				return nil, "the diameter of " + c.Text + " in run " + r.ID
			}
			set = append(set, f)
		default:
			return nil, "the outside diameter of " + c.Text + " in run " + r.ID
		}
	}
	return set, ""
}

// buried, open and unsaid are what a location word means for a raceway.
func buried(where string) bool {
	return where == "trench" || where == "driveway" || where == "slab"
}

func open(where string) bool {
	switch where {
	case "wall", "roof", "strut", "air", "indoor":
		return true
	}
	return false
}

// Stretch is a straight in the open, or one whose place is not said: the
// pieces of one line between bends and pull points.
type Stretch struct {
	Section int
	Where   string // "" where the document does not say
	Sun     bool
	From    unit.Metre // station
	Length  unit.Metre
	Fitting []plan.ExpansionFitting // the expansion fittings in it
}

// OpenStraights returns the straights of a run that do not lie in the ground,
// in order. Pieces of one line with an expansion fitting between them are one
// straight: the fitting is in it.
func OpenStraights(r *plan.Run) []Stretch {
	var out []Stretch
	for si, s := range r.Sections {
		prev := -1
		for i, q := range s.Pieces {
			if q.Arc || buried(q.Where) || (!open(q.Where) && (q.A.Z < 0 || q.B.Z < 0)) {
				prev = -1
				continue
			}
			if prev >= 0 && i == prev+1 && len(out) > 0 && s.Pieces[prev].Where == q.Where && s.Pieces[prev].Sun == q.Sun && s.Pieces[prev].Out.Dot(q.Dir) > 1-1e-9 {
				out[len(out)-1].Length += q.Length
			} else {
				out = append(out, Stretch{Section: si, Where: q.Where, Sun: q.Sun, From: q.Station, Length: q.Length})
			}
			prev = i
		}
	}
	for i := range out {
		for _, e := range r.Expansions {
			if e.Station >= out[i].From-1e-9 && e.Station <= out[i].From+out[i].Length+1e-9 {
				out[i].Fitting = append(out[i].Fitting, e)
			}
		}
	}
	return out
}

// ExpansionAnswer is the thermal movement of a straight in the open.
type ExpansionAnswer struct {
	Answer  // change of length between the coldest and the hottest pipe
	Stretch Stretch
	Trigger *trace.Value // change from which a fitting is asked of PVC
	Needed  bool
	Fitted  bool
	Count   int          // fittings that the travel makes necessary
	Travel  unit.Metre   // of one fitting; zero where nobody says
	Expand  *trace.Value // what it will still grow from the pipe temperature when set
	Shrink  *trace.Value // what it will still shrink
	Low     *trace.Value // least opening left to expand
	High    *trace.Value // most opening left to expand
	Set     *trace.Value // opening to leave, the slack shared; nil where it cannot be told
	Unset   string       // why Set is nil
	Anchor  string       // which side is fixed
}

// Expansion returns the movement of one straight in the open and how its
// fitting is set:
//
//	change = a L (Thot - Tcold), the sun added to Thot
//	open   = travel (Thot - Tset) / (Thot - Tcold)
//
// Frost heave and settlement at a riser are a separate case and not in it.
func (b *Book) Expansion(r *plan.Run, st Stretch) ExpansionAnswer {
	path := fmt.Sprintf("%s[%s]", runPath(r, "expansion"), unit.Trim(float64(st.From), 2))
	return memo(b, path, func() ExpansionAnswer {
		e := ExpansionAnswer{Stretch: st, Fitted: len(st.Fitting) > 0, Anchor: "strap one side of the fitting fixed, the other side sliding; anchor the end that must not move"}
		m, ok := raceway.MaterialOf(r.Kind, false)
		if !ok {
			e.Answer = cannot("the thermal coefficient of " + string(r.Kind) + ": it is the maker's figure")
			return e
		}
		if !r.Cold.Set || !r.Hot.Set {
			e.Answer = cannot("the coldest and hottest air of run " + r.ID)
			return e
		}
		if r.Hot.SI <= r.Cold.SI {
			e.Answer = cannot("a hottest air above the coldest of run " + r.ID)
			return e
		}
		sys := b.Plan.Site.Units
		hot := r.Hot.SI
		from := []*trace.Value{
			input(path+".length", "straight", float64(st.Length), "m", sys.Run(st.Length)),
			input(path+".cold", "coldest air", float64(r.Cold.SI), "C", degF(r.Cold.SI)),
			input(path+".hot", "hottest air", float64(r.Hot.SI), "C", degF(r.Hot.SI)),
		}
		coef, ca, _ := raceway.Coefficient(m)
		cites := []cite.Ref{ca}
		sunPut := ""
		if st.Sun {
			sun, cs := raceway.SunAllowance()
			hot += sun
			cites = append(cites, cs)
			from = append(from, trace.Input(path+".sun", "added for direct sun", float64(sun), "C", unit.Trim(float64(sun)*9/5, 1)+" F", trace.Default, cs))
			sunPut = " + " + unit.Trim(float64(sun)*9/5, 1)
		}
		change, _, _ := raceway.LengthChange(m, st.Length, hot-r.Cold.SI)
		dF := float64(hot-r.Cold.SI) * 9 / 5
		v := trace.Derive(path, fmt.Sprintf("%s, straight of %s on %s: change of length", r.ID, sys.Run(st.Length), whereWord(st.Where)), float64(change), "m", hundredths(sys, change),
			trace.By{
				ID: "raceway.expansion.change", Equation: "d = a L (Thot - Tcold)",
				Put: fmt.Sprintf("d = %s per F x %s in x (%s%s - (%s)) F = %s per F x %s in x %s F", strings.TrimSpace(fmt.Sprintf("%.3g", coef*5/9)), unit.Trim(st.Length.In(), 1),
					unit.Trim(r.Hot.SI.Fahrenheit(), 1), sunPut, unit.Trim(r.Cold.SI.Fahrenheit(), 1), strings.TrimSpace(fmt.Sprintf("%.3g", coef*5/9)), unit.Trim(st.Length.In(), 1), unit.Trim(dF, 1)),
				Cite: refs(cites...),
			}, from...)
		e.Answer = b.keep(v)
		e.Travel = b.travel(st)
		set := r.Cold.SI
		if r.Install.Set {
			set = r.Install.SI
		}
		ex, err := raceway.Expand(m, st.Length, r.Cold.SI, hot, set, max(e.Travel, 0))
		if ex.Trigger > 0 {
			e.Needed = ex.Needed
			e.Trigger = trace.Input(path+".trigger", "change from which a fitting is asked", float64(ex.Trigger), "m", hundredths(sys, ex.Trigger), trace.Default, ex.Cite[len(ex.Cite)-1])
		}
		switch {
		case !r.Install.Set:
			e.Unset = "the temperature of the pipe when it is set, run " + r.ID
		case e.Travel <= 0 && e.Needed:
			e.Unset = "the travel of the expansion fitting: it is the supplier's figure"
		case err != nil:
			e.Unset = err.Error()
		}
		if e.Travel > 0 {
			e.Count = ex.Fittings
		}
		if e.Unset != "" || !e.Needed {
			return e
		}
		tset := input(path+".install", "pipe temperature when set", float64(set), "C", degF(set))
		travel := input(path+".travel", "travel of the fittings together", float64(ex.Travel), "m", hundredths(sys, ex.Travel))
		derive := func(key, name, eq, put string, x unit.Metre) *trace.Value {
			return b.keep(trace.Derive(path+"."+key, r.ID+": "+name, float64(x), "m", hundredths(sys, x), trace.By{ID: "raceway.expansion.set", Equation: eq, Put: put, Cite: refs(ex.Cite...)}, v, tset, travel)).Value
		}
		hF, sF, cF := hot.Fahrenheit(), set.Fahrenheit(), r.Cold.SI.Fahrenheit()
		share := fmt.Sprintf("(%s - %s) / (%s - (%s))", unit.Trim(hF, 1), unit.Trim(sF, 1), unit.Trim(hF, 1), unit.Trim(cF, 1))
		e.Expand = derive("to-expand", "still to expand", "x = d (Thot - Tset) / (Thot - Tcold)", fmt.Sprintf("x = %s x %s", v.Text, share), ex.ToExpand)
		e.Shrink = derive("to-contract", "still to contract", "c = d - x", fmt.Sprintf("c = %s - %s", v.Text, e.Expand.Text), ex.ToContract)
		e.Low = derive("least", "least opening left to expand", "least = x", "least = "+e.Expand.Text, ex.LeastOpen)
		e.High = derive("most", "most opening left to expand", "most = travel - c", fmt.Sprintf("most = %s - %s", travel.Text, e.Shrink.Text), ex.MostOpen)
		e.Set = derive("set", "opening to leave", "open = travel (Thot - Tset) / (Thot - Tcold)", fmt.Sprintf("open = %s x %s", travel.Text, share), ex.Open)
		return e
	})
}

// travel is that of the fitting in a straight, or of the one that can be had.
func (b *Book) travel(st Stretch) unit.Metre {
	var t unit.Metre
	for _, f := range st.Fitting {
		if f.Travel.Set && (t == 0 || f.Travel.SI < t) {
			t = f.Travel.SI
		}
	}
	if t == 0 {
		t = b.Plan.Site.Supplies.ExpansionTravel.Or(0)
	}
	return t
}

func degF(c unit.Celsius) string { return unit.Trim(c.Fahrenheit(), 1) + " F" }

// hundredths prints a small movement to a hundredth of an inch or a tenth of
// a millimetre: what a fitting is set to.
func hundredths(s unit.System, m unit.Metre) string {
	if s == unit.SI {
		return unit.Fixed(float64(m)*1000, 1) + " mm"
	}
	return unit.Fixed(m.In(), 2) + " in"
}

func whereWord(w string) string {
	switch w {
	case "":
		return "a place that is not said"
	case "air":
		return "the open air"
	case "indoor":
		return "the inside"
	}
	return "the " + w
}

// SupportAnswer is how a stretch in the open is supported.
type SupportAnswer struct {
	Answer  // the number of supports
	Section int
	From    unit.Metre
	Length  unit.Metre
	Support raceway.Support
}

// Supports returns the least number of supports of each stretch of a run in
// the open, bends included:
//
//	n = 1 where L <= 2 f, else 1 + ceil((L - 2 f) / s)
//
// f the greatest distance from an end, s the greatest spacing.
func (b *Book) Supports(r *plan.Run) []SupportAnswer {
	return memo(b, runPath(r, "supports"), func() []SupportAnswer {
		var out []SupportAnswer
		for si, s := range r.Sections {
			prev := -2
			for i, q := range s.Pieces {
				if !open(q.Where) {
					continue
				}
				if i == prev+1 {
					out[len(out)-1].Length += q.Length
				} else {
					out = append(out, SupportAnswer{Section: si, From: q.Station, Length: q.Length})
				}
				prev = i
			}
		}
		sys := b.Plan.Site.Units
		for i := range out {
			a := &out[i]
			path := fmt.Sprintf("%s[%d]", runPath(r, "supports"), i+1)
			sup, ok := raceway.SupportFor(r.Kind, r.Trade, false)
			if !ok || sup.Spacing <= 0 {
				a.Answer = cannot("the support spacing of " + string(r.Kind) + " " + r.Trade.String())
				continue
			}
			a.Support = sup
			n := supportsOf(a.Length, sup.First, sup.Spacing)
			length := input(path+".length", "stretch in the open", float64(a.Length), "m", sys.Run(a.Length))
			first := trace.Input(path+".first", "greatest distance of the first from an end", float64(sup.First), "m", sys.Length(sup.First), trace.Entered, sup.Cite)
			space := trace.Input(path+".spacing", "greatest spacing", float64(sup.Spacing), "m", sys.Length(sup.Spacing), trace.Entered, sup.Cite)
			put := fmt.Sprintf("n = 1 + ceil((%s - 2 x %s) / %s)", length.Text, first.Text, space.Text)
			if n == 1 {
				put = fmt.Sprintf("%s <= 2 x %s, n = 1", length.Text, first.Text)
			}
			a.Answer = b.keep(trace.Derive(path, fmt.Sprintf("%s, %s: supports", r.ID, r.Sections[a.Section].Name()), n, "", unit.Fixed(n, 0),
				trace.By{ID: "run.supports", Equation: "n = 1 + ceil((L - 2 f) / s)", Put: put, Cite: sup.Cite}, length, first, space))
		}
		return out
	})
}

// CoverAnswer is the least cover of the pieces of a run in one location.
type CoverAnswer struct {
	Answer         // cover to the top of the raceway
	Where  string  // trench, driveway, slab
	Piece  int     // of the run, where it is least
	At     float64 // station
}

// Covers returns the least cover of a run in each location, to the TOP of the
// raceway:
//
//	cover = depth of the centerline - OD/2
//
// A sweep that rises out of the ground is left out: there the table asks no
// cover of it.
func (b *Book) Covers(r *plan.Run) []CoverAnswer {
	return memo(b, runPath(r, "cover"), func() []CoverAnswer {
		var out []CoverAnswer
		at := map[string]int{}
		depth := map[string]float64{}
		for i, q := range r.Pieces {
			if !buried(q.Where) || rises(q) {
				continue
			}
			top, s := q.A.Z, 0.0
			n := 1
			if q.Arc {
				n = 8
			}
			for k := 1; k <= n; k++ {
				if z := q.At(float64(q.Length) * float64(k) / float64(n)).Z; z > top {
					top, s = z, float64(q.Length)*float64(k)/float64(n)
				}
			}
			k, seen := at[q.Where]
			if !seen {
				k = len(out)
				at[q.Where] = k
				depth[q.Where] = math.Inf(1)
				out = append(out, CoverAnswer{Where: q.Where})
			}
			if -top < depth[q.Where] {
				depth[q.Where] = -top
				out[k].Piece, out[k].At = i, float64(q.Station)+s
			}
		}
		dim, ok := raceway.Dim(r.Kind, r.Trade)
		sys := b.Plan.Site.Units
		for i := range out {
			c := &out[i]
			path := fmt.Sprintf("%s.%s", runPath(r, "cover"), c.Where)
			if !ok || dim.OD <= 0 {
				c.Answer = cannot(fmt.Sprintf("the outside diameter of %s %s", r.Kind, r.Trade))
				continue
			}
			d := unit.Metre(depth[c.Where])
			cover := coverOf(d, dim.OD)
			in := input(path+".depth", "depth of the centerline", float64(d), "m", sys.Short(d))
			od := trace.Input(path+".od", "outside diameter", float64(dim.OD), "m", unit.Fixed(dim.OD.In(), 3)+" in", trace.Entered, dim.Cite)
			c.Answer = b.keep(trace.Derive(path, fmt.Sprintf("%s, %s: cover to the top", r.ID, c.Where), float64(cover), "m", sys.Short(cover),
				trace.By{ID: "run.cover", Equation: "cover = depth - OD / 2", Put: fmt.Sprintf("cover = %s - %s / 2", in.Text, od.Text), Cite: Geometry}, in, od))
		}
		return out
	})
}

// rises reports whether a piece comes out of the ground or stands upright.
func rises(q plan.Piece) bool {
	return q.A.Z >= 0 || q.B.Z >= 0 || math.Abs(q.Dir.Z) > 0.9 || math.Abs(q.Out.Z) > 0.9
}

// ArcRadius returns the centerline radius of one bend of a run.
func (b *Book) ArcRadius(r *plan.Run, piece int) Answer {
	q := r.Pieces[piece]
	path := fmt.Sprintf("%s[%d].radius", runPath(r, "piece"), piece+1)
	return memo(b, path, func() Answer {
		return b.keep(input(path, r.ID+", "+q.What+": radius to the centerline", float64(q.Radius), "m", b.Plan.Site.Units.Short(q.Radius)))
	})
}

// InsideRadius returns the radius of the inside of a bend, which is what a
// cable lies on:
//
//	r = R - ID / 2
func (b *Book) InsideRadius(r *plan.Run, piece int) Answer {
	q := r.Pieces[piece]
	path := fmt.Sprintf("%s[%d].inside-radius", runPath(r, "piece"), piece+1)
	return memo(b, path, func() Answer {
		dim, ok := raceway.Dim(r.Kind, r.Trade)
		if !ok {
			return cannot(fmt.Sprintf("the inside diameter of %s %s", r.Kind, r.Trade))
		}
		sys := b.Plan.Site.Units
		in := b.ArcRadius(r, piece)
		id := trace.Input(path+".id", "inside diameter", float64(dim.ID), "m", unit.Fixed(dim.ID.In(), 3)+" in", trace.Entered, dim.Cite)
		rad := insideOf(q.Radius, dim.ID)
		return b.keep(trace.Derive(path, r.ID+", "+q.What+": inside radius", float64(rad), "m", sys.Short(rad),
			trace.By{ID: "run.inside-radius", Equation: "r = R - ID / 2", Put: fmt.Sprintf("r = %s - %s / 2", in.Value.Text, id.Text), Cite: Geometry}, in.Value, id))
	})
}

// CableRadius returns the largest least radius of the cables of a run while
// they are pulled: by the cable's own sheet, or 20 x OD for a fiber cable
// without one. Building wire has none here.
func (b *Book) CableRadius(r *plan.Run) Answer {
	path := runPath(r, "cable-radius")
	return memo(b, path, func() Answer {
		sys := b.Plan.Site.Units
		var best *trace.Value
		if len(r.Carries) == 0 {
			return cannot("what run " + r.ID + " carries")
		}
		for i, c := range r.Carries {
			p := fmt.Sprintf("%s.carries[%d]", path, i+1)
			var v *trace.Value
			switch {
			case c.MinRadius.Set:
				v = input(p, c.Text+": least radius while pulled, by its sheet", float64(c.MinRadius.SI), "m", c.MinRadius.Text)
			case c.Size != 0:
				continue
			case c.OD.Set && c.Fiber:
				least, from := raceway.FiberRadius(c.OD.SI, raceway.Pulling)
				od := input(p+".od", c.Text+": outside diameter", float64(c.OD.SI), "m", c.OD.Text)
				k := unit.Trim(float64(least/c.OD.SI), 1)
				v = trace.Derive(p, c.Text+": least radius while pulled", float64(least), "m", sys.Short(least),
					trace.By{ID: "raceway.fiber.radius", Equation: "r = " + k + " OD", Put: fmt.Sprintf("r = %s x %s", k, c.OD.Text), Cite: from}, od)
			case c.Fiber || r.Service == site.Fiber:
				return cannot("the outside diameter or the least radius of " + c.Text + " in run " + r.ID)
			default:
				continue
			}
			if best == nil || v.SI > best.SI {
				best = v
			}
		}
		if best == nil {
			return cannot("a least bend radius: run " + r.ID + " carries no cable that has one")
		}
		return b.keep(best)
	})
}

// BoxAnswer is the least inside size of a pull box or a conduit body.
type BoxAnswer struct {
	Answer // the greater of its two sides
	Long   unit.Metre
	Short  unit.Metre // zero where nothing is asked of it
	Depth  unit.Metre
	Box    raceway.Box
	Turn   bool // an angle or U pull
	Why    []string
}

// BoxNeed returns the least size that a pull point of a run asks of its box,
// with the other runs that meet the same object. The entries of a wall count
// as one row.
func (b *Book) BoxNeed(r *plan.Run, pull int) BoxAnswer {
	q := r.Pulls[pull]
	path := fmt.Sprintf("%s[%d].size", runPath(r, "pull"), pull+1)
	return memo(b, path, func() BoxAnswer {
		if r.Trade == 0 {
			return BoxAnswer{Answer: cannot("the trade size of run " + r.ID)}
		}
		type through struct {
			run  *plan.Run
			pull plan.Pull
		}
		meets := []through{{r, q}}
		if q.Object != "" {
			for i := range b.Plan.Runs {
				o := &b.Plan.Runs[i]
				for _, u := range o.Pulls {
					if o.ID != r.ID && u.Object == q.Object && (u.Kind == plan.PullBox || u.Kind == plan.PullHandhole) {
						meets = append(meets, through{o, u})
					}
				}
			}
		}
		var entries []raceway.Entry
		var from []*trace.Value
		var out BoxAnswer
		walls := newWalls(q.In, q.Out)
		for _, m := range meets {
			if m.run.Trade == 0 {
				return BoxAnswer{Answer: cannot("the trade size of run " + m.run.ID)}
			}
			a, z := walls.of(m.pull.In.Scale(-1)), walls.of(m.pull.Out)
			n := len(entries)
			large := largest(m.run)
			entries = append(entries,
				raceway.Entry{Name: m.run.ID + " in", Wall: a, Trade: m.run.Trade, To: n + 1, Largest: large},
				raceway.Entry{Name: m.run.ID + " out", Wall: z, Trade: m.run.Trade, To: n, Largest: large})
			from = append(from, input(path+"."+m.run.ID, "trade size of run "+m.run.ID, m.run.Trade.Nominal(), "", m.run.Trade.String()))
		}
		box, err := raceway.PullBox(entries)
		if err != nil {
			return BoxAnswer{Answer: cannot("the box size: " + err.Error())}
		}
		out.Box, out.Turn = box, q.Angle() > 1
		out.Long, out.Short, out.Depth = max(box.X, box.Y), min(box.X, box.Y), box.Depth
		var c []cite.Ref
		for _, w := range box.Reasons {
			out.Why = append(out.Why, fmt.Sprintf("%s %s: %s", w.Across, unit.Inches(w.Least), w.Why))
			c = append(c, w.Cite)
		}
		id, eq := "raceway.box.straight", "L = 8 x trade size for a straight pull"
		if out.Turn {
			id = "raceway.box.angle"
			eq = "D = 6 x the largest trade size + the others of the row for an angle pull"
		}
		out.Answer = b.keep(trace.Derive(path, fmt.Sprintf("%s, %s: least inside size", r.ID, q.Words()), float64(out.Long), "m", b.Plan.Site.Units.Short(out.Long),
			trace.By{ID: id, Equation: eq, Put: strings.Join(out.Why, "; "), Cite: refs(c...)}, from...))
		return out
	})
}

// walls maps directions in space to the walls of a box that stands along the
// run: the first axis is the one by which the run enters, the second the other
// one in the plane of its turn; what leaves that plane is the back.
type walls struct{ first, second geom.Point3 }

func newWalls(in, out geom.Point3) walls {
	w := walls{first: in.Unit()}
	side := out.Sub(w.first.Scale(out.Dot(w.first)))
	if side.Norm() < 1e-6 { // straight through: any axis square to it
		side = geom.Point3{Z: 1}.Cross(w.first)
		if side.Norm() < 1e-6 {
			side = geom.Point3{X: 1}
		}
	}
	w.second = side.Unit()
	return w
}

// of returns the wall that lies in a direction from the middle of the box.
func (w walls) of(d geom.Point3) raceway.Wall {
	d = d.Unit()
	a, s := d.Dot(w.first), d.Dot(w.second)
	switch {
	case math.Abs(a) >= math.Abs(s) && math.Abs(a) > 0.5:
		if a < 0 {
			return raceway.West
		}
		return raceway.East
	case math.Abs(s) > 0.5:
		if s < 0 {
			return raceway.South
		}
		return raceway.North
	}
	return raceway.Back
}

// BodyArea returns the least inside cross-section of a conduit body that
// holds conductors of 6 AWG and smaller.
func (b *Book) BodyArea(r *plan.Run, pull int) Answer {
	path := fmt.Sprintf("%s[%d].body", runPath(r, "pull"), pull+1)
	return memo(b, path, func() Answer {
		a, c, ok := raceway.BodyArea(r.Kind, r.Trade)
		if !ok {
			return cannot(fmt.Sprintf("the inside diameter of %s %s", r.Kind, r.Trade))
		}
		dim, _ := raceway.Dim(r.Kind, r.Trade)
		id := trace.Input(path+".id", "inside diameter", float64(dim.ID), "m", unit.Fixed(dim.ID.In(), 3)+" in", trace.Entered, dim.Cite)
		return b.keep(trace.Derive(path, fmt.Sprintf("%s, %s: least cross-section", r.ID, r.Pulls[pull].Words()), float64(a), "m2", squareInches(a),
			trace.By{ID: "raceway.body", Equation: "A = 2 pi/4 ID^2", Put: fmt.Sprintf("A = 2 x %s", squareInches(dim.Area)), Cite: refs(c, dim.Cite)}, id))
	})
}

// largest returns the largest building wire of a run, or none.
func largest(r *plan.Run) unit.Wire {
	var w unit.Wire
	for _, c := range r.Carries {
		w = max(w, c.Size)
	}
	return w
}

// Largest returns the largest building wire that a run carries; zero for none.
func Largest(r *plan.Run) unit.Wire { return largest(r) }
