package desk

import (
	"bytes"
	"fmt"
	"hash/fnv"
	"math"
	"strconv"
	"strings"

	"stubup"
	"stubup/base/draw"
	"stubup/base/geom"
	"stubup/base/sheet"
	"stubup/base/unit"
	"stubup/internal/jot"
	"stubup/internal/render/csv"
	"stubup/internal/render/sign"
	"stubup/internal/render/svg"
	"stubup/internal/wire"
	"stubup/plan"
	"stubup/rule"
	"stubup/stage/change"
	"stubup/stage/layout"
	"stubup/stage/prove"
	"stubup/stage/work"
)

// Patch is one stage as a screen shows it: its parts in order, of which only
// those are told that differ from what was told last.
type Patch struct {
	Stage   string             `json:"stage"`
	Site    string             `json:"site"` // sha256 of the document it is of
	AsOf    string             `json:"asOf"`
	Summary []string           `json:"summary"`
	Order   []string           `json:"order"`
	Parts   map[string]jot.Raw `json:"parts"`
	Files   []string           `json:"files"` // what can be downloaded
	Counts  map[string]int     `json:"counts"`
}

// screen gathers the parts of one stage.
type screen struct {
	d    *Desk
	p    Patch
	told map[string]uint64
	now  map[string]uint64
}

// Stages are the six words.
var Stages = []string{"layout", "prove", "order", "work", "change", "handover"}

// Stage returns what changed of one stage since it was last told; all of it
// where fresh is set.
func (d *Desk) Stage(stage string, fresh bool) (Patch, error) {
	if fresh {
		delete(d.sent, stage)
	}
	s := &screen{d: d, told: d.sent[stage], now: map[string]uint64{}, p: Patch{
		Stage: stage, Site: d.res.SiteHash, AsOf: d.asOf, Summary: []string{}, Order: []string{}, Parts: map[string]jot.Raw{}, Files: []string{}, Counts: map[string]int{},
	}}
	r := d.res
	switch stage {
	case "layout":
		s.layout(r)
	case "prove":
		s.prove(r)
	case "order":
		o := r.Order()
		s.p.Summary = o.Text
		s.tables(o.Tables)
		s.serves(r)
		s.p.Files = append(s.p.Files, "order.csv")
		s.files(o.Tables[min(1, len(o.Tables)):])
		s.p.Counts["rows"], s.p.Counts["no price"], s.p.Counts["cannot tell"] = len(o.Lines), o.Total.NoPrice, o.Total.CannotTell
	case "work":
		w := r.Work()
		s.p.Summary = w.Text
		s.list("first", sheet.List{Title: "First", Lines: w.First})
		for _, t := range w.Topics {
			var lines []string
			for _, c := range work.Cautions(t) {
				lines = append(lines, c.String())
			}
			s.list("caution "+string(t), sheet.List{Title: string(t), Lines: lines})
		}
		s.tables(w.Tables)
		for _, dr := range w.Drawings {
			s.sketch(dr, nil)
		}
		s.tables(w.Registers)
		s.files(w.Tables)
		s.files(w.Registers)
	case "change":
		if d.old == nil {
			break
		}
		c := stubup.Change(d.old, r)
		s.p.Summary = c.Summary
		s.changed(c)
		s.list("notice", sheet.List{Title: "Notice", Lines: c.Notice})
		s.tables(c.Tables)
		s.files(c.Tables)
		s.p.Counts["points"], s.p.Counts["rows"], s.p.Counts["findings"] = len(c.Points), len(c.Lines), len(c.Findings)
		s.p.Counts["things"] = len(c.Things)
	case "handover":
		h := r.Handover()
		s.p.Summary = h.Summary
		s.tables(h.Tables)
		s.p.Counts["open"] = len(h.Open)
		var lines []string
		for _, p := range h.Book.Pages {
			lines = append(lines, p.Title+": "+p.Purpose)
		}
		s.list("pages", sheet.List{Title: "Pages", Lines: lines})
		s.files(h.Tables)
	default:
		return Patch{}, problem("pick one of the six words", "no stage is named %q", stage)
	}
	d.sent[stage] = s.now
	return s.p, nil
}

// changed tells the plan as it was, and what of it is added, moved or removed
// with its places on the ground.
func (s *screen) changed(c change.Result) {
	old := s.d.old.Layout()
	if old.Plan == nil {
		return
	}
	before := *old.Plan
	before.ID = "before"
	s.sketch(&before, &old.Frame)
	type mark struct {
		ID   string       `json:"id"`
		How  string       `json:"how"`
		At   [2]float64   `json:"at"`
		Was  *[2]float64  `json:"was,omitempty"`
		Line [][2]float64 `json:"line,omitempty"` // of a run: where it no longer goes, or goes now
	}
	at := func(p *plan.Plan) map[string][2]float64 {
		out := map[string][2]float64{}
		for _, q := range p.Points {
			out[q.ID] = xy(q.At.Plan())
		}
		return out
	}
	is, was := at(s.d.res.Plan), at(s.d.old.Plan)
	marks := []mark{}
	for _, d := range c.Points {
		m := mark{ID: d.ID, How: d.How}
		id := d.ID
		if d.Was != "" {
			id = d.Was
		}
		then, had := was[id]
		now, has := is[d.ID]
		switch {
		case d.How == "removed" && had:
			m.At = then
		case d.How != "removed" && has:
			m.At = now
			if had && d.How == "moved" {
				m.Was = &then
			}
		default:
			continue
		}
		marks = append(marks, m)
	}
	for _, d := range c.Runs {
		line := func(q *plan.Run, how string) {
			if q == nil || q.Length-d.Same < 0.01 {
				return
			}
			m := mark{ID: q.ID, How: how}
			for k := range 65 {
				m.Line = append(m.Line, xy(q.At(d.Same+(q.Length-d.Same)*unit.Metre(k)/64).Plan()))
			}
			m.At = m.Line[32]
			marks = append(marks, m)
		}
		line(d.Old, "removed")
		line(d.New, "added")
	}
	s.part("changed", map[string]any{"kind": "changed", "marks": marks})
}

// part adds one part, told only where it differs.
func (s *screen) part(key string, body any) {
	s.p.Order = append(s.p.Order, key)
	s.tell(key, body)
}

func (s *screen) tell(key string, body any) {
	b, ok := body.([]byte)
	if !ok {
		var err error
		if b, err = jot.Write(body); err != nil {
			return
		}
	}
	h := fnv.New64a()
	h.Write(b)
	sum := h.Sum64()
	s.now[key] = sum
	if was, ok := s.told[key]; !ok || was != sum {
		s.p.Parts[key] = b
	}
}

type tablePart struct {
	Kind    string       `json:"kind"`
	ID      string       `json:"id"`
	Title   string       `json:"title"`
	Columns []columnPart `json:"columns"`
	Rows    [][]any      `json:"rows"` // a cell is text, or {t, m, b}
	Notes   []string     `json:"notes"`
	Empty   string       `json:"empty"`
	Blank   int          `json:"blank"`
}

type columnPart struct {
	Head  string `json:"head"`
	Unit  string `json:"unit,omitempty"`
	Right bool   `json:"right,omitempty"`
}

type cellPart struct {
	T string `json:"t"`
	M string `json:"m,omitempty"` // the word of its mark
	B bool   `json:"b,omitempty"`
}

func (s *screen) tables(ts []sheet.Table) {
	for _, t := range ts {
		p := tablePart{Kind: "table", ID: t.ID, Title: t.Title, Columns: []columnPart{}, Rows: [][]any{}, Notes: t.Notes, Empty: t.Empty, Blank: t.Blank}
		for _, c := range t.Columns {
			p.Columns = append(p.Columns, columnPart{c.Head, c.Unit, c.Align == sheet.Right})
		}
		for _, r := range t.Rows {
			row := make([]any, len(r))
			for i, c := range r {
				row[i] = c.Text
				if c.Mark != sheet.Plain || c.Bold {
					row[i] = cellPart{c.Text, sign.Word(c.Mark), c.Bold}
				}
			}
			p.Rows = append(p.Rows, row)
		}
		s.part("table "+t.ID, p)
	}
}

func (s *screen) list(key string, l sheet.List) {
	s.part(key, map[string]any{"kind": "list", "title": l.Title, "lines": append([]string{}, l.Lines...)})
}

func (s *screen) files(ts []sheet.Table) {
	for _, t := range ts {
		s.p.Files = append(s.p.Files, t.ID+".csv")
	}
}

// Thing is one thing on the plan, for the list beside the sketch.
type Thing struct {
	ID      string       `json:"id"`
	Kind    string       `json:"kind"`
	Said    string       `json:"said"` // one sentence
	Path    string       `json:"path"` // where the document says it
	At      [2]float64   `json:"at"`
	Lines   [][2]float64 `json:"lines,omitempty"`   // its outline, for snapping
	Closed  bool         `json:"closed,omitempty"`  // the outline returns to its start
	Handles []Handle     `json:"handles,omitempty"` // what can be taken hold of
	Moves   string       `json:"moves,omitempty"`   // "rod" or "object": the gesture that moves it
}

// Handle is one point of a thing.
type Handle struct {
	Path string     `json:"path"`
	At   [2]float64 `json:"at"`
}

func unitM(v float64) unit.Metre { return unit.Metre(v) }

func xy(p geom.Point) [2]float64 { return [2]float64{round(p.X), round(p.Y)} }

func round(v float64) float64 { return math.Round(v*1e5) / 1e5 }

func (s *screen) layout(r *stubup.Result) {
	l := r.Layout()
	s.p.Summary = l.Summary
	if l.Plan != nil {
		s.sketch(l.Plan, &l.Frame)
	}
	s.part("things", map[string]any{"kind": "things", "things": things(r)})
	for _, d := range l.Runs {
		s.sketch(d, nil)
	}
	s.tables(append([]sheet.Table{l.Points}, l.Tables...))
	s.p.Files = append(s.p.Files, "plan.svg", "points.csv")
	for _, d := range l.Runs {
		s.p.Files = append(s.p.Files, d.ID+".svg")
	}
	s.p.Counts["joint"] = len(r.Plan.Joints)
}

func things(r *stubup.Result) []Thing {
	out := []Thing{}
	u := r.Document.Site.Units
	for i := range r.Document.Site.Objects {
		o := &r.Document.Site.Objects[i]
		t := Thing{ID: o.ID, Kind: string(o.Kind), Path: "objects." + step(o.ID), Moves: "object"}
		said := []string{rule.Words(o)}
		if rule.Words(o) != string(o.Kind) {
			said = append(said, string(o.Kind))
		}
		if o.Existing != "" {
			said = append(said, string(o.Existing))
		}
		lists := listsOf(o)
		var sum geom.Point
		n := 0
		for _, l := range lists {
			for k, p := range l.pts {
				h := Handle{Path: t.Path + "." + l.key, At: xy(p)}
				if !l.single {
					h.Path += fmt.Sprintf("[%d]", k)
				}
				t.Handles = append(t.Handles, h)
				if l.key == lists[0].key {
					sum, n = sum.Add(p), n+1
				}
			}
		}
		if n > 0 {
			t.At = xy(sum.Scale(1 / float64(n)))
			said = append(said, fmt.Sprintf("at %s east, %s north", u.Length(unitM(t.At[0])), u.Length(unitM(t.At[1]))))
		}
		for _, p := range o.Outline {
			t.Lines, t.Closed = append(t.Lines, xy(p)), true
		}
		if len(t.Lines) == 0 {
			for _, p := range o.Path {
				t.Lines = append(t.Lines, xy(p))
			}
		}
		t.Said = strings.Join(said, ", ")
		out = append(out, t)
		for k, g := range o.Gates {
			w := fmt.Sprintf("gate %d of %s, %s, ", k+1, rule.Words(o), u.Length(unitM(g.From.Dist(g.To))))
			if g.Leaves == 1 {
				w += "1 leaf"
			} else {
				w += fmt.Sprintf("%d leaves", g.Leaves)
			}
			out = append(out, Thing{ID: gateID(o, k), Kind: "gate", Path: fmt.Sprintf("%s.gates[%d]", t.Path, k), Said: w, At: xy(g.From.Add(g.To).Scale(0.5)), Lines: [][2]float64{xy(g.From), xy(g.To)}})
		}
	}
	if q := r.Plan.Ring; q != nil {
		t := Thing{ID: "ring", Kind: "ring", Path: "ground.ring", Said: fmt.Sprintf("ring, %s, %s deep", u.Run(q.Takeoff), u.Short(q.Depth)), Closed: true}
		for _, p := range q.Corners {
			t.Lines = append(t.Lines, xy(p))
		}
		if len(t.Lines) > 0 {
			t.At = t.Lines[0]
		}
		out = append(out, t)
	}
	path := map[string]string{}
	for _, q := range r.Plan.Points {
		t := Thing{ID: q.ID, Kind: string(q.Kind), At: xy(q.At.Plan()), Path: q.Span.Path, Said: said(q)}
		if q.Kind == plan.KindRod {
			t.Moves = "rod"
		}
		path[q.ID] = t.Path
		out = append(out, t)
	}
	for _, q := range r.Plan.Jumpers {
		out = append(out, Thing{ID: q.ID, Kind: "jumper", At: xy(q.At), Path: "ground.jumpers", Said: q.ID + ", flexible, at post " + strings.TrimPrefix(q.From, "post ")})
	}
	for i := range r.Plan.Runs {
		q := &r.Plan.Runs[i]
		t := Thing{ID: q.ID, Kind: "run", Path: "runs." + step(q.ID), Said: strings.Join(nonEmpty("run "+q.ID, q.RacewayText, ends(q)), ", "), At: xy(q.Start.Plan()), Moves: "run"}
		if ns, err := nodesOf(q); err == nil {
			for k, n := range ns {
				t.Handles = append(t.Handles, Handle{Path: fmt.Sprintf("%s.corner[%d]", t.Path, k), At: xy(n.at.Plan())})
			}
		}
		for _, p := range q.Pieces {
			for k := range 3 {
				t.Lines = append(t.Lines, xy(p.At(float64(p.Length)*float64(k)/2).Plan()))
			}
		}
		out = append(out, t)
	}
	return out
}

func said(q plan.Point) string {
	parts := []string{q.ID}
	if !strings.HasPrefix(q.ID, string(q.Kind)) {
		parts = []string{string(q.Kind) + " " + q.ID}
	}
	// The sketch shows every point as planned: what is in is not in the document.
	for _, w := range []string{"planned", q.What, q.Place} {
		if w != "" {
			parts = append(parts, w)
		}
	}
	return strings.Join(parts, ", ")
}

type findingPart struct {
	wire.Finding
	Value string `json:"value,omitempty"` // the path of the number it is about
}

func (s *screen) prove(r *stubup.Result) {
	p := r.Prove()
	s.p.Summary = p.Verdict
	s.p.Counts = outcomes(p.Findings)
	all := wire.Findings(p.Findings)
	fs := make([]findingPart, len(all))
	for i := range all {
		fs[i].Finding = all[i]
		if v := p.Findings[i].Value; v != nil {
			fs[i].Value = v.Path
		}
	}
	s.part("findings", map[string]any{"kind": "findings", "findings": fs})
	for _, t := range p.Tables {
		if t.ID != "prove.findings" { // the findings stand above as what they are
			s.tables([]sheet.Table{t})
		}
	}
	if d := r.Layout().Surface; d != nil {
		s.sketch(d, nil)
	}
	type number struct {
		Path     string `json:"path"`
		Name     string `json:"name"`
		Text     string `json:"text"`
		Standing string `json:"standing"`
		Made     bool   `json:"made"`
	}
	ns := []number{}
	for _, v := range p.Ledger.All() {
		ns = append(ns, number{v.Path, v.Name, v.Text, v.Standing.String(), v.By.Equation != ""})
	}
	s.part("numbers", map[string]any{"kind": "numbers", "numbers": ns})
	s.files(p.Tables)
}

// serves tells which points a row of the order is for, and its price.
func (s *screen) serves(r *stubup.Result) {
	rows := []served{}
	for _, l := range r.Order().Lines {
		rows = append(rows, s.d.servedOf(l))
	}
	s.part("serves", map[string]any{"kind": "serves", "rows": rows, "total": r.Order().Total.Words()})
}

// File returns one file of the site as text.
func (d *Desk) File(name string) (map[string]string, error) {
	var b bytes.Buffer
	var err error
	found := false
	kind := "text/csv"
	table := func(id string, t sheet.Table) {
		if !found && name == id+".csv" {
			found, err = true, csv.Write(&b, t)
		}
	}
	sketch := func(x *draw.Drawing) {
		if !found && x != nil && name == x.ID+".svg" {
			found, kind, err = true, "image/svg+xml", svg.Write(&b, x)
		}
	}
	r := d.res
	switch {
	case name == "site.yaml":
		found, kind = true, "application/yaml"
		b.Write(d.Text())
	case strings.HasSuffix(name, ".svg"):
		sketch(r.Layout().Plan)
		sketch(r.Layout().Surface)
		if name == "survey.svg" {
			sketch(prove.SurveyOf(r.View).Drawing)
		}
		for _, x := range append(append([]*draw.Drawing{}, r.Layout().Runs...), r.Work().Drawings...) {
			sketch(x)
		}
	default:
		table("points", r.Layout().Points)
		if strings.HasPrefix(name, "survey.") {
			for _, t := range d.surveyTables() {
				table(t.ID, t)
			}
		}
		table("order", r.Order().List)
		var all []sheet.Table
		all = append(all, r.Prove().Tables...)
		all = append(all, r.Order().Tables...)
		all = append(all, r.Work().Tables...)
		all = append(all, r.Work().Registers...)
		all = append(all, r.Handover().Tables...)
		if d.old != nil {
			all = append(all, stubup.Change(d.old, r).Tables...)
		}
		for _, t := range all {
			table(t.ID, t)
		}
	}
	if err != nil {
		return nil, err
	}
	if !found {
		return nil, problem("pick one of the files listed", "there is no file %q", name)
	}
	return map[string]string{"name": name, "type": kind, "text": b.String()}, nil
}

// sketch tells a drawing: the sheet as one part, and its items by layer and
// id, each bunch a part of its own, so that a rod that moves costs a rod.
func (s *screen) sketch(d *draw.Drawing, f *layout.Frame) {
	type bunch struct {
		key, layer, id string
		b              []byte
	}
	var bunches []*bunch
	at := map[string]*bunch{}
	for _, l := range d.Layers() {
		for _, it := range l.Items {
			id := idOf(it)
			key := d.ID + "/" + l.Name + "/" + id
			g := at[key]
			if g == nil {
				g = &bunch{key: key, layer: l.Name, id: id}
				at[key] = g
				bunches = append(bunches, g)
			}
			if len(g.b) > 0 {
				g.b = append(g.b, ',')
			}
			g.b = item(g.b, it)
		}
	}
	keys := []string{}
	for _, g := range bunches {
		keys = append(keys, g.key)
		b := append([]byte(`{"kind":"bunch","layer":`), quote(g.layer)...)
		b = append(append(b, `,"id":`...), quote(g.id)...)
		b = append(append(append(b, `,"items":[`...), g.b...), `]}`...)
		s.tell(g.key, b)
	}
	body := map[string]any{"kind": "sketch", "id": d.ID, "title": d.Title, "desc": d.Desc, "w": d.W, "h": d.H, "bunches": keys}
	if f != nil {
		body["frame"] = map[string]any{"ratio": f.Ratio, "zero": [2]float64{f.Zero.X, f.Zero.Y}, "drawn": [4]float64{f.Drawn.X0, f.Drawn.Y0, f.Drawn.X1, f.Drawn.Y1}}
	}
	s.part("sketch "+d.ID, body)
}

func idOf(it draw.Item) string {
	switch v := it.(type) {
	case draw.Line:
		return v.ID
	case draw.Arc:
		return v.ID
	case draw.Circle:
		return v.ID
	case draw.Area:
		return v.ID
	case draw.Text:
		return v.ID
	}
	return ""
}

func quote(s string) []byte { return jot.Text(nil, s) }

// item writes one item as a short list: its letter, then ink, width, dashes
// where it has a pen, then its figures, mm to a hundredth.
//
//	["l", ink, width, [dash], closed, [x, y, ..]]     line
//	["a", ink, width, [dash], path]                   arc, as path data
//	["c", ink, width, [dash], x, y, r, fill]          circle; fill -1 for none
//	["p", fill, [x, y, ..], ink, width, hatch path]   area
//	["t", x, y, size, anchor, turn, bold, halo, length, text]
func item(b []byte, it draw.Item) []byte {
	switch v := it.(type) {
	case draw.Line:
		b = pen(append(b, `["l",`...), v.Pen)
		b = append(strconv.AppendBool(append(b, ','), v.Close), ',')
		b = points(b, v.Pts)
	case draw.Arc:
		b = pen(append(b, `["a",`...), v.Pen)
		b = append(append(b, ','), quote(svg.ArcPath(v))...)
	case draw.Circle:
		b = pen(append(b, `["c",`...), v.Pen)
		fill := -1
		if v.Fill {
			fill = int(v.FillInk)
		}
		b = nums(append(b, ','), v.C.X, v.C.Y, v.R)
		b = strconv.AppendInt(append(b, ','), int64(fill), 10)
	case draw.Area:
		fill := -1
		if v.Fill {
			fill = int(v.FillInk)
		}
		b = append(strconv.AppendInt(append(b, `["p",`...), int64(fill), 10), ',')
		b = append(points(b, v.Pts), ',')
		b = append(strconv.AppendInt(b, int64(v.HatchPen.Ink), 10), ',')
		b = append(nums(b, v.HatchPen.Width), ',')
		var h []byte
		for _, l := range v.HatchLines() {
			h = append(h, 'M')
			h = append(num(append(num(h, l[0].X), ' '), l[0].Y), 'L')
			h = num(append(num(h, l[1].X), ' '), l[1].Y)
		}
		b = append(b, quote(string(h))...)
	case draw.Text:
		b = nums(append(b, `["t",`...), v.At.X, v.At.Y, draw.FontSize(v.Size), float64(v.Anchor), v.Turn)
		b = strconv.AppendBool(append(b, ','), v.Bold)
		b = strconv.AppendBool(append(b, ','), v.Halo)
		b = nums(append(b, ','), draw.TextWidth(v.S, v.Size, v.Bold))
		b = append(append(b, ','), quote(v.S)...)
	default:
		return append(b, "null"...)
	}
	return append(b, ']')
}

func pen(b []byte, p draw.Pen) []byte {
	b = append(strconv.AppendInt(b, int64(p.Ink), 10), ',')
	b = append(num(b, p.Width), `,[`...)
	b = nums(b, p.Dash...)
	return append(b, ']')
}

func points(b []byte, pts []draw.Pt) []byte {
	b = append(b, '[')
	for i, p := range pts {
		if i > 0 {
			b = append(b, ',')
		}
		b = nums(b, p.X, p.Y)
	}
	return append(b, ']')
}

func nums(b []byte, vs ...float64) []byte {
	for i, v := range vs {
		if i > 0 {
			b = append(b, ',')
		}
		b = num(b, v)
	}
	return b
}

func num(b []byte, v float64) []byte {
	v = math.Round(v*100) / 100
	if v == 0 {
		v = 0 // never -0
	}
	return strconv.AppendFloat(b, v, 'f', -1, 64)
}
