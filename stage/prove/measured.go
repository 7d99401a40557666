package prove

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"stubup/answer"
	"stubup/base/sheet"
	"stubup/base/stable"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/rule"
	"stubup/site"
	"stubup/trade/bond"
	"stubup/trade/earthtest"
	"stubup/trade/shock"
)

// verdictMark is the mark of a test's verdict.
func verdictMark(v earthtest.Verdict) sheet.Mark {
	switch v {
	case earthtest.Holds:
		return sheet.Holds
	case earthtest.Broken:
		return sheet.Broken
	}
	return sheet.CannotTell
}

// earthTestTables shows each earth test that was taken: what withholds its
// verdict first, then what the rules say side by side.
func earthTestTables(v rule.View) []sheet.Table {
	var out []sheet.Table
	tests := v.Answer.EarthTests()
	for i, t := range tests {
		x := sheet.Table{
			ID: "prove.test." + sheet.Key(cmp.Or(t.Test.ID, fmt.Sprint(i+1))), Title: "Earth test " + t.Test.ID,
			Columns: []sheet.Column{{Head: "What", Width: 0.26}, {Head: "Value", Align: sheet.Right, Width: 0.16}, {Head: "Said of it", Width: 0.58}},
		}
		row := func(what string, c sheet.Cell, said string) {
			x.Rows = append(x.Rows, sheet.Row{sheet.T(what), c, sheet.T(said)})
		}
		if t.Missing != "" {
			row("verdict", sheet.Cell{Text: "none", Mark: sheet.CannotTell}, t.Missing)
			out = append(out, x)
			continue
		}
		r := t.Judged
		row("verdict", sheet.Cell{Text: verdictWords(r), Bold: true, Mark: verdictMark(r.Verdict)}, verdictSaid(r))
		for _, f := range r.Flags {
			row(f.Effect.String(), sheet.T(""), f.Text())
		}
		if t.Test.Method == site.FallOfPotential {
			estimates(&x, v.Site.Units, t)
		}
		if t.Predicted > 0 {
			row("predicted of the ground as it stands", sheet.N(float64(t.Predicted), unit.Ohms(t.Predicted)), "field solution in the soil as modeled; an estimate")
		}
		if t.Frozen > 0 {
			row("the same, frozen to "+t.Test.Frozen.Text, sheet.N(float64(t.Frozen), unit.Ohms(t.Frozen)), "the frozen top taken as ten times as resistive (common practice, no source); a frozen reading is never corrected to a pass")
		}
		for _, q := range r.Asked {
			row("as asked, at "+v.Site.Units.Run(q.At), sheet.N(float64(q.Ohm), unit.Ohms(q.Ohm)), "kept as the owner's recipe asks, whatever it is worth")
		}
		x.Notes = append(x.Notes, "No rule is preferred by habit: the value with its band is that of the curve as this ground must give it, where the readings run as it does.")
		out = append(out, x)
	}
	if fs := v.Answer.Together(); len(fs) > 0 {
		t := &out[len(out)-1]
		for _, f := range fs {
			t.Notes = append(t.Notes, capital(f.Text())+".")
		}
	}
	if len(out) > 0 {
		out[len(out)-1].Notes = append(out[len(out)-1].Notes, earthtest.Cautions...)
	}
	return out
}

func verdictWords(r earthtest.Result) string {
	switch r.Verdict {
	case earthtest.Holds:
		return "limit holds"
	case earthtest.Broken:
		return "limit broken"
	}
	return "none"
}

func verdictSaid(r earthtest.Result) string {
	best, ok := r.Best()
	switch {
	case r.Verdict == earthtest.None && ok:
		return "what withholds it is below; the value meanwhile is " + unit.Ohms(best)
	case r.Verdict == earthtest.None:
		return "what withholds it is below"
	}
	w := unit.Ohms(best) + " against " + unit.Ohms(r.Limit)
	if !math.IsNaN(r.Under) {
		w += "; " + likely(r.Under) + " likely under it"
	}
	return w
}

// likely prints a probability; none is ever printed as certain.
func likely(p float64) string {
	switch {
	case p > 0.99:
		return "over 99 %"
	case p < 0.01:
		return "under 1 %"
	}
	return unit.Trim(100*p, 0) + " %"
}

func estimates(x *sheet.Table, u unit.System, t answer.EarthTest) {
	r := t.Judged
	rule := func(name string, e earthtest.Estimate, more string) {
		if e.How == earthtest.NotKnown {
			x.Rows = append(x.Rows, sheet.Row{sheet.T(name), {Text: "not read", Mark: sheet.CannotTell}, sheet.T(more)})
			return
		}
		said := fmt.Sprintf("at %s, %s", u.Run(e.Place), e.How)
		if more != "" {
			said += "; " + more
		}
		if e.Bias.Known {
			said += "; here the model says it " + e.Bias.Words()
		}
		c := sheet.N(float64(e.Ohm), unit.Ohms(e.Ohm))
		if !e.Valid {
			c.Text += ", not valid"
			c.Mark = sheet.CannotTell
		}
		x.Rows = append(x.Rows, sheet.Row{sheet.T(name), c, sheet.T(said)})
	}
	more := ""
	if r.Plateau.How != earthtest.NotKnown {
		more = fmt.Sprintf("spread between 52 and 72 %% of the lead %s %%", unit.Trim(100*float64(r.Plateau.Spread), 0))
	}
	rule("62 % rule", r.Sixty, more)
	more = ""
	if !math.IsNaN(r.Mu) {
		more = fmt.Sprintf("slope %s, %s of the lead; the readings' noise moves it %s %%", unit.Trim(r.Mu, 3), unit.Trim(r.Slope.Share, 3), unit.Trim(100*float64(r.Slope.Noise), 0))
	} else if len(r.Needs) > 0 {
		var ws []string
		for _, d := range r.Needs {
			ws = append(ws, u.Run(d))
		}
		more = "it asks for the inner stake at " + strings.Join(ws, ", ")
	}
	rule("slope method", r.Slope, more)
	if f := r.Fit; f.Known {
		said := fmt.Sprintf("90 %% between %s and %s", unit.Ohms(f.Low), unit.Ohms(f.High))
		if f.Odd {
			said += "; the readings do not run as this ground's curve does"
		}
		x.Rows = append(x.Rows, sheet.Row{sheet.T("curve of this ground, fitted"), sheet.N(float64(f.Median), unit.Ohms(f.Median)), sheet.T(said)})
		return
	}
	why := "it needs the ground as built, its soil, and where the line ran"
	x.Rows = append(x.Rows, sheet.Row{sheet.T("curve of this ground, fitted"), {Text: "none", Mark: sheet.CannotTell}, sheet.T(why)})
}

// leadTable says what lines of several lengths would read on this site, before
// anyone walks.
func leadTable(v rule.View) (sheet.Table, bool) {
	lp := v.Answer.PlanLead()
	u := v.Site.Units
	t := sheet.Table{
		ID: "prove.lead", Title: "Before the earth test: how far to run the lead",
		Columns: []sheet.Column{{Head: "Outer stake", Align: sheet.Right, Width: 0.15}, {Head: "Inner stake reads true at", Align: sheet.Right, Width: 0.25}, {Head: "62 % rule", Width: 0.30}, {Head: "Slope method", Width: 0.30}},
	}
	if len(lp.Lengths) == 0 {
		return t, false
	}
	for _, l := range lp.Lengths {
		t.Rows = append(t.Rows, sheet.Row{
			sheet.N(float64(l.Stake), u.Run(l.Stake)), sheet.N(float64(l.Inner), fmt.Sprintf("%s, %s %%", u.Run(l.Inner), unit.Trim(100*l.Share, 0))),
			sheet.T(l.Rules.Sixty.Words()), sheet.T(l.Rules.Slope.Words()),
		})
	}
	t.Notes = append(t.Notes,
		fmt.Sprintf("Clipped at the middle of the ring's longest side, the line straight out (%s), zero of the tape at the clip; ring and rods alone, nothing else connected. Practice asks for five diagonals, %s; where there is no room, read at 20, 40 and 60 %% and about 62 %%, and let the curve be fitted.", lp.Bearing, u.Run(lp.Asked)),
		"It is what the soil as modeled would do. A clip on a corner, a bonded neutral, tower or fence, a buried pipe along the line or other soil below moves it: say where zero is, run a second line another way.",
	)
	t.Notes = append(t.Notes, earthtest.Cautions...)
	return t, true
}

// continuityTables foretell what a milliohmmeter reads between points of the
// ring and, where readings are there, say what they mean.
func continuityTables(v rule.View) []sheet.Table {
	var out []sheet.Table
	if found := v.Answer.Continuity(); len(found.Pairs) > 0 || found.Missing != "" {
		t := sheet.Table{
			ID: "prove.continuity.read", Title: "Metal of the ring: read and foretold", Empty: "Cannot tell: " + found.Missing + ".",
			Columns: []sheet.Column{{Head: "Pair", Width: 0.16}, {Head: "Read", Align: sheet.Right, Width: 0.16}, {Head: "Foretold", Align: sheet.Right, Width: 0.26}, {Head: "Said of it", Width: 0.42}},
		}
		for _, p := range found.Pairs {
			c, said := sheet.T(""), p.Missing
			if p.Missing == "" {
				c = sheet.N(float64(p.Low), answer.MilliohmRange(p.Low, p.High))
				switch x := p.Read.Ohms.SI; {
				case p.Open:
					said = "no metal between them: the meter reads through the soil"
				case x > 1.1*p.High:
					said = unit.Trim(float64(x/p.Low), 1) + " times what whole metal reads"
				case x < 0.9*p.Low:
					said = "under what the metal alone can read: something else joins them"
				default:
					said = "as whole metal reads"
				}
			}
			t.Rows = append(t.Rows, sheet.Row{sheet.T(p.Read.From + " - " + p.Read.To), sheet.N(float64(p.Read.Ohms.SI), p.Read.Ohms.Text), c, sheet.T(said)})
		}
		for _, w := range found.Words {
			t.Notes = append(t.Notes, capital(w)+".")
		}
		if found.Missing != "" && len(found.Pairs) > 0 {
			t.Notes = append(t.Notes, "What broke cannot be told: "+found.Missing+".")
		}
		t.Notes = append(t.Notes, bond.Cautions...)
		out = append(out, t)
	}
	plan := v.Answer.ContinuityPlan()
	if len(plan) == 0 {
		return out
	}
	t := sheet.Table{
		ID: "prove.continuity", Title: "What a milliohmmeter should read on the ring",
		Columns: []sheet.Column{{Head: "Pair", Width: 0.22}, {Head: "Whole", Align: sheet.Right, Width: 0.40}, {Head: "Ring open between them", Align: sheet.Right, Width: 0.38}},
		Notes: []string{
			"Of the metal alone, at 68 F (20 C), four-wire, from end to end as laid; the range is what tin may add. Warm copper reads more, 0.4 % for each degree C. Read before the upper ends and the ties to other grounds are joined: every further path lowers it.",
			"A resistance to earth would not show a cut ring; this does. It is asked for only where the owner asks; a stated direct current and a voltmeter will do.",
		},
	}
	for _, f := range plan {
		open := sheet.T("")
		if f.Open > 0 {
			open = sheet.N(float64(f.Open), answer.Milliohms(f.Open))
		}
		t.Rows = append(t.Rows, sheet.Row{sheet.T(f.From + " - " + f.To), sheet.N(float64(f.Low), answer.MilliohmRange(f.Low, f.High)), open})
	}
	t.Notes = append(t.Notes, bond.Cautions...)
	return append(out, t)
}

// faultTables say what the stated fault asks of the conductor, and what the
// surface is at.
func faultTables(v rule.View) []sheet.Table {
	if v.Site.Fault == nil {
		return nil
	}
	t := sheet.Table{
		ID: "prove.fault", Title: "Ground fault: estimates, not a design",
		Columns: []sheet.Column{{Head: "What", Width: 0.40}, {Head: "Value", Align: sheet.Right, Width: 0.18}, {Head: "Against", Width: 0.42}},
	}
	row := func(what string, c sheet.Cell, said string) {
		t.Rows = append(t.Rows, sheet.Row{sheet.T(what), c, sheet.T(said)})
	}
	outside := map[string]bool{}
	for _, h := range v.Answer.FaultHeating() {
		if !h.OK() {
			row("what the conductor bears", sheet.Cell{Text: "cannot tell", Mark: sheet.CannotTell}, h.Missing)
			continue
		}
		m, said := sheet.Holds, fmt.Sprintf("%s has %s kcmil and bears %s", h.Conductor.Text, unit.Figures(h.Has, 3), h.Bears.Text)
		if !h.Holds {
			m, said = sheet.Broken, said+"; a larger conductor, or the fault cleared sooner"
		}
		row("least copper, "+h.Joints, sheet.Cell{Text: h.Value.Text, Num: h.Value.SI, IsNum: true, Mark: m}, said)
		outside[h.Outside] = true
	}
	s := v.Answer.SurfaceVoltage()
	if s != nil && s.Missing != "" {
		row("rise of the ground", sheet.Cell{Text: "cannot tell", Mark: sheet.CannotTell}, s.Missing)
	}
	if s != nil && s.Rise != nil {
		row("rise of the ground over far earth", sheet.N(s.Rise.SI, s.Rise.Text), s.Rise.By.Put)
		against := func(step bool) (string, sheet.Mark, float64) {
			limit := s.Limits
			on := "on the stone"
			if limit == nil {
				limit, on = s.Bare, "on bare soil"
			}
			if limit == nil {
				return "no body and duration are stated", sheet.CannotTell, 0
			}
			most := limit.Touch
			if step {
				most = limit.Step
			}
			outside[limit.Outside] = true
			w := fmt.Sprintf("%d kg bears %s V %s", int(limit.Body), unit.Figures(float64(most), 3), on)
			if s.Limits != nil && s.Bare != nil {
				bare := s.Bare.Touch
				if step {
					bare = s.Bare.Step
				}
				w += fmt.Sprintf(", %s V on bare soil", unit.Figures(float64(bare), 3))
			}
			return w + "; " + limit.Cite.Full(), sheet.Plain, float64(most)
		}
		worst := func(name string, v *trace.Value, step bool) {
			if v == nil {
				return
			}
			w, m, most := against(step)
			if most > 0 {
				m = sheet.Holds
				if v.SI > most {
					m = sheet.Broken
				}
			}
			row(name, sheet.Cell{Text: v.Text, Num: v.SI, IsNum: true, Mark: m}, w)
		}
		worst("worst touch, 1 m from metal that stands here", s.TouchV, false)
		worst("worst step, a pace of 1 m", s.StepV, true)
	}
	t.Notes = append(t.Notes, "The fault is as stated: "+v.Site.Fault.Source+".", bond.EngineerOnly, shock.EngineerOnly)
	if s != nil && s.Rise != nil {
		t.Notes = append(t.Notes, "Ring and rods alone in the soil as modeled. Fence and whips count as bonded; a fence that is not takes a potential of its own.")
	}
	delete(outside, "")
	var over []string
	for w := range outside {
		over = append(over, w)
	}
	stable.Ascend(over)
	for _, w := range over {
		t.Notes = append(t.Notes, "Outside its stated range: "+w+".")
	}
	return []sheet.Table{t}
}
