// Package change says what a move does: two revisions of a site compared in
// points, runs and trench, quantities, findings and money, with the state of
// the work at that minute and the words of a change notice. Numbers in the
// notice come from the engine; the words around them are the person's to
// edit.
package change

import (
	"fmt"
	"math"
	"strings"

	"stubup/base/cite"
	"stubup/base/sheet"
	"stubup/base/stable"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
	"stubup/stage/order"
	"stubup/stage/prove"
)

// Side is one of the two revisions with what its stages gave.
type Side struct {
	View     rule.View
	Findings []rule.Finding
	Order    *order.Result
	AsOf     string
}

// PointDiff is a point added, moved or removed.
type PointDiff struct {
	_ [0]func() // never compared: no equality is compiled for it

	ID, Was string
	Kind    plan.PointKind
	How     string // added, moved, removed
	By      unit.Metre
	What    string
	Place   string
}

// LineDiff is a row of the bill that differs.
type LineDiff struct {
	Item     string
	Unit     string
	Old, New float64
	Amount   float64
	Priced   bool
	Missing  string
}

// FindingDiff is a rule whose answer changed at a place.
type FindingDiff struct {
	_ [0]func() // never compared: no equality is compiled for it

	Rule     *rule.Rule
	Path     string
	Old, New string
	Found    string
	Mend     string
	Cite     cite.Ref // the rule's, or the owner's own source
}

// Result is the whole comparison.
type Result struct {
	Things   []ThingDiff
	Points   []PointDiff
	Lines    []LineDiff
	Findings []FindingDiff
	Runs     []RunDiff
	Money    float64
	Unpriced int
	Summary  []string
	Notice   []string // words of a change notice
	Tables   []sheet.Table
}

// Of compares two revisions. The state of the work is the old revision's: it
// is what stands when the change is asked for.
func Of(old, new Side) Result {
	var r Result
	r.things(old.View, new.View)
	r.points(old.View.Plan, new.View.Plan)
	r.runs(old.View, new.View)
	r.lines(old.Order, new.Order)
	r.findings(old.Findings, new.Findings)
	r.summarize(old, new)
	r.tables(old, new)
	return r
}

// moved is how far a point must go to be called moved: a quarter inch.
const moved = 0.00635

func (r *Result) points(old, new *plan.Plan) {
	was := map[string]plan.Point{}
	for _, p := range old.Points {
		was[string(p.Kind)+p.Key] = p
	}
	// A point whose key carries its place has another key after a move; its
	// remembered number finds it again, but only where the document remembers.
	byID := map[string]plan.Point{}
	if len(new.Site.Numbers) > 0 {
		for _, p := range old.Points {
			byID[p.ID] = p
		}
	}
	taken := map[string]bool{}
	for _, p := range new.Points {
		o, ok := was[string(p.Kind)+p.Key]
		if !ok {
			o, ok = byID[p.ID]
			ok = ok && o.Kind == p.Kind
		}
		if !ok {
			r.Points = append(r.Points, PointDiff{ID: p.ID, Kind: p.Kind, How: "added", What: p.What, Place: p.Place})
			continue
		}
		taken[string(o.Kind)+o.Key] = true
		d := PointDiff{ID: p.ID, Kind: p.Kind, What: p.What, Place: p.Place}
		if o.ID != p.ID {
			d.Was = o.ID
		}
		if by := o.At.Dist(p.At); by > moved {
			d.How, d.By = "moved", unit.Metre(by)
			r.Points = append(r.Points, d)
		} else if o.What != p.What && o.ID == p.ID {
			d.How = "changed"
			d.What = o.What + " becomes " + p.What
			r.Points = append(r.Points, d)
		}
	}
	for _, p := range old.Points {
		if !taken[string(p.Kind)+p.Key] {
			r.Points = append(r.Points, PointDiff{ID: p.ID, Kind: p.Kind, How: "removed", What: p.What, Place: p.Place})
		}
	}
}

func (r *Result) runs(old, new rule.View) {
	ticket := old.Site.State.Ticket.Area
	for i := range old.Plan.Runs {
		o := &old.Plan.Runs[i]
		n := new.Plan.RunByID(o.ID)
		if d := diffRun(o, n, ticket); n == nil || !samePath(o, n) {
			r.Runs = append(r.Runs, d)
		}
	}
	for i := range new.Plan.Runs {
		if n := &new.Plan.Runs[i]; old.Plan.RunByID(n.ID) == nil {
			r.Runs = append(r.Runs, diffRun(nil, n, ticket))
		}
	}
}

func samePath(a, b *plan.Run) bool {
	if len(a.Pieces) != len(b.Pieces) || len(a.Pulls) != len(b.Pulls) || math.Abs(float64(a.Length-b.Length)) > 1e-6 {
		return false
	}
	for i := range a.Pieces {
		if a.Pieces[i].B.Dist(b.Pieces[i].B) > 1e-6 || a.Pieces[i].Arc != b.Pieces[i].Arc {
			return false
		}
	}
	for i := range a.Pulls {
		if a.Pulls[i].At.Dist(b.Pulls[i].At) > 1e-6 || a.Pulls[i].Kind != b.Pulls[i].Kind {
			return false
		}
	}
	return len(entriesNotIn(a.Entries, b.Entries)) == 0 && len(entriesNotIn(b.Entries, a.Entries)) == 0
}

func (r *Result) lines(old, new *order.Result) {
	if old == nil || new == nil {
		return
	}
	was := map[string]order.Line{}
	for _, l := range old.Lines {
		was[l.Key] = l
	}
	add := func(l order.Line, o, n float64, amount float64) {
		d := LineDiff{Item: l.Item, Unit: l.Unit, Old: o, New: n, Missing: l.Missing, Priced: l.Price != nil && l.Unpriced == "", Amount: amount}
		if !d.Priced {
			r.Unpriced++
		}
		r.Money += amount
		r.Lines = append(r.Lines, d)
	}
	seen := map[string]bool{}
	for _, l := range new.Lines {
		seen[l.Key] = true
		o := was[l.Key]
		if math.Abs(o.Count-l.Count) > 1e-6 || math.Abs(o.Quantity-l.Quantity) > 1e-6 {
			a, b := o.Quantity, l.Quantity
			if math.Abs(a-b) < 1e-6 { // the packs still cover it: show what is used
				a, b = o.Count, l.Count
			}
			add(l, a, b, l.Amount-o.Amount)
		}
	}
	for _, l := range old.Lines {
		if !seen[l.Key] {
			add(l, l.Quantity, 0, -l.Amount)
		}
	}
}

// findings compares what the rules saw. A place may be named by a station,
// which moves when anything before it does, so that part of a name is left out
// of the comparison: what one rule says of one run is compared as a set, and
// what stands on both sides is no news.
func (r *Result) findings(old, new []rule.Finding) {
	kept := func(fs []rule.Finding) map[string][]rule.Finding {
		m := map[string][]rule.Finding{}
		for _, f := range fs {
			k := f.Rule.ID + " " + unplaced(f.Path)
			m[k] = append(m[k], f)
		}
		return m
	}
	was, is := kept(old), kept(new)
	var keys []string
	for k := range was {
		keys = append(keys, k)
	}
	for k := range is {
		if _, ok := was[k]; !ok {
			keys = append(keys, k)
		}
	}
	stable.Ascend(keys)
	for _, k := range keys {
		gone, come := without(was[k], is[k]), without(is[k], was[k])
		for i := range max(len(gone), len(come)) {
			d := FindingDiff{Old: "not there", New: "gone"}
			quiet := true
			if i < len(gone) {
				o := gone[i]
				d.Rule, d.Path, d.Old, d.Cite = o.Rule, o.Path, o.Outcome.String(), o.Cite
				quiet = o.Outcome == rule.Holds || o.Outcome == rule.NotApply
			}
			if i < len(come) {
				n := come[i]
				d.Rule, d.Path, d.New, d.Found, d.Mend, d.Cite = n.Rule, n.Path, n.Outcome.String(), n.Found, n.Mend, n.Cite
				quiet = quiet && (n.Outcome == rule.Holds || n.Outcome == rule.NotApply)
			}
			if !quiet && d.Old != d.New {
				r.Findings = append(r.Findings, d)
			}
		}
	}
}

// unplaced returns a path without the parts that say how far along a run a
// thing lies: " at 12.5 ft", " at 12'-6 1/2\"".
func unplaced(path string) string {
	const at = " at "
	var b strings.Builder
	for {
		i := strings.Index(path, at)
		if i < 0 {
			b.WriteString(path)
			return b.String()
		}
		b.WriteString(path[:i])
		rest := path[i+len(at):]
		path = strings.TrimLeft(rest, "0123456789.'\" /-")
		if path == rest { // at something else
			b.WriteString(at)
			continue
		}
		for _, u := range []string{"ft", "m"} {
			if cut, ok := strings.CutPrefix(path, u); ok {
				path = cut
				break
			}
		}
	}
}

// without returns the findings of a whose outcome has no partner in b, the most
// urgent first.
func without(a, b []rule.Finding) []rule.Finding {
	spare := map[rule.Outcome]int{}
	for _, f := range b {
		spare[f.Outcome]++
	}
	var out []rule.Finding
	for _, f := range a {
		if spare[f.Outcome] > 0 {
			spare[f.Outcome]--
			continue
		}
		out = append(out, f)
	}
	stable.Sort(out, func(x, y rule.Finding) int { return int(x.Outcome) - int(y.Outcome) })
	return out
}

func signed(u unit.System, m unit.Metre) string {
	s := u.Run(m)
	if m > 0 {
		s = "+" + s
	}
	return s
}

func sums(ds []unit.Degree) string {
	var out []string
	for _, d := range ds {
		out = append(out, unit.Trim(float64(d), 1))
	}
	return strings.Join(out, " | ")
}

func (r *Result) summarize(old, new Side) {
	u := new.View.Site.Units
	add := func(f string, a ...any) { r.Summary = append(r.Summary, fmt.Sprintf(f, a...)) }
	if len(r.Things)+len(r.Points)+len(r.Runs)+len(r.Lines)+len(r.Findings) == 0 {
		add("No difference in things, points, runs, quantities or findings.")
		return
	}
	n := map[string]int{}
	for _, p := range r.Points {
		n[p.How]++
	}
	add("points: %d added, %d moved, %d changed, %d removed", n["added"], n["moved"], n["changed"], n["removed"])
	for _, d := range r.Things {
		add("%s", d.words(u))
	}
	for _, d := range r.Runs {
		switch {
		case d.New == nil:
			add("%s: taken out, %s", d.ID, u.Run(d.Old.Length))
		case d.Old == nil:
			add("%s: new, %s, bends %s", d.ID, u.Run(d.New.Length), sums(d.NewSums))
		default:
			add("%s: %s becomes %s (%s); bends %s become %s", d.ID, u.Run(d.Old.Length), u.Run(d.New.Length), signed(u, d.Length), sums(d.OldSums), sums(d.NewSums))
		}
		if d.Kept > 0 || d.TakeUp > 0 {
			s := fmt.Sprintf("%s: of %s laid, %s stays", d.ID, u.Run(d.Kept+d.TakeUp), u.Run(d.Kept))
			if d.TakeUp > 0.01 {
				s += ", " + u.Run(d.TakeUp) + " comes out"
			}
			add("%s", s)
		}
		var t []string
		if d.Dig > 0.01 {
			t = append(t, u.Run(d.Dig)+" of new trench")
		}
		if d.NotDug > 0.01 {
			t = append(t, u.Run(d.NotDug)+" of old trench not dug and not needed")
		}
		if d.Refill > 0.01 {
			t = append(t, u.Run(d.Refill)+" open past the turn, to refill")
		}
		if len(t) > 0 {
			add("%s: %s", d.ID, strings.Join(t, "; "))
		}
		for _, e := range d.Cores {
			add("%s: a new core in %s", d.ID, wallWords(e))
		}
		for _, e := range d.Patched {
			s := "patch the old hole in " + wallWords(e)
			if e.Rated {
				s += " with a listed firestop: the wall is rated"
			}
			add("%s: %s", d.ID, s)
		}
		if d.Dig > 0.01 {
			add("%s", ticketWords(old.View.Site.State.Ticket, d.Beyond))
		}
	}
	for _, f := range r.Findings {
		add("%s (%s): %s becomes %s", f.Rule.Title, prove.Where(f.Path), f.Old, f.New)
	}
	if r.Money != 0 || r.Unpriced < len(r.Lines) {
		add("money: %+.2f for what has a price; %d rows have no price", r.Money, r.Unpriced)
	} else if len(r.Lines) > 0 {
		add("money: no price on any of the %d rows that change", len(r.Lines))
	}
	r.notice(old, new)
}

func wallWords(e plan.WallEntry) string {
	return strings.ReplaceAll(e.Wall, "-", " ")
}

func ticketWords(t site.Ticket, beyond bool) string {
	days := "days by the state's rule: ask"
	if t.Days > 0 {
		days = unit.Trim(t.Days, 1) + " business days"
	}
	switch {
	case t.Number == "" && len(t.Area) < 3:
		return "dig ticket: none is written here; call before digging the new line (" + days + ")"
	case beyond:
		return "dig ticket: the new line leaves its area; a wider ticket is needed (" + days + ")"
	case len(t.Area) < 3:
		return "dig ticket: its area is not written here; ask whether it covers the new line (" + days + ")"
	}
	return "dig ticket: its area covers the new line; the marks must be walked again"
}

func (r *Result) notice(old, new Side) {
	add := func(f string, a ...any) { r.Notice = append(r.Notice, fmt.Sprintf(f, a...)) }
	name := new.View.Site.Name
	add("Change notice: %s, revision %s to %s.", name, orDash(old.View.Site.Revision), orDash(new.View.Site.Revision))
	add("Asked for by: ____________  on: ____________")
	for _, s := range State(old.View, old.AsOf) {
		add("%s", s)
	}
	for _, s := range r.Summary {
		add("%s.", strings.TrimSuffix(s, "."))
	}
	add("Hours: ____  Days: ____  The work goes on as drawn in the old revision until this is signed.")
}

func orDash(s string) string {
	if s == "" {
		return "(none)"
	}
	return s
}

// State returns the state of the work at a minute, in short lines.
func State(v rule.View, asOf string) []string {
	u := v.Site.Units
	at := asOf
	if v.Site.State.AsOf != "" {
		at = v.Site.State.AsOf
	}
	if len(at) > 16 && at[10] == 'T' {
		at = at[:10] + " " + at[11:16] // to the minute, as a person says it
	}
	out := []string{"State of the work as of " + at + ":"}
	some := false
	for _, r := range v.Plan.Runs {
		if r.Laid > 0 || r.Open > 0 {
			some = true
			out = append(out, fmt.Sprintf("%s: %s laid, trench open to %s", r.ID, u.Run(r.Laid), u.Run(r.Open)))
		}
	}
	for _, r := range v.Plan.Rods {
		if r.Refused {
			some = true
			out = append(out, fmt.Sprintf("rod %s: refused with %s driven", r.ID, u.Length(r.Driven)))
		}
	}
	if !some {
		out = append(out, "nothing is laid, driven or dug by this document")
	}
	return out
}

func (r *Result) tables(old, new Side) {
	u := new.View.Site.Units
	pt := sheet.Table{
		ID: "change.points", Title: "Points", Empty: "No point is added, moved or removed.",
		Columns: []sheet.Column{{Head: "Point", Width: 0.12}, {Head: "Change", Width: 0.16}, {Head: "What", Width: 0.36}, {Head: "Place", Width: 0.36}},
	}
	for _, p := range r.Points {
		how := p.How
		if p.How == "moved" {
			how += " " + u.Length(p.By)
		}
		id := p.ID
		if p.Kind != plan.KindPost {
			id = string(p.Kind) + " " + p.ID
		}
		if p.Was != "" {
			id += " (was " + p.Was + ")"
		}
		pt.Rows = append(pt.Rows, sheet.Row{sheet.T(id), sheet.T(how), sheet.T(p.What), sheet.T(p.Place)})
	}
	qt := sheet.Table{
		ID: "change.quantities", Title: "Quantities and money", Empty: "No quantity changes.",
		Columns: []sheet.Column{{Head: "Item", Width: 0.46}, {Head: "Was", Align: sheet.Right, Width: 0.11}, {Head: "Is", Align: sheet.Right, Width: 0.11}, {Head: "Change", Align: sheet.Right, Width: 0.12}, {Head: "Money", Align: sheet.Right, Width: 0.20}},
	}
	for _, l := range r.Lines {
		money := sheet.T("no price")
		if l.Priced {
			money = sheet.N(l.Amount, fmt.Sprintf("%+.2f", l.Amount))
		}
		d := l.New - l.Old
		txt := unit.Trim(d, 2)
		if d > 0 {
			txt = "+" + txt
		}
		item := l.Item
		if l.Missing != "" {
			item += " (cannot tell: " + l.Missing + ")"
		}
		qt.Rows = append(qt.Rows, sheet.Row{sheet.T(item), sheet.N(l.Old, unit.Trim(l.Old, 2)), sheet.N(l.New, unit.Trim(l.New, 2)), sheet.N(d, txt+" "+l.Unit), money})
	}
	ft := sheet.Table{
		ID: "change.findings", Title: "Findings that change", Empty: "No finding changes.",
		Columns: []sheet.Column{{Head: "Rule", Width: 0.34}, {Head: "Where", Width: 0.22}, {Head: "Was", Width: 0.12}, {Head: "Is", Width: 0.12}, {Head: "Source", Width: 0.20}},
	}
	for _, f := range r.Findings {
		ft.Rows = append(ft.Rows, sheet.Row{sheet.T(f.Rule.Title), sheet.T(prove.Where(f.Path)), sheet.T(f.Old), sheet.T(f.New), sheet.T(f.Cite.Full())})
	}
	nt := sheet.Table{ID: "change.notice", Title: "Words for a change notice", Columns: []sheet.Column{{Head: "Line"}}}
	for _, s := range r.Notice {
		nt.Rows = append(nt.Rows, sheet.Row{sheet.T(s)})
	}
	r.Tables = []sheet.Table{pt, qt, ft, nt}
}
