// Package work turns a plan into what a crew holds today: what comes first,
// the weld list in walking order with mold and charge, the molds with their
// life, the rods with what to do when one stops, trenches and depths, bend
// sheets with the marks on every stick, and the registers to be filled, with
// the cautions where they bite.
//
// It says what is to be done; it does not say that it may be done. Local
// code, the authority having jurisdiction and a licensed person decide.
package work

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/cite"
	"stubup/base/draw"
	"stubup/base/geom"
	"stubup/base/sheet"
	"stubup/base/stable"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
	"stubup/stage/order"
	"stubup/trade/joint"
	"stubup/trade/raceway"
)

// Result is what the work stage gives.
type Result struct {
	First     []string // what comes first today
	Tables    []sheet.Table
	Registers []sheet.Table
	Sticks    []Stick
	Drawings  []*draw.Drawing // one for each stick with a bend on it
	Topics    []Topic         // whose cautions concern this site
	Pages     []sheet.Page    // the day's sheets, for paper
	Book      []sheet.Page    // the registers, for paper
	Text      []string        // the summary, one line each
}

// Table returns one of the day's tables or registers, or nil.
func (r Result) Table(id string) *sheet.Table {
	for _, list := range [][]sheet.Table{r.Tables, r.Registers} {
		for i := range list {
			if list[i].ID == id {
				return &list[i]
			}
		}
	}
	return nil
}

// Make returns the sheets of a plan.
func Make(v rule.View) Result {
	p := v.Plan
	molds := order.MoldsOf(v.Site, p)
	shots := shotsOf(p, molds)
	res := Result{Topics: Bite(p)}
	res.First = first(p, molds, v.AsOf)
	res.Tables = append(res.Tables, weldTable(v.Site, p, shots), moldTable(molds, shots, p), rodTable(p), trenchTable(p), depthTable(p))
	var bends []sheet.Table
	figures := map[string][]*draw.Drawing{}
	for _, r := range p.Runs {
		bends = append(bends, bendTable(r, p.Site.Units))
		for _, s := range Sticks(r, p.Site.Units) {
			res.Sticks = append(res.Sticks, s)
			if len(s.Bends) > 0 {
				d := s.Draw(p.Site.Units)
				res.Drawings = append(res.Drawings, d)
				figures[r.ID] = append(figures[r.ID], d)
			}
		}
	}
	res.Tables = append(res.Tables, bends...)
	pulls := pullCards(v)
	res.Tables = append(res.Tables, pulls...)
	res.Registers = registers(v)
	res.Pages = append(pages(&res, p, bends, figures), pullPages(pulls)...)
	res.Book = registerPages(&res)
	res.Text = summary(&res, p, molds)
	return res
}

// shot is one joint in the mold that makes it.
type shot struct {
	joint plan.Joint
	mold  *order.Mold
	no    int // number of the mold
	count int // which shot of that mold
}

// shotsOf gives every welded joint its mold and the count of its shot, in
// walking order. A mold that comes to the end of its life hands over to the
// next of its kind; redos come on top and are not counted here.
func shotsOf(p *plan.Plan, molds []order.Mold) []shot {
	fired := map[int]int{}
	at := map[string]int{}
	var out []shot
	for _, j := range Sequence(p) {
		i := slices.IndexFunc(molds, func(m order.Mold) bool { return m.Key == j.MoldKey() })
		m := &molds[i]
		k := at[m.Key]
		no := m.Numbers[k]
		if _, ok := fired[no]; !ok && k == 0 {
			fired[no] = m.Shots
		}
		if m.Life > 0 && fired[no] >= m.Life && k+1 < len(m.Numbers) {
			at[m.Key]++
			no = m.Numbers[k+1]
		}
		fired[no]++
		out = append(out, shot{j, m, no, fired[no]})
	}
	return out
}

// past reports whether a day lies before the moment reported on. Both begin
// with the date as ISO 8601 writes it; anything else cannot be told and is not
// called past.
func past(until, asOf string) bool {
	const day = len("2026-01-05")
	if len(until) < day || len(asOf) < day || until[4] != '-' || asOf[4] != '-' {
		return false
	}
	return until[:day] < asOf[:day]
}

// outsideTicket names what is dug or driven outside of the area of the dig
// ticket, where the document gives one.
func outsideTicket(p *plan.Plan) []string {
	area := p.Site.State.Ticket.Area
	if len(area) < 3 {
		return nil
	}
	var out []string
	if p.Ring != nil {
		for _, q := range p.Ring.Polyline(0.05) {
			if !area.Contains(q) {
				out = append(out, "ring")
				break
			}
		}
	}
	for _, r := range p.Rods {
		if !area.Contains(r.At) {
			out = append(out, "rod "+r.ID)
		}
	}
	for _, w := range p.Whips {
		if !area.Contains(w.To) {
			out = append(out, "whip "+w.ID)
		}
	}
	for _, r := range p.Runs {
		var far unit.Metre
		for _, q := range r.Pieces {
			if !plan.InTrench(q) {
				continue
			}
			n := max(1, int(math.Ceil(float64(q.Length)/0.1)))
			for k := range n {
				if !area.Contains(q.At(float64(q.Length) * (float64(k) + 0.5) / float64(n)).Plan()) {
					far += q.Length / unit.Metre(n)
				}
			}
		}
		if far > 0.05 {
			out = append(out, fmt.Sprintf("%s of the trench of %s", p.Site.Units.Run(far), r.ID))
		}
	}
	return out
}

// first says what comes first today.
func first(p *plan.Plan, molds []order.Mold, asOf string) []string {
	var out, long []string
	if t := p.Site.State.Ticket; len(p.Rods) > 0 || p.Ring != nil || slices.ContainsFunc(p.Runs, func(r plan.Run) bool { return r.Trench > 0 }) {
		switch {
		case t.Number == "":
			out = append(out, "dig ticket: not in the document. See it before the first bucket")
		case t.Until == "":
			out = append(out, "dig ticket "+t.Number+": see until when it is valid before the first bucket")
		case past(t.Until, asOf):
			out = append(out, "HOLD: dig ticket "+t.Number+" ran out on "+t.Until+". No digging until it is renewed and the marks are fresh")
		default:
			out = append(out, "dig ticket "+t.Number+", valid until "+t.Until+": look at it before the first bucket")
		}
		if out2 := outsideTicket(p); len(out2) > 0 {
			out = append(out, "HOLD: outside the area of the dig ticket: "+strings.Join(out2, ", ")+". Widen the ticket before that is dug or driven")
		}
	}
	for _, r := range p.Runs {
		if r.Laid > 0 {
			out = append(out, fmt.Sprintf("%s: %s is laid already. Its sheets, cuts and the order show the whole run; begin at that station", r.ID, p.Site.Units.Run(r.Laid)))
		}
	}
	for _, w := range p.Whips {
		if w.Cut > w.Length+1e-6 {
			long = append(long, w.ID+" "+p.Site.Units.Length(w.Cut))
		}
	}
	if len(long) > 0 {
		out = append(out, "cut longer than the takeoff, out of the spare, because the tap sits beside the nearest place on the ring: "+strings.Join(long, ", "))
	}
	if len(molds) > 0 {
		_, why := DryDue(true, 0, false, false)
		idle := unit.Trim(practiceValue("dry.idle"), 0)
		out = append(out, fmt.Sprintf("dry mold %d and its conductor: %s. Again after %s min idle, after rain, on wet ground, and for every other mold before its own first shot; not otherwise", molds[0].Numbers[0], why, idle))
		out = append(out, "a porous reject: think of moisture before anything else")
	}
	for _, m := range molds {
		if m.Second {
			out = append(out, fmt.Sprintf("%s: %s", m.Name(), m.Sentence()))
		}
	}
	var told, unknown []string
	for _, j := range p.Joints {
		if j.Unknown {
			unknown = append(unknown, j.ID)
		} else if j.ToldOnly {
			told = append(told, j.ID)
		}
	}
	if len(unknown) > 0 {
		out = append(out, "measure first: "+order.IDs(unknown)+" have no size, so no mold")
	}
	if len(told) > 0 {
		out = append(out, "see first: "+order.IDs(told)+" go on a conductor told only. Uncover it, measure it, meter it, then pick the mold")
	}
	for _, r := range p.Rods {
		if r.Refused && r.Lies == "" && r.Driven < r.Length {
			out = append(out, fmt.Sprintf("rod %s stopped with %s driven: move it and try again, then 45 degrees, then flat. It is not cut off", r.ID, p.Site.Units.Length(r.Driven)))
		}
	}
	for _, r := range p.Runs {
		if len(r.Pieces) == 0 {
			continue
		}
		switch bent := bentSticks(r, p.Site.Units); {
		case bent > 0:
			out = append(out, fmt.Sprintf("%s: cut and bend %s by the bend sheet before it is set", r.ID, plural(bent, "length")))
		default:
			out = append(out, r.ID+": lengths and factory bends are set as the bend sheet lists them")
		}
	}
	if len(out) == 0 {
		out = append(out, "Nothing to do: the layout has no ring, rod, whip or run yet.")
	}
	return out
}

func bentSticks(r plan.Run, sys unit.System) int {
	n := 0
	for _, s := range Sticks(r, sys) {
		if len(s.Bends) > 0 {
			n++
		}
	}
	return n
}

// afterTest reports whether a joint bonds the ground to something else, above
// grade or on another electrode: it waits for the earth test of ring and rods
// alone.
func afterTest(j plan.Joint) bool { return strings.HasPrefix(j.Key, "joint/end/") }

// Sequence returns the welded joints in the order in which they are fired:
// ring, rods and taps in walking order first, then, after the earth test, what
// bonds them to steel, fence and other electrodes.
func Sequence(p *plan.Plan) []plan.Joint {
	var first, then []plan.Joint
	for _, j := range p.Welded() {
		if afterTest(j) {
			then = append(then, j)
		} else {
			first = append(first, j)
		}
	}
	return append(first, then...)
}

func weldTable(s *site.Site, p *plan.Plan, shots []shot) sheet.Table {
	t := sheet.Table{ID: "work.welds", Title: "Weld list, in walking order", Empty: "Nothing to weld: the layout has no joints yet.", Columns: []sheet.Column{
		{Head: "no.", Align: sheet.Right, Width: 0.04},
		{Head: "joint", Width: 0.06},
		{Head: "what", Width: 0.22},
		{Head: "place", Width: 0.37},
		{Head: "mold, shot, charge by its tag", Width: 0.15},
		{Head: "notes", Width: 0.16},
	}}
	seen := map[int]bool{}
	for i, x := range shots {
		j := x.joint
		if i > 0 && afterTest(j) && !afterTest(shots[i-1].joint) {
			t.Rows = append(t.Rows, sheet.Row{
				sheet.T(""),
				{Text: "hold", Bold: true, Mark: sheet.Hold},
				sheet.T("earth test of ring and rods alone, trench backfilled and tamped"),
				sheet.T("before steel, fence, tower and the utility neutral are joined: once they are, that reading cannot be had again"),
				sheet.T(""), sheet.T("then the bonds below"),
			})
		}
		var notes []string
		if !seen[x.no] {
			seen[x.no] = true
			notes = append(notes, fmt.Sprintf("dry mold %d first", x.no))
		}
		if j.Unknown {
			notes = append(notes, "measure first, then pick the mold")
		}
		if j.ToldOnly {
			notes = append(notes, "told only: see the conductor first")
		}
		if j.Kind == plan.ToPipe || j.Kind == plan.ToFlat {
			notes = append(notes, "zinc: upwind, paint back")
		}
		if x.mold.Life > 0 && x.count == x.mold.Warn {
			notes = append(notes, "shot "+fmt.Sprint(x.count)+": look hard at the mold")
		}
		mold := sheet.T(fmt.Sprintf("%d, shot %d, %s", x.no, x.count, x.mold.Charge.Text))
		if x.mold.NoCharge != "" {
			mold = sheet.Cell{Text: fmt.Sprintf("%d, shot %d, charge cannot tell: %s", x.no, x.count, x.mold.NoCharge), Mark: sheet.CannotTell}
		}
		if j.Unknown {
			mold = sheet.Cell{Text: "cannot tell", Mark: sheet.CannotTell}
		}
		t.Rows = append(t.Rows, sheet.Row{
			sheet.N(float64(i+1), fmt.Sprint(i+1)),
			{Text: j.ID, Bold: true},
			sheet.T(j.Kind.Words() + ", " + strings.Join(j.Ties, " to ")),
			sheet.T(j.Place), mold, sheet.T(strings.Join(notes, "; ")),
		})
	}
	if n := len(shots); n > 0 {
		least, most, c := joint.PerDay()
		t.Notes = append(t.Notes, fmt.Sprintf("a pair fires %d to %d a day (%s): %s is %s", least, most, c, plural(n, "joint"), span((n+most-1)/most, (n+least-1)/least, "day")),
			"before: mold and conductor dry when due, ends in the mold, photo; after: slag off, tag in view, photo, eye, tap check",
			"a bad tap joint looks good: the photo before the shot and the tap check carry the proof")
	}
	return t
}

func span(a, b int, word string) string {
	if a == b {
		return plural(a, word)
	}
	return fmt.Sprintf("%d to %s", a, plural(b, word))
}

func moldTable(molds []order.Mold, shots []shot, p *plan.Plan) sheet.Table {
	t := sheet.Table{ID: "work.molds", Title: "Molds", Empty: "No mold: the layout has no welded joints yet.", Columns: []sheet.Column{
		{Head: "mold", Width: 0.08},
		{Head: "makes", Width: 0.28},
		{Head: "charge by its tag", Width: 0.11},
		{Head: "fired before", Align: sheet.Right, Width: 0.08},
		{Head: "joints", Width: 0.21},
		{Head: "shots at the end", Align: sheet.Right, Width: 0.08},
		{Head: "life", Width: 0.16},
	}}
	for i := range molds {
		m := &molds[i]
		for k, no := range m.Numbers {
			var ids []string
			before := 0
			if k == 0 {
				before = m.Shots
			}
			last := before
			for _, x := range shots {
				if x.no == no {
					ids = append(ids, x.joint.ID)
					last = x.count
				}
			}
			charge := sheet.T(m.Charge.Text)
			if m.NoCharge != "" {
				charge = sheet.Cell{Text: "cannot tell: " + m.NoCharge, Mark: sheet.CannotTell}
			}
			life := "life not said"
			switch {
			case m.Life > 0 && k == 0:
				life = m.Sentence()
			case m.Life > 0:
				life = fmt.Sprintf("takes over when mold %d is done, and for redos", m.Numbers[k-1])
			}
			makes := sheet.T(m.Words)
			if m.Unknown != "" {
				makes = sheet.Cell{Text: m.Words + "; " + m.Unknown, Mark: sheet.CannotTell}
			}
			t.Rows = append(t.Rows, sheet.Row{
				{Text: fmt.Sprintf("mold %d", no), Bold: true},
				makes, charge, sheet.N(float64(before), fmt.Sprint(before)),
				sheet.T(order.IDs(ids)), sheet.N(float64(last), fmt.Sprint(last)), sheet.T(life),
			})
		}
	}
	if len(molds) > 0 {
		t.Notes = []string{"a mold's look ends its life, not its count; the count asks for a look and never stops a shot", "a mold is not altered, and one maker's mold does not take another's charge"}
	}
	return t
}

// refused is what is done when a rod stops, in this order.
var refused = []string{
	"1. move 1 to 2 ft along the ring, not into a located band, and drive again",
	"2. drive at 45 degrees outward, along the corner's diagonal or square to the side",
	"3. only after that try is logged: lay it flat, outward, at the depth of the ring. Whose land is it outside the fence?",
	"or leave it and ask for a radial: that needs written acceptance",
	"a rod is never cut off; a stopped rod opens a deviation",
}

func rodTable(p *plan.Plan) sheet.Table {
	sys := p.Site.Units
	t := sheet.Table{ID: "work.rods", Title: "Rods, in walking order", Empty: "No rod on the layout yet.", Columns: []sheet.Column{
		{Head: "rod", Width: 0.07}, {Head: "place", Width: 0.36}, {Head: "length", Width: 0.17}, {Head: "top at", Width: 0.10}, {Head: "state", Width: 0.14}, {Head: "notes", Width: 0.16},
	}}
	for _, r := range p.Rods {
		length := sys.Length(r.Length)
		if r.Sections > 1 {
			length += fmt.Sprintf(", %d sections, %s", r.Sections, plural(r.Sections-1, "coupling"))
		}
		state := "to drive"
		switch {
		case r.Lies == "flat":
			state = "laid flat"
		case r.Lies == "45":
			state = "at 45 deg"
		case r.Refused:
			state = "stopped at " + sys.Length(r.Driven)
		}
		var notes []string
		if r.Radial {
			notes = append(notes, "at the end of a radial")
		}
		notes = append(notes, bands(p, r.At)...)
		t.Rows = append(t.Rows, sheet.Row{{Text: r.ID, Bold: true}, sheet.T(p.PlaceWords(r.At)), sheet.T(length), sheet.T(sys.Length(r.Top) + " deep"), sheet.T(state), sheet.T(strings.Join(notes, "; "))})
	}
	if len(p.Rods) > 0 {
		t.Notes = append([]string{"when a rod stops:"}, refused...)
		t.Notes = append(t.Notes, "cap it at once; read it alone before wire is on it")
	}
	return t
}

// bands says which located utilities a place is in the band of.
func bands(p *plan.Plan, at geom.Point) []string {
	var out []string
	for _, o := range p.Site.Objects {
		if o.Kind != site.Utility || len(o.Path) < 2 || o.Existing == site.Removed {
			continue
		}
		d := math.Inf(1)
		for i := 1; i < len(o.Path); i++ {
			n, _ := geom.Segment{A: o.Path[i-1], B: o.Path[i]}.Nearest(at)
			d = min(d, n.Dist(at))
		}
		name := o.Service
		if name == "" {
			name = strings.ReplaceAll(o.ID, "-", " ")
		}
		switch {
		case o.Band.Set && d <= float64(o.Band.SI)+1e-9:
			out = append(out, "inside the band of the "+name+" line: expose by hand first, or move")
		case !o.Band.Set && d < 2:
			out = append(out, fmt.Sprintf("%s from the %s line, band not said: ask", p.Site.Units.Length(unit.Metre(d)), name))
		}
	}
	return out
}

func trenchTable(p *plan.Plan) sheet.Table {
	sys := p.Site.Units
	t := sheet.Table{ID: "work.trench", Title: "Trench", Empty: "Nothing to dig on the layout yet.", Columns: []sheet.Column{
		{Head: "trench", Width: 0.16}, {Head: "from", Width: 0.27}, {Head: "to", Width: 0.27}, {Head: "length", Align: sheet.Right, Width: 0.09}, {Head: "depth", Width: 0.21},
	}}
	if p.Ring != nil {
		for i, s := range p.Ring.Straights() {
			t.Rows = append(t.Rows, sheet.Row{
				{Text: fmt.Sprintf("ring, side %d", i+1), Bold: true},
				sheet.T(p.PlaceWords(s.A)), sheet.T(p.PlaceWords(s.B)),
				sheet.N(s.Len(), sys.Run(unit.Metre(s.Len()))), sheet.T(sys.Length(p.Ring.Depth) + " to the conductor"),
			})
		}
	}
	for _, r := range p.Radials {
		t.Rows = append(t.Rows, sheet.Row{{Text: "radial " + r.ID, Bold: true}, sheet.T(p.PlaceWords(r.From)), sheet.T(p.PlaceWords(r.To)), sheet.N(float64(r.Length), sys.Run(r.Length)), sheet.T(depthWord(p, sys))})
	}
	for _, w := range p.Whips {
		if w.Reach > 0 {
			t.Rows = append(t.Rows, sheet.Row{{Text: "whip " + w.ID, Bold: true}, sheet.T("ring"), sheet.T(w.Item), sheet.N(float64(w.Reach), sys.Run(w.Reach)), sheet.T(depthWord(p, sys))})
		}
	}
	for _, r := range p.Runs {
		for _, d := range dug(r) {
			od := unit.Metre(0)
			if dim, ok := raceway.Dim(r.Kind, r.Trade); ok {
				od = dim.OD
			}
			depth := "cover " + sys.Length(d.least-od/2)
			if d.most-d.least > 0.01 {
				depth += " to " + sys.Length(d.most-od/2)
			}
			if od == 0 {
				depth = strings.Replace(depth, "cover", "centerline", 1)
			}
			t.Rows = append(t.Rows, sheet.Row{{Text: r.ID, Bold: true}, sheet.T(sys.Length(d.from) + " along the run"), sheet.T(sys.Length(d.to) + " along the run"), sheet.N(float64(d.to-d.from), sys.Run(d.to-d.from)), sheet.T(depth)})
		}
	}
	if len(t.Rows) > 0 {
		t.Notes = []string{"cover is to the top of the raceway, from finished grade", "expose by hand before driving or digging inside a tolerance band"}
	}
	return t
}

func depthWord(p *plan.Plan, sys unit.System) string {
	if p.Ring == nil {
		return ""
	}
	return sys.Length(p.Ring.Depth)
}

// cut is a stretch of a run that lies in the ground without a break.
type cut struct{ from, to, least, most unit.Metre }

func dug(r plan.Run) []cut {
	var out []cut
	open := false
	for _, q := range r.Pieces {
		in := plan.InTrench(q)
		if !in {
			open = false
			continue
		}
		a, b := unit.Metre(-q.A.Z), unit.Metre(-q.B.Z)
		if !open {
			out = append(out, cut{q.Station, q.Station, min(a, b), max(a, b)})
			open = true
		}
		d := &out[len(out)-1]
		d.to = q.Station + q.Length
		d.least, d.most = min(d.least, a, b), max(d.most, a, b)
	}
	return out
}

// station is a place where a depth is read.
type station struct {
	name, place, depth string
}

// stations lists where depths are read: ring corners, between them so that
// none are further apart than practice has it, and along every dug run.
func stations(p *plan.Plan) []station {
	sys := p.Site.Units
	every := practiceValue("depth.every") * float64(unit.Foot)
	var out []station
	if p.Ring != nil {
		s := 0.0
		want := sys.Length(p.Ring.Depth)
		for _, side := range p.Ring.Straights() {
			n := max(1, int(math.Ceil(side.Len()/every-1e-9)))
			for k := range n {
				at := side.A.Add(side.Dir().Scale(side.Len() * float64(k) / float64(n)))
				out = append(out, station{"ring " + sys.Length(unit.Metre(s+side.Len()*float64(k)/float64(n))), p.PlaceWords(at), want})
			}
			s += side.Len()
		}
	}
	for _, r := range p.Runs {
		for _, d := range dug(r) {
			n := max(1, int(math.Ceil(float64(d.to-d.from)/every-1e-9)))
			for k := range n + 1 {
				at := d.from + (d.to-d.from)*unit.Metre(k)/unit.Metre(n)
				q := r.At(at)
				out = append(out, station{r.ID + " " + sys.Length(at), p.PlaceWords(q.Plan()), sys.Length(unit.Metre(-q.Z))})
			}
		}
	}
	return out
}

func depthTable(p *plan.Plan) sheet.Table {
	t := sheet.Table{ID: "work.depths", Title: "Depths to read before backfill", Empty: "No trench on the layout yet.", Columns: []sheet.Column{
		{Head: "station", Width: 0.2}, {Head: "place", Width: 0.5}, {Head: "wanted, to the conductor or the centerline", Width: 0.16}, {Head: "read", Width: 0.14},
	}}
	for _, s := range stations(p) {
		t.Rows = append(t.Rows, sheet.Row{{Text: s.name, Bold: true}, sheet.T(s.place), sheet.T(s.depth), sheet.T("")})
	}
	if len(t.Rows) > 0 {
		t.Notes = []string{fmt.Sprintf("read at least every %s and at every change (%s); photo with the tape in it", p.Site.Units.Run(unit.Metre(practiceValue("depth.every"))*unit.Foot), cite.Practice)}
	}
	return t
}

// bendTable is the bend sheet of one run: everything that is set, in order,
// with the cut lengths and the marks.
func bendTable(r plan.Run, sys unit.System) sheet.Table {
	t := sheet.Table{ID: "work.bends." + sheet.Key(r.ID), Title: "Bend sheet, " + r.ID + fmt.Sprintf(", %s %s", r.Kind, r.Trade), Empty: "Nothing to set: this run has no straight and no bend yet.", Columns: []sheet.Column{
		{Head: "piece", Width: 0.12}, {Head: "cut", Width: 0.11}, {Head: "arrow at", Width: 0.09}, {Head: "arc from", Width: 0.09}, {Head: "arc to", Width: 0.09}, {Head: "bend", Width: 0.14}, {Head: "turn", Width: 0.17}, {Head: "notes", Width: 0.19},
	}}
	var shoe cite.Ref
	type item struct {
		at  unit.Metre
		seq int
		row sheet.Row
		fit string // what a plain whole stick is, for gathering
	}
	var items []item
	add := func(at unit.Metre, seq int, fit string, cells ...string) {
		row := make(sheet.Row, len(t.Columns))
		for i, c := range cells {
			row[i] = sheet.Cell{Text: c, Bold: c != "" && (i <= 2 || i == 3 && cells[2] == "")} // what is read at the bender
		}
		items = append(items, item{at, seq, row, fit})
	}
	stick, said := order.StickOf(r)
	var pairs []string
	unsaid, none := false, false
	var shoes []raceway.Bender
	for _, s := range Sticks(r, sys) {
		for _, p := range s.Pairs {
			pairs = append(pairs, fmt.Sprintf("length %d, %s", s.No, p.words(sys)))
		}
		name := fmt.Sprintf("length %d", s.No)
		length := cutTo(sys, s.Cut)
		if s.Whole {
			length += " (whole)"
		}
		fit := ""
		if s.Whole && len(s.Bends) == 0 {
			fit = "whole"
		}
		if len(s.Bends) == 0 {
			add(s.From, 0, fit, name, length)
		}
		for i, b := range s.Bends {
			bend := fmt.Sprintf("%s deg, radius %s", unit.Trim(float64(b.Angle), 1), sys.Short(b.Radius))
			var notes []string
			arrow := ""
			if b.Shoe != "" {
				by := "hand bender"
				if b.Bender != nil {
					by = b.Bender.Name
				} else {
					shoe = b.ShoeCite
				}
				arrow = mark(sys, b.Arrow)
				notes = append(notes, by+": "+b.Shoe)
			}
			notes = append(notes, b.hints(sys)...)
			if b.Made == "heated" {
				notes = append(notes, b.heat(r.Kind, r.Trade, sys)...)
			}
			if g := sys.Short(b.Gain); g != sys.Short(0) {
				notes = append(notes, "gain "+g)
			}
			unsaid = unsaid || b.Unsaid
			switch {
			case b.Bender != nil:
				if !slices.ContainsFunc(shoes, func(o raceway.Bender) bool { return o.Name == b.Bender.Name }) {
					shoes = append(shoes, *b.Bender)
				}
			case b.Made != "heated":
				none = true
			}
			turn := b.TurnWords(i == 0)
			if i == 0 {
				add(s.From, i, "", name, length, arrow, mark(sys, b.Start), mark(sys, b.End), bend, turn, strings.Join(notes, "; "))
			} else {
				add(s.From, i, "", fmt.Sprintf("%s, bend %d", name, i+1), "", arrow, mark(sys, b.Start), mark(sys, b.End), bend, turn, strings.Join(notes, "; "))
			}
		}
	}
	for _, q := range r.Pieces {
		if !q.Arc || r.Kind.Flexible() {
			continue
		}
		if field, said := order.FieldMade(r.Kind, q); !field {
			word := "factory elbow"
			if q.Made == "sweep" {
				word = "sweep"
			}
			note := "arc " + cutTo(sys, q.Length)
			if !said {
				note += "; how it is made is not said: taken as a factory bend"
			}
			add(q.Station, 50, "", word, "", "", "", "", fmt.Sprintf("%s deg, radius %s", unit.Trim(float64(q.Angle), 1), sys.Short(q.Radius)), q.What, note)
		}
	}
	if r.Kind.Flexible() {
		for _, st := range order.Stretches(r, sys) {
			add(st.From, 0, "", "one length", sys.Length(st.Length), "", "", "", "by hand", "", "no bend under its least radius")
		}
	}
	for _, x := range r.Expansions {
		travel := "travel not said"
		if x.Travel.Set {
			travel = "travel " + x.Travel.Text
		}
		add(x.Station, -20, "", "expansion fitting", "", "", "", "", "", "", travel+"; set by the pipe temperature, see prove")
	}
	for i, q := range r.Pulls {
		if i > 0 && i < len(r.Pulls)-1 {
			add(q.Station, -10, "", q.ID, "", "", "", "", "", "", q.Words())
		}
	}
	for _, e := range r.Entries {
		core := "core size not said"
		if e.Core.Set {
			core = "core " + e.Core.Text
		}
		if e.Rated {
			switch e.Firestop {
			case "":
				core += ", rated wall: firestop not told"
			case "none":
				core += ", rated wall: no firestop yet"
			default:
				core += ", firestop: " + e.Firestop
			}
		}
		if e.SlopesOut {
			core += ", slopes out"
		}
		add(e.Station, -30, "", "wall", "", "", "", "", "", "", core)
	}
	stable.Sort(items, func(a, b item) int {
		switch {
		case math.Abs(float64(a.at-b.at)) > 1e-6 && a.at < b.at:
			return -1
		case math.Abs(float64(a.at-b.at)) > 1e-6:
			return 1
		}
		return a.seq - b.seq
	})
	for i := 0; i < len(items); i++ {
		j := i
		for j < len(items) && items[j].fit == "whole" {
			j++
		}
		if j-i > 1 {
			row := slices.Clone(items[i].row)
			_, a, _ := strings.Cut(items[i].row[0].Text, " ")
			_, z, _ := strings.Cut(items[j-1].row[0].Text, " ")
			row[0].Text = "lengths " + a + " to " + z
			row[1].Text = cutTo(sys, stick) + " (whole)"
			row[7].Text = plural(j-i, "length") + " coupled"
			t.Rows = append(t.Rows, row)
			i = j - 1
			continue
		}
		t.Rows = append(t.Rows, items[i].row)
	}
	if len(t.Rows) > 0 {
		lead := "nothing is bent on site: pipe is cut, bends come made"
		marked := slices.ContainsFunc(t.Rows, func(r sheet.Row) bool { return r[3].Text != "" })
		if marked {
			lead = strings.TrimSuffix("measured on the pipe, each length from its end nearer the start, "+r.From, ", ")
		}
		t.Notes = append(t.Notes, lead)
		for _, s := range r.Sections {
			t.Notes = append(t.Notes, fmt.Sprintf("%s: %s deg, %s", s.Name(), unit.Trim(float64(s.Degrees), 1), sys.Run(s.Length)))
		}
		for _, b := range shoes {
			t.Notes = append(t.Notes, shoeWords(b, sys))
		}
		if none {
			_, c, _ := raceway.MinBendRadius(r.Trade, raceway.OtherBend)
			t.Notes = append(t.Notes, fmt.Sprintf("no bender data for %s %s: radius from %s where the drawing gives none. Bend a scrap and measure your own", r.Kind, r.Trade, c.Full()))
		}
		if unsaid {
			t.Notes = append(t.Notes, "factory elbow or field bend is not said of every bend: those are taken as bent on site. For a long sweep ask first")
		}
		t.Notes = append(t.Notes, pairs...)
		if marked {
			t.Notes = append(t.Notes, "arrow at: where the arrow of the shoe goes; arc from, arc to: where the bend begins and ends; a shoe that is marked elsewhere moves the marks by its own amount")
		}
		t.Notes = append(t.Notes, "turns of the pipe are seen along it from that end, the bender bending up; bends that are not made on site come as they are, and their straight ends are not taken off")
		if !shoe.IsZero() {
			t.Notes = append(t.Notes, fmt.Sprintf("the arrow is for the first quarter bend of a length on a hand bender: end of the pipe to the back of the bend, less the take-up (%s, %s). The shoe in hand decides", shoe.Work, shoe.Place))
		}
		if !said {
			t.Notes = append(t.Notes, "sticks of "+cutTo(sys, stick)+": the usual length, not said")
		}
		for _, st := range order.Stretches(r, sys) {
			if st.Problem != "" {
				t.Notes = append(t.Notes, st.Name+": "+st.Problem)
			}
		}
	}
	return t
}

// cautionList puts the cautions of some topics in one list.
func cautionList(on []Topic, want ...Topic) []sheet.Block {
	var lines []string
	for _, t := range want {
		if !slices.Contains(on, t) && t != EarthTest && t != ResultSeen && t != Stripped {
			continue
		}
		for _, c := range Cautions(t) {
			lines = append(lines, c.String())
		}
	}
	if len(lines) == 0 {
		return nil
	}
	return []sheet.Block{sheet.List{Title: "Cautions", Lines: lines}}
}

func pages(res *Result, p *plan.Plan, bends []sheet.Table, figures map[string][]*draw.Drawing) []sheet.Page {
	table := func(id string) sheet.Block { return *res.Table(id) }
	var out []sheet.Page
	today := sheet.Page{Title: "Today", Purpose: "What comes first, and what to keep in mind.", Blocks: []sheet.Block{sheet.List{Title: "First", Lines: res.First}}}
	for _, t := range res.Topics {
		if t == Weld || t == Dig || t == HeatedPVC || t == Core {
			continue // on their own pages
		}
		var lines []string
		for _, c := range Cautions(t) {
			lines = append(lines, c.String())
		}
		today.Blocks = append(today.Blocks, sheet.List{Title: "Cautions: " + string(t), Lines: lines})
	}
	out = append(out, today)
	if len(p.Welded()) > 0 {
		welds := sheet.Page{Title: "Welds", Purpose: "Every joint in the order in which the ring is walked, with its mold and charge.", Wide: true}
		welds.Blocks = append(cautionList(res.Topics, Weld), table("work.welds"), table("work.molds"))
		out = append(out, welds)
	}
	if p.Ring != nil || len(p.Rods) > 0 || len(res.Table("work.trench").Rows) > 0 {
		dig := sheet.Page{Title: "Trench and rods", Purpose: "What is dug and driven, how deep, and what to do when a rod stops.", Wide: true}
		dig.Blocks = append(cautionList(res.Topics, Dig), table("work.rods"), table("work.trench"), table("work.depths"))
		out = append(out, dig)
	}
	for i, r := range p.Runs {
		page := sheet.Page{Title: "Bend sheet, " + r.ID, Purpose: "What is cut, where each bend starts on the pipe, and which way it turns.", Wide: true}
		t := bends[i]
		t.Title = fmt.Sprintf("%s %s", r.Kind, r.Trade)
		page.Blocks = append(page.Blocks, t)
		page.Blocks = append(page.Blocks, cautionList(res.Topics, HeatedPVC, Core)...)
		for _, d := range figures[r.ID] {
			page.Blocks = append(page.Blocks, figure(d))
		}
		out = append(out, page)
	}
	return out
}

// pullPages puts each pull card on a page of its own: it goes to the crew at
// one end of one section.
func pullPages(cards []sheet.Table) []sheet.Page {
	var out []sheet.Page
	for _, t := range cards {
		out = append(out, sheet.Page{Title: t.Title, Purpose: "What is pulled, from where, and what the gauge may show at every bend.", Wide: true, Blocks: []sheet.Block{t}})
	}
	return out
}

func figure(d *draw.Drawing) sheet.Block { return sheet.Figure{Drawing: d} }

// registerPages puts each register on its own page with its cautions.
func registerPages(res *Result) []sheet.Page {
	var out []sheet.Page
	for i, rec := range records {
		page := sheet.Page{Title: rec.Title, Purpose: "To be filled by hand and typed in later, in the order of the log.", Wide: true}
		page.Blocks = append(page.Blocks, cautionList(res.Topics, rec.Topics...)...)
		page.Blocks = append(page.Blocks, rec.onPaper(res.Registers[i])...)
		out = append(out, page)
	}
	return out
}

func summary(res *Result, p *plan.Plan, molds []order.Mold) []string {
	out := append([]string(nil), res.First...)
	if n := len(p.Welded()); n > 0 {
		out = append(out, fmt.Sprintf("%s to fire with %s of mold, %s to drive", plural(n, "joint"), plural(len(molds), "kind"), plural(len(p.Rods), "rod")))
	}
	bent := 0
	for _, s := range res.Sticks {
		if len(s.Bends) > 0 {
			bent++
		}
	}
	if len(p.Runs) > 0 {
		out = append(out, fmt.Sprintf("%s to set in %s, %d of them bent on site", plural(len(res.Sticks), "length"), plural(len(p.Runs), "run"), bent))
	}
	return out
}
