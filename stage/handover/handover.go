// Package handover binds the closeout package: cover with what is missing
// first, drawings, the one point list, findings with their citations,
// calculation sheets, the bill, the registers and the open items, as one book
// of pages. Nothing here computes; it gathers what the earlier stages gave.
package handover

import (
	"fmt"
	"strings"

	"stubup/base/diag"
	"stubup/base/sheet"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/stage/layout"
	"stubup/stage/order"
	"stubup/stage/prove"
	"stubup/stage/work"
	"stubup/trade/earthtest"
)

// Input is what is gathered.
type Input struct {
	View     rule.View
	Title    string // "Compound A, revision A"
	AsOf     string
	SiteHash string
	Engine   string
	Document []byte // attached to the package, so that it can be evaluated again
	Layout   *layout.Result
	Prove    *prove.Result
	Order    *order.Result
	Work     *work.Result
	Diags    diag.List
}

// OpenItem is one thing that keeps the package from being final.
type OpenItem struct {
	What  string
	Where string
	Do    string
}

// Result is the package.
type Result struct {
	Book    *sheet.Book
	Open    []OpenItem
	Summary []string
	Tables  []sheet.Table
}

// Make binds the package. It is a draft while anything is open.
func Make(in Input) Result {
	var r Result
	r.Open = openItems(in)
	open := openTable(r.Open)
	r.Tables = []sheet.Table{open, index(in)}
	state := "final"
	if len(r.Open) > 0 {
		state = "draft"
	}
	r.Summary = append(r.Summary, state+": "+are(len(r.Open)))
	r.Summary = append(r.Summary, in.Prove.Verdict...)
	r.Summary = append(r.Summary, "A licensed person and the authority having jurisdiction (AHJ) decide; this package gives quantities and citations, not permission.")
	b := &sheet.Book{
		Title: in.Title, Sub: "closeout package", Draft: len(r.Open) > 0, Metric: in.View.Plan != nil && in.View.Plan.Site.Units == unit.SI, Created: in.AsOf,
		Foot: fmt.Sprintf("as of %s  site %.12s  engine %s", in.AsOf, in.SiteHash, in.Engine),
	}
	if len(in.Document) > 0 {
		b.Attach = append(b.Attach, sheet.Attachment{Name: "site.yaml", Data: in.Document, What: "the site document that this package was made from"})
	}
	b.Pages = append(b.Pages, cover(in, r))
	b.Pages = append(b.Pages, tablesPage("Open items and index", "What is still missing before this package is final, and what the package must hold.", false, r.Tables...))
	b.Pages = append(b.Pages, sheet.Page{Title: "Cautions", Purpose: "What can hurt someone in the work that this plan asks for. Read before the first bucket, the first shot and the first test.", Blocks: []sheet.Block{cautions(in.View.Plan)}})
	if in.Layout.Plan != nil {
		b.Pages = append(b.Pages, sheet.Page{Title: "Plan", Purpose: "Where everything goes, to scale. Dig, drive and weld by the ids on it.", Wide: true, Blocks: []sheet.Block{sheet.Figure{Drawing: in.Layout.Plan}}})
	}
	for _, d := range in.Layout.Runs {
		b.Pages = append(b.Pages, sheet.Page{Title: d.Title, Purpose: d.Desc, Wide: true, Blocks: []sheet.Block{sheet.Figure{Drawing: d}}})
	}
	if d := in.Layout.Surface; d != nil {
		b.Pages = append(b.Pages, sheet.Page{Title: "Potential of the surface", Purpose: "What the ground about the ring is at while the stated fault current leaves through it. To talk with an engineer about, not to design by.", Wide: true, Blocks: []sheet.Block{sheet.Figure{Drawing: d}}})
	}
	b.Pages = append(b.Pages, tablesPage("Point list", "Every rod, joint, whip and pull point with its number and where two tapes find it again. The numbers are those on the tags.", true, in.Layout.Points))
	b.Pages = append(b.Pages, tablesPage("Findings and results", "What the adopted works and the owner ask, what this design does, and where that is written.", true, in.Prove.Tables...))
	b.Pages = append(b.Pages, calcPage(in))
	b.Pages = append(b.Pages, in.Order.Pages...)
	b.Pages = append(b.Pages, in.Work.Pages...)
	b.Pages = append(b.Pages, in.Work.Book...)
	r.Book = b
	return r
}

func are(n int) string {
	if n == 1 {
		return "1 item is open"
	}
	return fmt.Sprintf("%d items are open", n)
}

func tablesPage(title, purpose string, wide bool, ts ...sheet.Table) sheet.Page {
	p := sheet.Page{Title: title, Purpose: purpose, Wide: wide}
	for _, t := range ts {
		p.Blocks = append(p.Blocks, t)
	}
	return p
}

func calcPage(in Input) sheet.Page {
	p := sheet.Page{Title: "Calculation sheets", Purpose: "Each printed value with its equation, the numbers put in, the result and its source, so that it can be checked by hand."}
	for _, c := range in.Prove.Calcs {
		p.Blocks = append(p.Blocks, c)
	}
	if len(in.Prove.Calcs) == 0 {
		p.Blocks = append(p.Blocks, sheet.Para{Text: "Nothing was computed: the document gives no ring, no soil and no run."})
	}
	return p
}

func cover(in Input, r Result) sheet.Page {
	s := in.View.Site
	p := sheet.Page{Title: in.Title, Purpose: "Grounding electrode system and raceways: what is to be built, shown to meet, ordered, recorded and accepted."}
	add := func(b sheet.Block) { p.Blocks = append(p.Blocks, b) }
	if len(r.Open) > 0 {
		add(sheet.Para{Lead: "Draft.", Text: are(len(r.Open)) + "; the next page lists what.", Mark: sheet.Hold})
	}
	add(sheet.List{Title: "Verdict", Lines: in.Prove.Verdict})
	var works []string
	if s.Governs.Work != "" {
		works = append(works, "governs: "+workName(s.Governs.Work))
	} else {
		works = append(works, "governs: cannot tell: the document does not say who governs")
	}
	for _, w := range s.Adopted {
		works = append(works, "adopted: "+workName(w.ID)+" "+w.Edition)
	}
	if s.Owner.Name != "" {
		works = append(works, "owner's profile: "+s.Owner.Name)
	}
	for i := range works {
		works[i] = trimRight(works[i])
	}
	add(sheet.List{Title: "Works", Lines: works})
	add(sheet.Para{Lead: "Who decides.", Text: "A licensed person and the authority having jurisdiction (AHJ) decide. Local code comes first. This package gives quantities and citations, not permission. The resistance is an estimate from a model of the soil, not an acceptance: that is a test on the finished ground."})
	add(sheet.Table{
		ID: "cover.sign", Title: "Signatures", Columns: []sheet.Column{{Head: "Who", Width: 0.34}, {Head: "Name", Width: 0.28}, {Head: "Signed", Width: 0.22}, {Head: "Date", Width: 0.16}},
		Rows: []sheet.Row{
			{sheet.T("Lead electrician"), sheet.T(""), sheet.T(""), sheet.T("")},
			{sheet.T("Licensed person"), sheet.T(""), sheet.T(""), sheet.T("")},
			{sheet.T("Inspector (AHJ)"), sheet.T(""), sheet.T(""), sheet.T("")},
			{sheet.T("Owner"), sheet.T(""), sheet.T(""), sheet.T("")},
		},
	})
	return p
}

// workName returns a work as it is printed on its own cover.
func workName(id string) string {
	if id == rule.GoodPractice {
		return "good practice, where no work says"
	}
	return strings.ToUpper(strings.Replace(id, "-", " ", 1))
}

func trimRight(s string) string {
	for len(s) > 0 && s[len(s)-1] == ' ' {
		s = s[:len(s)-1]
	}
	return s
}

// cautions lists what can hurt someone in the work that this plan meets.
func cautions(p *plan.Plan) sheet.List {
	var l sheet.List
	for _, t := range work.Bite(p) {
		for _, c := range work.Cautions(t) {
			l.Lines = append(l.Lines, string(t)+": "+c.String())
		}
	}
	return l
}

func openItems(in Input) []OpenItem {
	var out []OpenItem
	for _, d := range in.Diags {
		if d.Level == diag.Error {
			out = append(out, OpenItem{What: "the document: " + d.What, Where: d.Span.Path, Do: d.Mend})
		}
	}
	for _, f := range in.Prove.Findings {
		if (f.Outcome == rule.Broken || f.Outcome == rule.CannotTell) && f.Waived == nil {
			out = append(out, OpenItem{What: f.Outcome.String() + ": " + f.Rule.Title, Where: prove.Where(f.Path), Do: f.Mend})
		}
	}
	for _, l := range in.Order.Lines {
		if l.Missing != "" {
			out = append(out, OpenItem{What: "the bill cannot tell: " + l.Item, Where: "bill", Do: l.Missing})
		}
	}
	if p := in.View.Plan; p.Ring == nil && len(p.Rods)+len(p.Whips)+len(p.Runs) == 0 {
		out = append(out, OpenItem{What: "nothing is laid out to hand over", Where: "layout", Do: "lay out a ring, a rod or a run"})
	}
	welded, rods, whips := len(in.View.Plan.Welded()), len(in.View.Plan.Rods), len(in.View.Plan.Whips)
	if welded > 0 {
		out = append(out, OpenItem{What: fmt.Sprintf("%d welded joints without a record", welded), Where: "register: weld", Do: "before and after photo, tag in view, tap check, before the trench is backfilled"})
	}
	if rods > 0 {
		out = append(out, OpenItem{What: fmt.Sprintf("%d rods without a record", rods), Where: "register: rod", Do: "length driven, depth of top by tape, photo"})
	}
	if whips > 0 {
		out = append(out, OpenItem{What: fmt.Sprintf("%d whips without a tag", whips), Where: "register: whip", Do: "hang the tag, measure the length, photo"})
	}
	if in.View.Plan.Ring != nil {
		out = append(out, testItems(in)...)
		out = append(out, OpenItem{What: "inspector's word is missing", Where: "register: hold point", Do: "signed here, or the card or tag photo with its number, or waived by name and time, or not required"})
	}
	for _, q := range in.View.Plan.Runs {
		out = append(out, OpenItem{What: "no record of run " + q.ID, Where: "register: raceway", Do: "tape reading, mandrel, cover, penetrations, pull line left"})
	}
	return out
}

// testItems says what is open about the earth test: none taken, or none whose
// verdict stands.
func testItems(in Input) []OpenItem {
	const do = "after backfill and tamping, before steel, fence, tower and the utility neutral are joined"
	var out []OpenItem
	taken := false
	for _, t := range in.View.Answer.EarthTests() {
		if len(t.Test.Readings) == 0 {
			continue
		}
		taken = true
		where := "earth test " + t.Test.ID
		switch {
		case t.Missing != "":
			out = append(out, OpenItem{What: "no verdict", Where: where, Do: t.Missing})
		case t.Judged.Verdict != earthtest.None:
			return nil
		default:
			item := OpenItem{What: "no verdict", Where: where, Do: "test again"}
			if fs := t.Judged.Flags; len(fs) > 0 {
				item.What, item.Do = "no verdict: "+fs[0].Kind.Words(), fs[0].Kind.Ask()
			}
			out = append(out, item)
		}
	}
	if !taken {
		out = append(out, OpenItem{What: "no earth test", Where: "register: earth test", Do: do})
	}
	return out
}

func openTable(items []OpenItem) sheet.Table {
	t := sheet.Table{ID: "handover.open", Title: "Open items", Empty: "Nothing is open.", Columns: []sheet.Column{{Head: "No.", Align: sheet.Right, Width: 0.07}, {Head: "What is missing", Width: 0.35}, {Head: "Where", Width: 0.2}, {Head: "What to do", Width: 0.38}}}
	for i, o := range items {
		t.Rows = append(t.Rows, sheet.Row{sheet.N(float64(i+1), fmt.Sprint(i+1)), sheet.T(o.What), sheet.T(o.Where), sheet.T(o.Do)})
	}
	return t
}

// index lists what a closeout package holds and whether this one has it.
func index(in Input) sheet.Table {
	t := sheet.Table{ID: "handover.index", Title: "Closeout index", Columns: []sheet.Column{{Head: "Part", Width: 0.45}, {Head: "In this package", Width: 0.55}}}
	row := func(what string, has bool, words string) {
		if !has {
			words = "missing: " + words
		}
		t.Rows = append(t.Rows, sheet.Row{sheet.T(what), sheet.T(words)})
	}
	p := in.View.Plan
	row("drawings", in.Layout.Plan != nil, fmt.Sprintf("plan and %d drawings of runs", len(in.Layout.Runs)))
	row("point list", len(p.Points) > 0, fmt.Sprintf("%d points", countNot(p.Points, plan.KindPost)))
	row("findings with citations", len(in.Prove.Findings) > 0, fmt.Sprintf("%d findings", len(in.Prove.Findings)))
	row("calculation sheets", len(in.Prove.Calcs) > 0, fmt.Sprintf("%d sheets", len(in.Prove.Calcs)))
	row("bill", len(in.Order.Lines) > 0, fmt.Sprintf("%d rows", len(in.Order.Lines)))
	row("registers", false, "blank; to be filled in on site")
	row("photos", false, "before and after of every joint, rod, depth and whip")
	tests := 0
	for _, t := range in.View.Site.Tests {
		if len(t.Readings) > 0 {
			tests++
		}
	}
	words := fmt.Sprintf("%d tests, judged, under findings and results", tests)
	if tests == 0 {
		words = "with what was disconnected, stakes, meter and calibration"
	}
	row("earth test report", tests > 0, words)
	row("deviations, RFIs and change notices", true, fmt.Sprintf("%d waivers", len(in.View.Site.Waivers)))
	return t
}

func countNot(ps []plan.Point, k plan.PointKind) int {
	n := 0
	for _, p := range ps {
		if p.Kind != k {
			n++
		}
	}
	return n
}
