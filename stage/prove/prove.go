// Package prove answers whether a plan meets the code, the owner's rules and
// the target: findings with their citations, the resistance beside the
// textbook formulas, and the bend, fill and expansion figures of every run.
package prove

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/answer"
	"stubup/base/sheet"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/trade/ground"
)

// Result is what the stage gives.
type Result struct {
	Verdict    []string     // the answer in short lines, the most urgent first
	Said       []sheet.List // the findings as sentences, for a narrow screen
	Findings   []rule.Finding
	Tables     []sheet.Table
	Calcs      []sheet.Calc
	Ledger     *trace.Ledger
	Resistance answer.Answer
}

// Make looks at a plan with the rules given.
func Make(v rule.View, rules []*rule.Rule) Result {
	r := Result{Ledger: v.Answer.Ledger()}
	r.Resistance = v.Answer.Design()
	whips := v.Answer.WithWhips()
	r.Findings = rule.Run(v, rules)
	r.verdict(v)
	r.Said = said(r.Findings)
	r.Tables = append(r.Tables, findingTable(r.Findings))
	if t, ok := resistanceTable(v, r.Resistance, whips); ok {
		r.Tables = append(r.Tables, t)
	}
	if t, ok := surveyTable(v); ok {
		r.Tables = append(r.Tables, t)
	}
	r.Tables = append(r.Tables, earthTestTables(v)...)
	r.Tables = append(r.Tables, bandTables(v)...)
	if t, ok := fixTable(v); ok {
		r.Tables = append(r.Tables, t)
	}
	if t, ok := rodOptions(v); ok {
		r.Tables = append(r.Tables, t)
	}
	if t, ok := leadTable(v); ok {
		r.Tables = append(r.Tables, t)
	}
	r.Tables = append(r.Tables, continuityTables(v)...)
	r.Tables = append(r.Tables, faultTables(v)...)
	if t, ok := lightningTable(v); ok {
		r.Tables = append(r.Tables, t)
	}
	if t, ok := runTable(v); ok {
		r.Tables = append(r.Tables, t)
	}
	if t, ok := proposalTable(v); ok {
		r.Tables = append(r.Tables, t)
	}
	if t, ok := pullTable(v); ok {
		r.Tables = append(r.Tables, t)
	}
	if t, ok := feederTable(v); ok {
		r.Tables = append(r.Tables, t)
	}
	if t, ok := racewayTable(v); ok {
		r.Tables = append(r.Tables, t)
	}
	for _, a := range r.Ledger.All() {
		if a.By.Equation != "" {
			r.Calcs = append(r.Calcs, sheet.Calc{Value: a})
		}
	}
	return r
}

// Limit returns the resistance limit that the owner set, and its source.
func Limit(v rule.View) (unit.Ohm, string, bool) {
	for _, o := range v.Site.Owner.Rules {
		if o.Key == "resistance-limit" && o.Ohms.Set {
			return o.Ohms.SI, o.Source, true
		}
	}
	return 0, "", false
}

// Margin prints how a value stands against a limit that it must not pass:
// (limit - value) / limit, cut to a whole percent and never rounded up.
func Margin(value, limit float64) string {
	m := (limit - value) / limit
	if m < 0 {
		return fmt.Sprintf("broken by %s", unit.Ohms(unit.Ohm(value-limit)))
	}
	pct := math.Floor(m*100 + 1e-9)
	if pct < 1 {
		return fmt.Sprintf("holds by %s %%", unit.Fixed(math.Floor(m*1000)/10, 1))
	}
	return fmt.Sprintf("holds by %s %%", unit.Fixed(pct, 0))
}

func (r *Result) verdict(v rule.View) {
	add := func(s string) { r.Verdict = append(r.Verdict, s) }
	limit, _, has := Limit(v)
	switch {
	case !r.Resistance.OK():
		add("Resistance: cannot tell: " + r.Resistance.Missing)
	case !has:
		add(fmt.Sprintf("%s, ring and rods alone; no limit is set", r.Resistance.Value.Text))
	default:
		d := r.Resistance.Value.SI
		line := fmt.Sprintf("%s, limit %s: %s", r.Resistance.Value.Text, unit.Trim(float64(limit), 2), Margin(d, float64(limit)))
		if m := (float64(limit) - d) / float64(limit); m >= 0 && m < rule.Season() {
			line += "; margin too small for the season"
		}
		add(line)
		if be := v.Answer.BreakEven(limit); be.OK() {
			if g := v.Answer.SoilModel(); g.OK() {
				if _, uniform := g.Model.Uniform(); uniform {
					add("breaks even at " + be.Value.Text + "; the soil used is " + g.Value.Text)
				} else {
					add("breaks even when every layer's resistivity is " + be.Value.Text)
				}
			}
		}
		for _, q := range v.Plan.Rods {
			if q.Refused || q.Driven < q.Length {
				if a := v.Answer.AsDriven(); a.OK() {
					add(fmt.Sprintf("that is with every rod as wanted; %s with rod %s as it stands now, %s in the ground", a.Value.Text, q.ID, v.Site.Units.Length(q.Driven)))
				}
				break
			}
		}
		if g := v.Answer.Soil(); g.OK() {
			add("the soil is " + g.Value.Standing.String() + "; this is an estimate from a soil model, not an acceptance")
		}
	}
	r.Verdict = append(r.Verdict, bandVerdict(v)...)
	n := map[rule.Outcome]int{}
	for _, f := range r.Findings {
		n[f.Outcome]++
	}
	add(fmt.Sprintf("rules: %d broken, %d cannot tell, %d hold, %d do not apply", n[rule.Broken], n[rule.CannotTell], n[rule.Holds], n[rule.NotApply]))
}

func mark(o rule.Outcome) sheet.Mark {
	switch o {
	case rule.Broken:
		return sheet.Broken
	case rule.CannotTell:
		return sheet.CannotTell
	case rule.NotApply:
		return sheet.NotApply
	}
	return sheet.Holds
}

// Where turns the path of a finding into words: "ground.ring" is the ring,
// "objects.tower-ring" the tower ring.
func Where(path string) string {
	for _, p := range []string{"ground.", "objects."} {
		path = strings.TrimPrefix(path, p)
	}
	head, rest, more := strings.Cut(path, " ")
	head = strings.ReplaceAll(strings.ReplaceAll(head, "-", " "), ".", ", ")
	if more {
		return head + " " + rest
	}
	return head
}

// said puts the findings into sentences: what is broken or cannot be told in
// full with its mend and source, what holds in one line, and what does not
// apply by name.
func said(fs []rule.Finding) []sheet.List {
	lists := []sheet.List{{Title: "Broken"}, {Title: "Cannot tell"}, {Title: "Holds"}, {Title: "Does not apply"}}
	seen := map[string]bool{}
	for _, f := range fs {
		l := &lists[f.Outcome]
		switch f.Outcome {
		case rule.Broken, rule.CannotTell:
			s := fmt.Sprintf("%s: %s: wanted %s; found %s.", Where(f.Path), f.Rule.Title, orNothing(f.Required), orNothing(f.Found))
			if f.Margin != "" {
				s += " " + capital(f.Margin) + "."
			}
			s += " Mend: " + f.Mend + "."
			if f.Waived != nil {
				s += fmt.Sprintf(" Waived by %s (%s).", f.Waived.Who, f.Waived.Authority)
			}
			l.Lines = append(l.Lines, fmt.Sprintf("%s [%s: %s]", s, f.Rule.Force, f.Cite.Full()))
		case rule.Holds:
			s := f.Rule.Title + ": " + f.Found
			if f.Margin != "" {
				s += ", " + f.Margin
			}
			l.Lines = append(l.Lines, fmt.Sprintf("%s (%s) [%s]", s, Where(f.Path), f.Cite.Full()))
		default:
			if !seen[f.Rule.ID] {
				seen[f.Rule.ID] = true
				l.Lines = append(l.Lines, f.Rule.Title+": "+reason(f))
			}
		}
	}
	var out []sheet.List
	for _, l := range lists {
		if len(l.Lines) > 0 {
			l.Title = fmt.Sprintf("%s (%d)", l.Title, len(l.Lines))
			out = append(out, l)
		}
	}
	return out
}

func orNothing(s string) string {
	if s == "" {
		return "nothing said"
	}
	return s
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func findingTable(fs []rule.Finding) sheet.Table {
	t := sheet.Table{
		ID: "prove.findings", Title: "Findings", Empty: "No rule was looked at: no work is adopted and the owner asks nothing.",
		Columns: []sheet.Column{{Head: "Outcome", Width: 0.10}, {Head: "Rule", Width: 0.24}, {Head: "Where", Width: 0.14}, {Head: "Wanted and found", Width: 0.27}, {Head: "Source", Width: 0.25}},
		Notes:   []string{"Broken and cannot-tell first. Sources marked \"from memory\" are to be confirmed against print. Local code, the AHJ and a licensed person decide."},
	}
	for _, f := range fs {
		var wf []string
		if f.Required != "" {
			wf = append(wf, "wanted "+f.Required)
		}
		if f.Found != "" {
			wf = append(wf, "found "+f.Found)
		}
		if f.Margin != "" {
			wf = append(wf, f.Margin)
		}
		if f.Note != "" {
			wf = append(wf, f.Note)
		}
		words := strings.Join(wf, "; ")
		if f.Mend != "" && (f.Outcome == rule.Broken || f.Outcome == rule.CannotTell) {
			if words != "" {
				words += ". "
			}
			words += "Mend: " + f.Mend
		}
		if f.Waived != nil {
			words += fmt.Sprintf(". Waived by %s (%s): %s", f.Waived.Who, f.Waived.Authority, f.Waived.Why)
		}
		t.Rows = append(t.Rows, sheet.Row{
			{Text: f.Outcome.String(), Mark: mark(f.Outcome), Bold: f.Outcome == rule.Broken},
			sheet.T(f.Rule.Title), sheet.T(Where(f.Path)), sheet.T(words),
			sheet.T(string(f.Rule.Force) + ": " + f.Cite.Full()),
		})
	}
	return t
}

func resistanceTable(v rule.View, design, whips answer.Answer) (sheet.Table, bool) {
	t := sheet.Table{
		ID: "prove.resistance", Title: "Resistance to ground", Columns: []sheet.Column{{Head: "What", Width: 0.42}, {Head: "Value", Align: sheet.Right, Width: 0.13}, {Head: "How", Width: 0.45}},
		Notes: []string{
			"The solved values are for equipotential conductors in horizontally layered soil. Posts, steel, foundations, other electrodes and the utility neutral are left out.",
			"Textbook formulas are printed beside the solution for comparison only. Each is for the simpler shape that its row names; none of them is this ground.",
		},
	}
	row := func(what string, a answer.Answer, how string) {
		if !a.OK() {
			t.Rows = append(t.Rows, sheet.Row{sheet.T(what), {Text: "cannot tell", Mark: sheet.CannotTell}, sheet.T(a.Missing)})
			return
		}
		t.Rows = append(t.Rows, sheet.Row{sheet.T(what), sheet.N(a.Value.SI, a.Value.Text), sheet.T(how)})
	}
	row("ring and rods alone (the design value)", design, "field solution of the whole electrode")
	row("with the buried whips", whips, "field solution of the whole electrode")
	if len(v.Plan.Rods) > 0 {
		ring := v.Answer.RingAlone()
		row("ring without its rods", ring, "field solution; what the rods buy is the difference")
		if ring.OK() && design.OK() {
			share := (ring.Value.SI - design.Value.SI) / ring.Value.SI
			n := 0
			for _, r := range v.Plan.Rods {
				if !r.Radial {
					n++
				}
			}
			t.Notes = append(t.Notes, fmt.Sprintf("%d rods buy %s %% over the ring alone in this soil.", n, unit.Fixed(share*100, 0)))
		}
	}
	for _, r := range v.Plan.Rods {
		if r.Refused || r.Driven < r.Length {
			row("with the rods as driven so far", v.Answer.AsDriven(), "field solution; a rod that refused is no electrode by itself, the ring stands")
			break
		}
	}
	for _, x := range v.Answer.Textbook() {
		t.Rows = append(t.Rows, sheet.Row{sheet.T("textbook: " + x.Name), sheet.N(x.SI, x.Text), sheet.T(x.By.Equation + " (" + x.By.Cite.Full() + ")")})
	}
	return t, v.Plan.Ring != nil
}

// fixTable ranks what would bring a resistance under its limit.
func fixTable(v rule.View) (sheet.Table, bool) {
	limit, _, has := Limit(v)
	if !has {
		return sheet.Table{}, false
	}
	f := v.Answer.Fixes(limit)
	t := sheet.Table{
		ID: "prove.fixes", Title: "Ways to reach the limit, in this soil", Empty: "No way is told: " + f.Missing + ".",
		Columns: []sheet.Column{{Head: "Addition", Width: 0.40}, {Head: "Gives", Align: sheet.Right, Width: 0.12}, {Head: "Feet", Align: sheet.Right, Width: 0.10}, {Head: "Joints", Align: sheet.Right, Width: 0.10}, {Head: "Ohm per foot", Align: sheet.Right, Width: 0.14}, {Head: "Ohm per joint", Align: sheet.Right, Width: 0.14}},
	}
	hours, money := false, false
	for _, s := range f.Singles {
		hours, money = hours || s.Hours.Known, money || s.Money.Known
	}
	// The columns that nobody has figures for are not there.
	if money {
		t.Columns = slices.Insert(t.Columns, 4, sheet.Column{Head: "Money", Align: sheet.Right, Width: 0.10})
	}
	if hours {
		t.Columns = slices.Insert(t.Columns, 4, sheet.Column{Head: "Hours", Align: sheet.Right, Width: 0.10})
	}
	figure := func(x ground.Figure, digits int) sheet.Cell {
		if !x.Known {
			return sheet.T("not said")
		}
		return sheet.N(x.Value, unit.Fixed(x.Value, digits))
	}
	for _, s := range f.Singles {
		per := sheet.T("no joint")
		if s.Joints > 0 {
			per = sheet.N(s.OhmPerJt, unit.Fixed(s.OhmPerJt, 3))
		}
		row := sheet.Row{{Text: s.Words, Bold: s.Chosen}, sheet.N(float64(s.R), unit.Ohms(s.R)), sheet.N(s.Feet, unit.Fixed(s.Feet, 0)), sheet.N(s.Joints, unit.Fixed(s.Joints, 0))}
		if hours {
			row = append(row, figure(s.Hours, 1))
		}
		if money {
			row = append(row, figure(s.Money, 0))
		}
		t.Rows = append(t.Rows, append(row, sheet.N(s.OhmPerFt, unit.Fixed(s.OhmPerFt, 4)), per))
	}
	switch {
	case len(f.Set) > 0 && f.Reached.OK():
		how := "the cheapest found"
		if f.Exact {
			how = "no set of these takes less"
		}
		w := fmt.Sprintf("Together: %s. They give %s for %s ft of conductor and rod and %s joints", strings.Join(f.Set, ", "), f.Reached.Value.Text, unit.Fixed(f.Feet, 0), unit.Fixed(f.Joints, 0))
		if f.Hours.Known {
			w += fmt.Sprintf(", %s h", unit.Fixed(f.Hours.Value, 1))
		}
		if f.Money.Known {
			w += fmt.Sprintf(", %s in money", unit.Fixed(f.Money.Value, 0))
		}
		t.Notes = append(t.Notes, fmt.Sprintf("%s; by %s %s.", w, decides[f.By], how))
	case f.Missing != "":
		t.Notes = append(t.Notes, "None of these, nor all together, reach it: "+f.Missing+".")
	}
	say := "Each is solved alone and in this soil; together they buy less than their sum, so the best single ones are not always the best set."
	if len(f.Unsaid) > 0 && f.By != ground.ByMoney {
		say += fmt.Sprintf(" Not said in the document: %s; so %s.", strings.Join(f.Unsaid, ", "), decide[f.By])
	}
	t.Notes = append(t.Notes, say+" Outside the fence: whose land is it, and what is buried there?")
	return t, len(f.Singles) > 0 || f.Missing != ""
}

var (
	decides = map[ground.By]string{ground.ByFeet: "feet", ground.ByJoints: "joints", ground.ByHours: "hours", ground.ByMoney: "money"}
	decide  = map[ground.By]string{ground.ByFeet: "feet decide", ground.ByJoints: "joints decide", ground.ByHours: "hours decide", ground.ByMoney: "money decides"}
)

func rodOptions(v rule.View) (sheet.Table, bool) {
	t := sheet.Table{
		ID: "prove.refused", Title: "Rods that refused: what may be done, in this soil", Columns: []sheet.Column{{Head: "Rod", Width: 0.08}, {Head: "Way on", Width: 0.36}, {Head: "Resistance", Align: sheet.Right, Width: 0.14}, {Head: "First", Width: 0.42}},
		Notes: []string{"The resistance hardly moves with one rod. Other soils rank these differently: these are computed for this one. Never cut a rod off."},
	}
	for _, r := range v.Plan.Rods {
		for _, o := range v.Answer.RefusedRod(r.ID) {
			c := sheet.Cell{Text: "cannot tell", Mark: sheet.CannotTell}
			if o.R.OK() {
				c = sheet.N(o.R.Value.SI, o.R.Value.Text)
			}
			t.Rows = append(t.Rows, sheet.Row{sheet.T(r.ID), sheet.T(o.Words), c, sheet.T(o.Needs)})
		}
	}
	return t, len(t.Rows) > 0
}

func lightningTable(v rule.View) (sheet.Table, bool) {
	t := sheet.Table{
		ID: "prove.lightning", Title: "Lightning: estimates, not a design", Columns: []sheet.Column{{Head: "What", Width: 0.40}, {Head: "Estimate", Width: 0.30}, {Head: "Source", Width: 0.30}},
		Notes: []string{"For uniform soil and a current fed at one place. What lies further from the feed than the reach takes no part in the rise; more rods near the feed do. Lightning protection is designed by those who are licensed for it."},
	}
	for _, x := range v.Answer.Lightning() {
		src := x.By.Cite.Full()
		if x.Outside != "" {
			src += "; " + x.Outside
		}
		t.Rows = append(t.Rows, sheet.Row{sheet.T(x.Name), sheet.N(x.SI, x.Text), sheet.T(src)})
	}
	return t, len(t.Rows) > 0
}

func runTable(v rule.View) (sheet.Table, bool) {
	t := sheet.Table{ID: "prove.runs", Title: "Runs, section by section", Columns: []sheet.Column{{Head: "Run", Width: 0.14}, {Head: "Section", Width: 0.18}, {Head: "Bends", Align: sheet.Right, Width: 0.12}, {Head: "Length", Align: sheet.Right, Width: 0.12}, {Head: "Made of", Width: 0.44}}}
	for i := range v.Plan.Runs {
		r := &v.Plan.Runs[i]
		for k, s := range r.Sections {
			var parts []string
			for _, q := range s.Pieces {
				if q.Arc {
					parts = append(parts, q.What)
				} else if q.Part == "" {
					parts = append(parts, v.Site.Units.Run(q.Length))
				}
			}
			deg, l := v.Answer.BendSum(r, k), v.Answer.SectionLength(r, k)
			if !deg.OK() || !l.OK() {
				continue
			}
			t.Rows = append(t.Rows, sheet.Row{sheet.T(r.ID), sheet.T(s.Name()), sheet.N(deg.Value.SI, deg.Value.Text), sheet.N(l.Value.SI, l.Value.Text), sheet.T(strings.Join(parts, ", "))})
		}
	}
	return t, len(t.Rows) > 0
}

// reason says why a rule has no scope.
func reason(f rule.Finding) string {
	for _, s := range []string{f.Note, f.Found, f.Required} {
		if s != "" {
			return s
		}
	}
	return f.Path
}

// racewayTable says what each run needs besides its bends: fill, cover,
// supports, expansion and the least size of its pull points.
func racewayTable(v rule.View) (sheet.Table, bool) {
	t := sheet.Table{
		ID: "prove.raceway", Title: "Fill, cover, supports, expansion and pull points",
		Columns: []sheet.Column{{Head: "Run", Width: 0.13}, {Head: "What", Width: 0.27}, {Head: "Value", Align: sheet.Right, Width: 0.13}, {Head: "By", Width: 0.47}},
		Notes:   []string{"Cover is to the top of the raceway. Supports are the least number; a wall or roof may ask for more. One side of an expansion fitting is strapped fixed, the other sliding; frost and settlement at a riser are a separate case."},
	}
	u := v.Site.Units
	for i := range v.Plan.Runs {
		r := &v.Plan.Runs[i]
		row := func(what string, a answer.Answer, by string) {
			if !a.OK() {
				t.Rows = append(t.Rows, sheet.Row{sheet.T(r.ID), sheet.T(what), {Text: "cannot tell", Mark: sheet.CannotTell}, sheet.T(a.Missing)})
				return
			}
			src := a.Value.By.Put
			if c := a.Value.By.Cite; !c.IsZero() {
				if src != "" {
					src += "; "
				}
				src += c.Full()
			}
			if by != "" {
				src = by + "; " + src
			}
			t.Rows = append(t.Rows, sheet.Row{sheet.T(r.ID), sheet.T(what), sheet.N(a.Value.SI, a.Value.Text), sheet.T(src)})
		}
		f := v.Answer.Fill(r)
		by := ""
		if f.OK() {
			by = "test by " + string(f.Fill.Test)
		}
		row("fill", f.Answer, by)
		if room := v.Answer.RoomLeft(r); room.OK() {
			next := "no room for one more"
			if room.Next > 0 {
				next = "one more cable of up to " + u.Short(room.Next)
			}
			row("left for the next cable", room.Answer, next)
		}
		for _, c := range v.Answer.Covers(r) {
			row("least cover, "+c.Where, c.Answer, "")
		}
		for _, s := range v.Answer.Supports(r) {
			row("supports from "+u.Length(s.From)+", "+u.Run(s.Length), s.Answer, "")
		}
		for _, st := range answer.OpenStraights(r) {
			e := v.Answer.Expansion(r, st)
			set := ""
			switch {
			case e.Set != nil:
				set = "set with " + e.Set.Text + " left to expand, " + e.Low.Text + " to " + e.High.Text
			case e.Needed:
				set = "a fitting is needed; its set cannot be told: " + e.Unset
			}
			row("change of length, straight at "+u.Run(st.From), e.Answer, set)
		}
		for k, q := range r.Pulls {
			if q.Kind == plan.PullBox || q.Kind == plan.PullBody {
				row("least size of "+q.ID+", "+q.Words(), v.Answer.BoxNeed(r, k).Answer, "")
			}
		}
	}
	return t, len(t.Rows) > 0
}

// surveyTable shows the four-pin readings beside what the layers would read.
func surveyTable(v rule.View) (sheet.Table, bool) {
	rs := v.Site.Soil.Readings
	t := sheet.Table{
		ID: "prove.survey", Title: "Soil survey",
		Columns: []sheet.Column{{Head: "Line", Width: 0.12}, {Head: "Spacing", Align: sheet.Right, Width: 0.14}, {Head: "Read", Align: sheet.Right, Width: 0.14}, {Head: "Apparent", Align: sheet.Right, Width: 0.18}, {Head: "By the layers", Align: sheet.Right, Width: 0.18}, {Head: "Said of it", Width: 0.24}},
	}
	if len(rs) == 0 || len(v.Site.Soil.Layers) > 0 {
		return t, false
	}
	g := v.Answer.SoilModel()
	ps := v.Answer.Survey()
	said := map[int]string{}
	if g.Fit != nil {
		for _, f := range g.Fit.Flagged {
			said[f.Index] = "set aside: " + f.Reason
		}
	}
	ohmM := func(x unit.OhmMetre) sheet.Cell { return sheet.N(float64(x), unit.Figures(float64(x), 3)+" ohm-m") }
	for i, r := range rs {
		by := sheet.T("")
		if g.OK() {
			if a, err := g.Model.Wenner(r.Spacing.SI); err == nil {
				by = ohmM(a)
			}
		}
		t.Rows = append(t.Rows, sheet.Row{sheet.T(r.Line), sheet.T(r.Spacing.Text), sheet.T(r.Ohms.Text), ohmM(ps[i].Apparent), by, sheet.T(said[i])})
	}
	switch {
	case !g.OK():
		t.Notes = append(t.Notes, "Cannot tell: "+g.Missing+".")
	case g.Fit != nil:
		t.Notes = append(t.Notes, "Layers: "+g.Value.Text+". "+g.Fit.Reason+".")
		for i, k := range g.Fit.Known {
			w := fmt.Sprintf("Layer %d: %s to %s ohm-m", i+1, unit.Figures(k.Resistivity.Low, 3), unit.Figures(k.Resistivity.High, 3))
			if i+1 < len(g.Fit.Known) {
				w += fmt.Sprintf(", its bottom %s to %s", v.Site.Units.Length(unit.Metre(k.Bottom.Low)), v.Site.Units.Length(unit.Metre(k.Bottom.High)))
			}
			t.Notes = append(t.Notes, w+" (90 % interval).")
		}
		for _, d := range g.Fit.Doubts {
			t.Notes = append(t.Notes, "Doubt: "+d+".")
		}
	default:
		t.Notes = append(t.Notes, "The readings agree: one resistivity, "+g.Value.Text+".")
	}
	return t, true
}
