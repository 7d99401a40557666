package answer

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"stubup/base/cite"
	"stubup/base/stable"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
	"stubup/trade/ground"
	"stubup/trade/soil"
)

// BandCite is the citation of a band: exact on its grid, checked by drawing
// sites and counting in its tests.
var BandCite = cite.Ref{Work: "two-layer belief", Place: "every ratio and depth weighed by how well it explains the readings", Seen: cite.Derived}

// NoSurvey is why one resistivity for the soil makes no band.
const NoSurvey = "one number for the soil, no survey"

// How the electrode is solved over the many soils of a band. Elements as long
// as bandElement move R by under 0.3 %, the nodes and the cubic between them
// by under 1 %; what a thin-wire model does not know of real ground is 5 %.
const (
	bandElement = 4.0 // m
	bandRatios  = 9
	bandDepths  = 13
	bandGraded  = 5
	bandShare   = 0.998 // of the belief: what is left out moves no end by what is printed
)

// Band is what is believed of the resistance of the finished electrode, ring
// and rods alone, from readings taken on this site. The value is the middle of
// the belief.
type Band struct {
	Answer
	From                     string // "the survey", "the survey and the log of R3"
	Rod                      string // the rod whose log was the last to come in
	Middle                   unit.Ohm
	Fifty, Eighty, NinetyPct soil.Interval
	Misfit                   float64 // of two layers, in standard deviations of the noise
	Said                     []string
	mix                      soil.Mixture
}

// Below returns the probability that the electrode meets a limit, by what is
// believed; 0 where there is no band.
func (b Band) Below(limit unit.Ohm) float64 {
	if !b.OK() {
		return 0
	}
	return b.mix.Below(float64(limit))
}

// sounding is the belief as the readings came in, and the electrode over it.
type sounding struct {
	missing string
	grid    *soil.Grid
	steps   []step
	wires   []ground.Wire
	kinks   []unit.Metre // of the electrode
	refused bool
	aside   int // readings that the fit set aside
	value   *seen
}

// step is the belief after one more group of readings.
type step struct {
	from, rod string
	inputs    []*trace.Value
	belief    *soil.Beliefs
}

// seen is an electrode over two layers, so far as it was asked for.
type seen struct {
	mu     sync.Mutex
	coarse *soil.Grid
	finer  *soil.Finer
}

// logs returns the rods with a log that is one of depths, in the order in
// which they were driven as far as the document says.
func (b *Book) logs() []site.RodState {
	var out []site.RodState
	dated := true
	for _, s := range b.Plan.Site.State.Rods {
		if len(s.Log) > 0 && s.How == "" && b.Plan.RodByID(s.Rod) != nil {
			out = append(out, s)
			dated = dated && s.Date != ""
		}
	}
	if dated {
		stable.Sort(out, func(x, y site.RodState) int { return strings.Compare(x.Date, y.Date) })
	}
	return out
}

func (b *Book) sounding() *sounding {
	return memo(b, "band.sounding", func() *sounding {
		p := b.Plan
		bad := func(what string) *sounding { return &sounding{missing: what} }
		logs, points := b.logs(), b.Survey()
		switch {
		case p.Ring == nil:
			return bad("a ring: none is wanted, or it could not be drawn")
		case !p.Wire().Set():
			return bad("the ground conductor's size")
		case len(points) == 0 && len(logs) == 0:
			return bad(NoSurvey)
		}
		s := &sounding{}
		// As wanted, but for the rods that went no deeper.
		e := Electrode{}
		for _, r := range p.Rods {
			if r.Refused {
				e.Changes = append(e.Changes, Change{Rod: r.ID, Length: float64(r.Driven), Lies: r.Lies})
				s.refused = true
			}
		}
		s.wires = Wires(p, e)
		for _, w := range s.wires {
			for _, q := range w.Path {
				if z := unit.Metre(q[2]); z > 0 && !slices.Contains(s.kinks, z) {
					s.kinks = append(s.kinks, z)
				}
			}
		}
		kinks := slices.Clone(s.kinks)
		for _, l := range logs {
			r := p.RodByID(l.Rod)
			for _, y := range l.Log {
				kinks = append(kinks, r.Top+y.Driven.SI)
			}
		}
		stable.Ascend(kinks)
		kinks = slices.CompactFunc(kinks, func(a, b unit.Metre) bool { return b-a < 1e-6 })
		grid, err := soil.NewGrid(soil.GridOptions{Kinks: kinks})
		if err != nil {
			return bad("sound depths: " + err.Error())
		}
		s.grid = grid
		know := soil.NewBeliefs(grid)
		var inputs []*trace.Value
		if len(points) > 0 {
			set := map[int]bool{}
			if g := b.SoilModel(); g.Fit != nil {
				for _, f := range g.Fit.Flagged {
					set[f.Index] = true
				}
			}
			var kept []soil.Point
			for i, q := range points {
				if set[i] {
					s.aside++
					continue
				}
				r := p.Site.Soil.Readings[i]
				kept = append(kept, q)
				inputs = append(inputs, trace.Input(fmt.Sprintf("soil.readings[%d]", i+1), "four-pin reading at "+r.Spacing.Text, float64(r.Ohms.SI), "ohm", r.Ohms.Text, trace.Measured, cite.Ref{}))
			}
			if know, err = know.Survey(kept); err != nil {
				return bad("sound four-pin readings: " + err.Error())
			}
			s.steps = append(s.steps, step{from: "the survey", inputs: inputs, belief: know})
		}
		var named []string
		for _, l := range logs {
			r := p.RodByID(l.Rod)
			var rs []soil.RodReading
			inputs = slices.Clone(inputs)
			for _, y := range l.Log {
				t, err := grid.LoneRod(r.Top, y.Driven.SI, r.Radius)
				if err != nil {
					return bad("a sound log of rod " + l.Rod + ": " + err.Error())
				}
				rs = append(rs, soil.RodReading{Resistance: y.Ohms.SI, Forward: t})
				inputs = append(inputs, trace.Input(fmt.Sprintf("state.rods.%s.log.%s", l.Rod, y.Driven.Text), fmt.Sprintf("rod %s alone with %s in the ground", l.Rod, y.Driven.Text), float64(y.Ohms.SI), "ohm", y.Ohms.Text, trace.Measured, cite.Ref{}))
			}
			if know, err = know.Rod(rs); err != nil {
				return bad("a sound log of rod " + l.Rod + ": " + err.Error())
			}
			named = append(named, l.Rod)
			from := "the log of " + names(named)
			if len(points) > 0 {
				from = "the survey and " + from
			}
			s.steps = append(s.steps, step{from: from, rod: l.Rod, inputs: inputs, belief: know})
		}
		s.value, err = s.coarse(bandRatios, bandDepths, bandGraded, s.kinks)
		if err != nil {
			return bad(err.Error())
		}
		return s
	})
}

// names joins rod numbers: "R1", "R1 and R3", "R1, R2 and R3".
func names(ids []string) string {
	if n := len(ids); n > 1 {
		return strings.Join(ids[:n-1], ", ") + " and " + ids[n-1]
	}
	return strings.Join(ids, "")
}

func (s *sounding) coarse(ratios, depths, graded int, kinks []unit.Metre) (*seen, error) {
	c, err := soil.NewGrid(soil.GridOptions{Ratios: ratios, Depths: depths, Kinks: kinks, Graded: graded})
	if err != nil {
		return nil, err
	}
	return &seen{coarse: c, finer: soil.NewFiner(c, s.grid)}, nil
}

// electrode returns the resistance of the electrode per ohm-m of the upper
// layer on the wanted nodes.
func (b *Book) electrode(s *sounding, v *seen, want []bool) (soil.Table, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	for _, i := range v.finer.Missing(want) {
		ratio, h := v.coarse.Node(i)
		r, err := b.over(soil.TwoLayer(1, unit.OhmMetre(ratio), h), s.wires)
		if err != nil {
			return soil.Table{}, err
		}
		if err := v.finer.Put(i, r); err != nil {
			return soil.Table{}, err
		}
	}
	return v.finer.Table(want), nil
}

// over returns the resistance of wires over a soil, on long elements.
func (b *Book) over(m soil.Model, ws []ground.Wire) (float64, error) {
	sol, err := ground.Solve(b.ctx, m, []ground.Electrode{{ID: "ground", Wires: ws}}, ground.Options{MaxLength: bandElement})
	if err != nil {
		return 0, err
	}
	return float64(sol.Resistance(0)), nil
}

// Bands returns what is believed after the survey, then after the log of each
// rod. Where nothing was read there is one that says why there is none.
func (b *Book) Bands() []Band {
	return memo(b, "band.steps", func() []Band {
		s := b.sounding()
		if s.missing != "" {
			return []Band{{Answer: cannot(s.missing)}}
		}
		var out []Band
		for i, st := range s.steps {
			path, name := "ground.band", "resistance of ring and rods by the readings"
			if i < len(s.steps)-1 {
				path += ".survey"
				if st.rod != "" {
					path = "ground.band.after." + st.rod
				}
				name += ", " + st.from + " alone"
			}
			out = append(out, b.band(s, s.value, st, path, name))
		}
		return out
	})
}

// Band returns what is believed from all readings.
func (b *Book) Band() Band {
	all := b.Bands()
	return all[len(all)-1]
}

func (b *Book) band(s *sounding, v *seen, st step, path, name string) Band {
	want := st.belief.Support(bandShare)
	t, err := b.electrode(s, v, want)
	if err != nil {
		return Band{Answer: cannot("a solution of the field: " + err.Error())}
	}
	m, err := st.belief.Value(t, want, 0)
	if err != nil {
		return Band{Answer: cannot(err.Error())}
	}
	m = m.Binned()
	x := Band{From: st.from, Rod: st.rod, mix: m, Fifty: m.Interval(0.5), Eighty: m.Interval(0.8), NinetyPct: m.Interval(0.9), Middle: unit.Ohm(m.Median()), Misfit: st.belief.Misfit()}
	x.Answer = b.keep(trace.Derive(path, name, float64(x.Middle), "ohm", unit.Ohms(x.Middle)+", 90 % band "+Span(x.NinetyPct),
		trace.By{
			ID: "soil.belief", Equation: "share of (ratio, h) ~ exp(-chi^2 / 2), R = rho1 g(ratio, h)",
			Put: fmt.Sprintf("%s on %d nodes; 50 %% %s, 80 %% %s, 90 %% %s ohm", st.from, s.grid.Len(), Span(x.Fifty), Span(x.Eighty), Span(x.NinetyPct)), Cite: BandCite,
		}, st.inputs...))
	if x.Misfit > mostMissed {
		x.Said = append(x.Said, fmt.Sprintf("two layers miss the readings by %s times their scatter: the ground is not two layers here, or a reading is bad; the band is widened for it", unit.Fixed(x.Misfit, 1)))
	}
	if s.aside > 0 {
		x.Said = append(x.Said, fmt.Sprintf("%d readings that do not fit the rest are left out", s.aside))
	}
	if s.refused {
		x.Said = append(x.Said, "rods that refused are counted as they stand")
	}
	switch b.Plan.Site.Soil.Season {
	case "dry", "wet", "frozen":
		x.Said = append(x.Said, "the survey was taken when the ground was "+b.Plan.Site.Soil.Season+": the band is of that ground")
	}
	return x
}

// mostMissed is the misfit, in standard deviations, above which a reader is
// told that two layers do not do. By chance it is about 1.
const mostMissed = 1.8

// Span prints an interval of ohms, "4.0 to 5.6", the lower end rounded down
// and the upper up.
func Span(v soil.Interval) string {
	d := 1
	switch {
	case v.Low >= 100:
		d = 0
	case v.Low < 1:
		d = 2
	}
	p := math.Pow(10, float64(d))
	return unit.Fixed(math.Floor(v.Low*p+1e-9)/p, d) + " to " + unit.Fixed(math.Ceil(v.High*p-1e-9)/p, d)
}

// Likely prints a probability as a whole percent, never as certain.
func Likely(p float64) string {
	switch pct := math.Round(p * 100); {
	case pct < 1:
		return "under 1 %"
	case pct > 99:
		return "over 99 %"
	default:
		return unit.Fixed(pct, 0) + " %"
	}
}

// NextReading is readings that could be taken next and the band to be expected
// with them.
type NextReading struct {
	Words string
	Lead  unit.Metre // from the first pin to the last; 0 of a rod
	Then  soil.Interval
	Share float64 // width of Then over that of today's band, in logarithms
}

// rodQuarters are the depths at which a rod is read on its way down, as shares
// of its length. Common practice, no source.
var rodQuarters = []float64{0.25, 0.5, 0.75, 1}

// firstSpacings are those of a survey where there is none yet, in feet.
// Common practice, no source.
var firstSpacings = []float64{5, 10, 20, 40}

// narrower is the share of today's width above which a reading is not worth
// taking.
const narrower = 0.995

// farthestPins is the widest spacing that is proposed: beyond that nobody has
// the lead or the land.
const farthestPins = 150 * unit.Foot

// NextReadings returns what could be read next, that which would narrow the
// band most first: a wider and a closer spacing on a line there is, a second
// line, the log of the next rod. Widths are expectations over all that may be
// read (soil.Beliefs.Foresee), not promises.
func (b *Book) NextReadings() []NextReading {
	return memo(b, "band.next", func() []NextReading {
		now := b.Band()
		s := b.sounding()
		if !now.OK() {
			return nil
		}
		p, u := b.Plan, b.Plan.Site.Units
		last := s.steps[len(s.steps)-1]
		want := last.belief.Support(bandShare)
		t, err := b.electrode(s, s.value, want)
		if err != nil {
			return nil
		}
		var out []NextReading
		add := func(words string, lead unit.Metre, n soil.Next) {
			v, err := last.belief.Foresee(n, t, want, 0, 0.9)
			if err != nil {
				return
			}
			width := func(v soil.Interval) float64 { return math.Log(v.High / v.Low) }
			if k := width(v) / width(now.NinetyPct); k < narrower {
				out = append(out, NextReading{Words: words, Lead: lead, Then: v, Share: k})
			}
		}
		pins := func(words, line string, spacings ...unit.Metre) {
			var set []soil.Setting
			wide := unit.Metre(0)
			for _, a := range spacings {
				set = append(set, soil.WennerSetting(a))
				wide = max(wide, a)
			}
			ts, err := s.grid.Soundings(set)
			if err != nil || len(set) == 0 {
				return
			}
			add(words, 3*wide, soil.Next{Line: line, Tables: ts})
		}
		points := b.Survey()
		if len(points) > 0 {
			line := points[0].Line
			var had []unit.Metre
			for _, q := range points {
				if a := q.Near; q.Line == line && !slices.Contains(had, a) {
					had = append(had, a)
				}
			}
			stable.Ascend(had)
			on := ""
			if line != "" {
				on = " on line " + line
			}
			for _, k := range []float64{1.5, 2, 3} {
				if a := wholeRun(u, had[len(had)-1]*unit.Metre(k)); a <= farthestPins {
					pins("lay the pins "+paced(u, a)+" apart"+on, line, a)
				}
			}
			if a := wholeRun(u, had[0]/2); a > 0 && a < had[0]*0.9 {
				pins("lay the pins "+paced(u, a)+" apart"+on, line, a)
			}
			pins("a second line across the first, with the same spacings", line+" across", had...)
		} else {
			var a []unit.Metre
			var w []string
			for _, x := range firstSpacings {
				m := wholeRun(u, unit.Metre(x)*unit.Foot)
				a, w = append(a, m), append(w, paced(u, m))
			}
			pins("a four-pin line with the pins "+strings.Join(w, ", ")+" apart", "first", a...)
		}
		logged := func(r plan.Rod) bool {
			return slices.ContainsFunc(p.Site.State.Rods, func(x site.RodState) bool {
				return x.Rod == r.ID && (len(x.Log) > 0 || x.Driven.Set || x.Refused)
			})
		}
		for _, r := range p.Rods {
			if r.Radial || logged(r) || r.Length <= 0 {
				continue
			}
			n := soil.Next{Rod: true}
			for _, q := range rodQuarters {
				t, err := s.grid.LoneRod(r.Top, r.Length*unit.Metre(q), r.Radius)
				if err != nil {
					return nil
				}
				n.Tables = append(n.Tables, t)
			}
			add("read rod "+r.ID+" alone at every quarter as it is driven, before it is joined", 0, n)
			break
		}
		stable.Sort(out, func(x, y NextReading) int {
			switch {
			case x.Share < y.Share:
				return -1
			case x.Share > y.Share:
				return 1
			}
			return 0
		})
		return out
	})
}

// wholeRun rounds a distance that is paced out to whole feet, or to half
// meters.
func wholeRun(u unit.System, m unit.Metre) unit.Metre {
	step := unit.Metre(unit.Foot)
	if u == unit.SI {
		step = 0.5
	}
	return unit.Metre(math.Round(float64(m/step))) * step
}

// Season is the electrode with the top of the soil changed by a season.
type Season struct {
	_ [0]func() // never compared: no equality is compiled for it

	Name  string // "as the soil is given", "frozen", "dry", "wet"
	Top   soil.Top
	Depth unit.Metre
	Times float64
	How   string // in words
	R     Answer
	Ring  Answer // of the ring without rods, where the ring lies in what froze
}

// Seasons returns the design value over a year: as the soil is given, its top
// frozen to the local frost depth, dried and soaked. Each is solved anew with
// the changed top as a layer of its own. Where the document does not say by
// how much a season changes it, common practice stands in and the standing of
// the value says so.
func (b *Book) Seasons() []Season {
	return memo(b, "band.seasons", func() []Season {
		d, g := b.Design(), b.SoilModel()
		if !d.OK() {
			return []Season{{Name: "as the soil is given", R: d}}
		}
		s, u := b.Plan.Site.Soil, b.Plan.Site.Units
		out := []Season{{Name: "as the soil is given", Times: 1, R: d, How: "the design value"}}
		change := func(top soil.Top, depth unit.Metre, depthText string, told bool, times float64) {
			x := Season{Name: string(top), Top: top, Depth: depth, Times: times}
			by := "said in the document"
			st := trace.Entered
			if times == 0 {
				x.Times, by, st = float64(top.Times()), "common practice, no source", trace.Assumed
			}
			switch {
			case depth <= 0:
				x.R, x.How = cannot(depthText), "nobody said how deep"
				out = append(out, x)
				return
			case s.Season == string(top):
				x.R, x.How = cannot("the survey was taken in that season: it is in the soil as given"), "not reckoned twice"
				out = append(out, x)
				return
			}
			x.How = fmt.Sprintf("top %s of %s times the resistivity (%s)", u.Short(depth), unit.Trim(x.Times, 2), by)
			m, err := x.changed(g.Model)
			if err != nil {
				x.R = cannot(err.Error())
				out = append(out, x)
				return
			}
			dst := trace.Entered
			if !told {
				dst = trace.Assumed
			}
			path := "ground.season." + string(top)
			from := []*trace.Value{
				g.Value,
				trace.Input(path+".depth", "depth of the "+string(top)+" top", float64(depth), "m", u.Short(depth), dst, cite.Ref{}),
				trace.Input(path+".times", "resistivity of the "+string(top)+" top over that of the survey", x.Times, "", unit.Trim(x.Times, 2), st, seasonCite(st)),
			}
			solve := func(path, name string, e Electrode) Answer {
				sol, err := ground.Solve(b.ctx, m, []ground.Electrode{{ID: "ground", Wires: Wires(b.Plan, e)}}, ground.Options{MaxLength: fixElement})
				if err != nil {
					return cannot("a solution of the field: " + err.Error())
				}
				r := float64(sol.Resistance(0))
				return b.keep(trace.Derive(path, name, r, "ohm", unit.Ohms(unit.Ohm(r)), trace.By{
					ID: "ground.field", Equation: "R = V / I with the changed top as a layer of its own",
					Put: fmt.Sprintf("%s to %s, times %s", top, u.Short(depth), unit.Trim(x.Times, 2)), Cite: FieldSolution,
				}, from...))
			}
			x.R = solve(path, "resistance of ring and rods, top "+string(top), Electrode{})
			if b.Plan.Ring.Depth <= depth && len(b.Plan.Rods) > 0 {
				x.Ring = solve(path+".ring", "resistance of the ring without rods, top "+string(top), Electrode{NoRods: true})
			}
			out = append(out, x)
		}
		change(soil.FrozenTop, s.Frost.Or(0), "the local frost depth", true, s.FrozenTimes)
		dry := s.DryDepth.Or(soil.DryReach())
		change(soil.DryTop, dry, "", s.DryDepth.Set, s.DryTimes)
		change(soil.WetTop, dry, "", s.DryDepth.Set, 0)
		return out
	})
}

func seasonCite(st trace.Standing) cite.Ref {
	if st == trace.Assumed {
		return soil.SeasonCite()
	}
	return cite.Ref{}
}

// Extremes returns the seasons with the least and the greatest resistance.
func Extremes(all []Season) (least, most Season, ok bool) {
	for _, s := range all {
		if !s.R.OK() {
			continue
		}
		if !ok || s.R.Value.SI < least.R.Value.SI {
			least = s
		}
		if !ok || s.R.Value.SI > most.R.Value.SI {
			most = s
		}
		ok = true
	}
	return least, most, ok
}

// Nodes of what a season multiplies the resistance by: a solution with three
// layers is dearer, and the factor is smoother in the soil below than either of
// the two. It is within 3 % of solving both (see the tests).
const (
	seasonRatios = 5
	seasonDepths = 9
	seasonGraded = 3
)

// changed returns a soil with its top changed by a season.
func (x Season) changed(m soil.Model) (soil.Model, error) {
	if x.Top == soil.FrozenTop {
		return m.Frozen(x.Depth, unit.Ratio(x.Times))
	}
	return m.Dried(x.Depth, unit.Ratio(x.Times))
}

// seasonTimes returns by how much a season multiplies the resistance of the
// electrode, on the wanted nodes.
func (b *Book) seasonTimes(s *sounding, x Season, want []bool) (soil.Table, error) {
	kinks := []unit.Metre{x.Depth}
	if d := b.Plan.Ring.Depth; d != x.Depth {
		kinks = append(kinks, d)
	}
	v, err := s.coarse(seasonRatios, seasonDepths, seasonGraded, kinks)
	if err != nil {
		return soil.Table{}, err
	}
	for _, i := range v.finer.Missing(want) {
		ratio, h := v.coarse.Node(i)
		two := soil.TwoLayer(1, unit.OhmMetre(ratio), h)
		three, err := x.changed(two)
		if err != nil {
			return soil.Table{}, err
		}
		before, err := b.over(two, s.wires)
		if err != nil {
			return soil.Table{}, err
		}
		after, err := b.over(three, s.wires)
		if err != nil {
			return soil.Table{}, err
		}
		if err := v.finer.Put(i, after/before); err != nil {
			return soil.Table{}, err
		}
	}
	return v.finer.Table(want), nil
}

// SeasonBand returns what is believed of the resistance in the worst season.
func (b *Book) SeasonBand() Band {
	return memo(b, "band.season", func() Band {
		s := b.sounding()
		if s.missing != "" {
			return Band{Answer: cannot(s.missing)}
		}
		_, worst, ok := Extremes(b.Seasons())
		if !ok || worst.Top == soil.AsSurveyed {
			return Band{Answer: cannot("a season that is worse than the survey")}
		}
		st := s.steps[len(s.steps)-1]
		st.inputs = append(slices.Clone(st.inputs), worst.R.Value.From[1:]...)
		want := st.belief.Support(bandShare)
		t, err := b.electrode(s, s.value, want)
		if err != nil {
			return Band{Answer: cannot("a solution of the field: " + err.Error())}
		}
		k, err := b.seasonTimes(s, worst, want)
		if err != nil {
			return Band{Answer: cannot("a solution of the field: " + err.Error())}
		}
		m, err := st.belief.Value(t.Times(k), want, 0)
		if err != nil {
			return Band{Answer: cannot(err.Error())}
		}
		m = m.Binned()
		x := Band{From: st.from, mix: m, Fifty: m.Interval(0.5), Eighty: m.Interval(0.8), NinetyPct: m.Interval(0.9), Middle: unit.Ohm(m.Median()), Misfit: st.belief.Misfit()}
		x.Answer = b.keep(trace.Derive("ground.band.season", "resistance of ring and rods by the readings, top "+worst.Name, float64(x.Middle), "ohm", unit.Ohms(x.Middle)+", 90 % band "+Span(x.NinetyPct),
			trace.By{ID: "soil.belief", Equation: "share of (ratio, h) ~ exp(-chi^2 / 2), R = rho1 g(ratio, h)", Put: st.from + "; " + worst.How, Cite: BandCite}, st.inputs...))
		return x
	})
}

// paced prints what wholeRun rounded: "60 ft".
func paced(u unit.System, m unit.Metre) string {
	if u == unit.SI {
		return unit.Trim(float64(m), 1) + " m"
	}
	return unit.Trim(m.Ft(), 0) + " ft"
}
