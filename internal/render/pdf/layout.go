// Package pdf lays a book out on sheets of paper and writes them as one PDF
// file: text that can be selected, drawings at their true size, and the same
// bytes for the same book.
//
// Layout decides every place and Write only draws what Layout placed, so what
// a test proves of the layout holds of the paper.
package pdf

import (
	"fmt"
	"slices"
	"strings"

	"stubup/base/draw"
	"stubup/base/sheet"
	"stubup/internal/render/sign"
)

// Letter heights, mm: the series 2.5, 3.5, 5, each a hair over so that
// rounding in the file never takes it under.
const (
	small  = 2.502
	middle = 3.502
	large  = 5.002
)

// leading is the distance of baselines in letter heights. The face needs 1.6
// for ascenders, accents and descenders together.
const leading = 1.7

// Margins, mm. The left one is wider, for the punch.
const (
	marginLeft   = 19.05
	marginRight  = 12.7
	marginTop    = 12.7
	marginBottom = 12.7
)

const mmPerInch = 25.4

// Paper is a sheet size in its upright form.
type Paper struct {
	Name          string
	Width, Height float64 // mm
}

// Papers are the sheets of a book in feet and inches, smallest first. Everything goes on
// letter but a drawing that is larger at its own scale. Sizes: ASME Y14.1
// sheets A to E (from memory).
var Papers = []Paper{
	{"letter", 8.5 * mmPerInch, 11 * mmPerInch},
	{"11 x 17 in", 11 * mmPerInch, 17 * mmPerInch},
	{"17 x 22 in", 17 * mmPerInch, 22 * mmPerInch},
	{"22 x 34 in", 22 * mmPerInch, 34 * mmPerInch},
	{"34 x 44 in", 34 * mmPerInch, 44 * mmPerInch},
}

// figureHead and figureFoot are kept free above and below a drawing that has
// a sheet for itself: two lines of text and a rule each.
const (
	figureHead = 2*small*leading + ruleGap + bodyGap
	figureFoot = 2*small*leading + ruleGap + bodyGap
	ruleGap    = 1.5
	bodyGap    = 2.0
)

// Metric are the sheets of a book whose site is in metres: ISO 216, A4 to A0
// (from memory).
var Metric = []Paper{{"A4", 210, 297}, {"A3", 297, 420}, {"A2", 420, 594}, {"A1", 594, 841}, {"A0", 841, 1189}}

// papersOf are the sheets that a book may use.
func papersOf(b *sheet.Book) []Paper {
	if b.Metric {
		return Metric
	}
	return Papers
}

// FigureArea returns the largest drawing that fits a sheet by itself, mm.
func FigureArea(p Paper, wide bool) (w, h float64) {
	pw, ph := p.sides(wide)
	return pw - marginLeft - marginRight, ph - marginTop - marginBottom - figureHead - figureFoot
}

func (p Paper) sides(wide bool) (w, h float64) {
	if wide {
		return p.Height, p.Width
	}
	return p.Width, p.Height
}

// Laid is a book placed on paper.
type Laid struct {
	Book  *sheet.Book
	Pages []LaidPage
	// Missing holds the signs that the face cannot print, in order; a
	// replacement sign stands for each.
	Missing []rune
	// Spills names drawings that reach past their own edge.
	Spills []string
}

// LaidPage is one sheet of paper. Its items are painted in order; places are
// from the upper left corner of the paper.
type LaidPage struct {
	W, H      float64
	Items     []draw.Item
	Texts     []Placed
	Figures   []PlacedFigure
	Bookmarks []Bookmark
}

// Placed is a text on a page. Part says what it belongs to: head, foot,
// title, table, calc, para, list or figure.
type Placed struct {
	Part string
	S    string
	Box  draw.Box
}

// PlacedFigure is where a drawing lies on a page.
type PlacedFigure struct {
	ID  string
	Box draw.Box
}

// Bookmark is an entry of the outline that leads to a page.
type Bookmark struct {
	Text  string
	Level int
}

// Layout places every block of the book.
func Layout(b *sheet.Book) (*Laid, error) {
	if b == nil || len(b.Pages) == 0 {
		return nil, fmt.Errorf("pdf: the book has no pages")
	}
	f := &flow{laid: &Laid{Book: b}}
	for i := range b.Pages {
		f.begin(&b.Pages[i])
		for _, blk := range f.cur.Blocks {
			f.block(blk)
			if f.err != nil {
				return nil, f.err
			}
		}
		if !f.used {
			f.ensure(0) // a page without blocks still has its head
		}
		if f.err != nil {
			return nil, f.err
		}
	}
	f.number()
	f.laid.Missing = missing(f.laid)
	return f.laid, nil
}

// flow is the state of laying out: the sheet in hand and how far down it is.
type flow struct {
	laid *Laid
	cur  *sheet.Page
	open bool     // a sheet of cur is in hand
	used bool     // cur has had a sheet
	body draw.Box // what the sheet in hand leaves for blocks
	y    float64
	top  bool // nothing stands on the sheet yet
	err  error
	foot []footNote
	part string
}

// footNote is where the page number goes, once the count is known.
type footNote struct {
	x, y   float64
	before string // words before it
}

// printWords stand at the foot of a sheet whose drawing is measured on paper.
const printWords = "print at 100 %, "

func (f *flow) begin(p *sheet.Page) {
	f.cur, f.open, f.used = p, false, false
}

func (f *flow) page() *LaidPage { return &f.laid.Pages[len(f.laid.Pages)-1] }

// put places one line of text; y is the baseline.
func (f *flow) put(x, y float64, s string, size float64, bold bool, anchor draw.Anchor) {
	s = strings.TrimRight(s, " ")
	if s == "" {
		return
	}
	t := draw.Text{Layer: f.part, At: draw.Pt{X: x, Y: y}, Size: size, Anchor: anchor, Bold: bold, S: s}
	pg := f.page()
	pg.Items = append(pg.Items, t)
	pg.Texts = append(pg.Texts, Placed{f.part, s, t.Box()})
}

func (f *flow) rule(x0, x1, y float64, ink draw.Ink, width float64) {
	pg := f.page()
	pg.Items = append(pg.Items, draw.Line{
		Layer: "rule", Pen: draw.Pen{Ink: ink, Width: width},
		Pts: []draw.Pt{{X: x0, Y: y}, {X: x1, Y: y}},
	})
}

// lineOf returns the height a line of text takes.
func lineOf(size float64) float64 { return size * leading }

// base returns the baseline of a line whose top is y.
func base(y, size float64) float64 { return y + draw.Ascent(size) }

const draftWords = "draft, not final"

// sheetOf takes a new sheet of paper with head and foot. Under a figure the
// page's title stands small, in the head.
func (f *flow) sheetOf(w, h float64, figure bool) {
	b := f.laid.Book
	f.laid.Pages = append(f.laid.Pages, LaidPage{W: w, H: h})
	x0, x1, y := marginLeft, w-marginRight, marginTop

	defer func(part string) { f.part = part }(f.part)
	f.part = "head"
	room := x1 - x0
	if b.Draft {
		room -= draw.TextWidth(draftWords, small, true) + 6
		f.put(x1, base(y, small), draftWords, small, true, draw.End)
	}
	for _, l := range draw.Wrap(joined(b.Title, b.Sub), room, small, false) {
		f.put(x0, base(y, small), l, small, false, draw.Start)
		y += lineOf(small)
	}
	if y == marginTop {
		y += lineOf(small)
	}
	title := f.cur.Title
	if f.used {
		title = joined(title, "continued")
	}
	if figure {
		y = f.runIn(x0, x1, y, title, f.cur.Purpose)
	}
	y += ruleGap
	f.rule(x0, x1, y, draw.InkText, 0.25)
	y += bodyGap
	if !figure {
		y += 2
		f.part = "title"
		for _, l := range draw.Wrap(title, x1-x0, large, true) {
			f.put(x0, base(y, large), l, large, true, draw.Start)
			y += lineOf(large)
		}
		for _, l := range draw.Wrap(f.cur.Purpose, x1-x0, small, false) {
			f.put(x0, base(y, small), l, small, false, draw.Start)
			y += lineOf(small)
		}
		y += 3
	}

	f.part = "foot"
	numberRoom := draw.TextWidth("page 8888 of 8888", small, false) + 6
	before := ""
	if figure {
		before = printWords
		numberRoom += draw.TextWidth(before, small, false)
	}
	lines := draw.Wrap(b.Foot, x1-x0-numberRoom, small, false)
	n := max(len(lines), 1)
	fy := h - marginBottom - float64(n)*lineOf(small)
	f.rule(x0, x1, fy-ruleGap, draw.InkText, 0.18)
	f.foot = append(f.foot, footNote{x1, base(fy, small), before})
	for i, l := range lines {
		f.put(x0, base(fy+float64(i)*lineOf(small), small), l, small, false, draw.Start)
	}

	f.body = draw.Box{X0: x0, Y0: y, X1: x1, Y1: fy - ruleGap - bodyGap}
	f.y, f.top, f.open = y, true, true
	if !f.used {
		f.page().Bookmarks = append(f.page().Bookmarks, Bookmark{Text: f.cur.Title})
	}
	f.used = true
	if f.body.Y1-f.body.Y0 < 60 && !figure {
		f.err = fmt.Errorf("pdf: page %q: head and foot leave no room for what is on it", f.cur.Title)
	}
}

// number writes "page n of m" at the foot of every sheet.
func (f *flow) number() {
	for i := range f.laid.Pages {
		t := draw.Text{
			Layer: "foot", At: draw.Pt{X: f.foot[i].x, Y: f.foot[i].y}, Size: small, Anchor: draw.End,
			S: fmt.Sprintf("%spage %d of %d", f.foot[i].before, i+1, len(f.laid.Pages)),
		}
		pg := &f.laid.Pages[i]
		pg.Items = append(pg.Items, t)
		pg.Texts = append(pg.Texts, Placed{"foot", t.S, t.Box()})
	}
}

// fresh takes the next sheet of the page in hand.
func (f *flow) fresh() {
	w, h := papersOf(f.laid.Book)[0].sides(f.cur.Wide)
	f.sheetOf(w, h, false)
}

// ensure sees that h mm are free below, on a new sheet if need be.
func (f *flow) ensure(h float64) {
	if !f.open || (!f.top && f.y+h > f.body.Y1) {
		f.fresh()
	}
}

// gap leaves space between blocks, but none at the top of a sheet.
func (f *flow) gap(h float64) {
	if f.open && !f.top {
		f.y += h
	}
}

// lines sets wrapped lines, going on to the next sheet as needed.
func (f *flow) lines(x float64, lines []string, size float64, bold bool) {
	for _, l := range lines {
		f.ensure(lineOf(size))
		f.put(x, base(f.y, size), l, size, bold, draw.Start)
		f.y += lineOf(size)
		f.top = false
	}
}

func joined(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + ", " + b
}

// runIn sets a bold lead and a text that goes on after it, without breaking
// to another sheet, and returns the y below.
func (f *flow) runIn(x0, x1, y float64, lead, text string) float64 {
	for _, l := range leadLines(lead, text, x1-x0) {
		for _, s := range l {
			f.put(x0+s.x, base(y, small), s.s, small, s.bold, draw.Start)
		}
		y += lineOf(small)
	}
	return y
}

// span is part of a line.
type span struct {
	x    float64
	s    string
	bold bool
}

// leadLines breaks a bold lead and the text after it into lines.
func leadLines(lead, text string, width float64) [][]span {
	var out [][]span
	heads := draw.Wrap(lead, width, small, true)
	for _, l := range heads {
		out = append(out, []span{{0, l, true}})
	}
	text = strings.TrimSpace(text)
	if len(heads) > 0 && text != "" {
		at := draw.TextWidth(heads[len(heads)-1], small, true) + 1.6
		first, rest, cut := strings.Cut(text, "\n")
		split := func(s string) []string {
			return strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\t' })
		}
		words := split(first)
		beside := draw.Wrap(first, width-at, small, false)
		n := 0
		if len(beside) > 0 {
			n = len(split(beside[0]))
		}
		// Whole words only, and only where they fit.
		if n > 0 && strings.Join(words[:min(n, len(words))], " ") == beside[0] && at+draw.TextWidth(beside[0], small, false) <= width {
			last := len(out) - 1
			out[last] = append(out[last], span{at, beside[0], false})
			text = strings.Join(words[n:], " ")
			if cut {
				text += "\n" + rest
			}
		}
	}
	for _, l := range draw.Wrap(text, width, small, false) {
		out = append(out, []span{{0, l, false}})
	}
	return out
}

func (f *flow) block(b sheet.Block) {
	switch v := b.(type) {
	case sheet.Table:
		f.table(&v)
	case sheet.Calc:
		f.calc(v)
	case sheet.Para:
		f.para(v)
	case sheet.List:
		f.list(v)
	case sheet.Figure:
		f.figure(v)
	}
}

// signWidth is what a mark's sign takes before the text, mm.
const signWidth = 4.5

func (f *flow) para(p sheet.Para) {
	indent := 0.0
	lead, text := p.Lead, p.Text
	if p.Mark != sheet.Plain {
		indent = signWidth
		if said := sign.Said(lead+" "+text, p.Mark); said != lead+" "+text {
			if lead != "" {
				lead = sign.Said(lead, p.Mark)
			} else {
				text = sign.Said(text, p.Mark)
			}
		}
	}
	if lead+text == "" {
		return
	}
	f.gap(2.5)
	f.ensure(lineOf(small))
	lines := leadLines(lead, text, f.body.X1-f.body.X0-indent)
	for i, l := range lines {
		keep := lineOf(small)
		if i == 0 && len(lines) > 1 {
			keep *= 2 // no line of a paragraph stands alone at the foot
		}
		f.ensure(keep)
		f.part = "para"
		if i == 0 {
			f.mark(f.body.X0, f.y, p.Mark)
		}
		for _, s := range l {
			f.put(f.body.X0+indent+s.x, base(f.y, small), s.s, small, s.bold, draw.Start)
		}
		f.y += lineOf(small)
		f.top = false
	}
}

func (f *flow) list(l sheet.List) {
	if l.Title == "" && len(l.Lines) == 0 {
		return
	}
	f.gap(3.5)
	f.ensure(3 * lineOf(small))
	width := f.body.X1 - f.body.X0
	f.part = "list"
	f.lines(f.body.X0, draw.Wrap(l.Title, width, small, true), small, true)
	const indent = 4.5
	for _, s := range l.Lines {
		for i, line := range draw.Wrap(s, width-indent, small, false) {
			f.ensure(lineOf(small))
			f.part = "list"
			if i == 0 {
				f.put(f.body.X0, base(f.y, small), "\u2013", small, false, draw.Start)
			}
			f.put(f.body.X0+indent, base(f.y, small), line, small, false, draw.Start)
			f.y += lineOf(small)
			f.top = false
		}
	}
}

// figure places a drawing at its own size: below what stands on the sheet,
// on the next sheet, or on a sheet for itself, turned or larger if it must be.
func (f *flow) figure(v sheet.Figure) {
	d := v.Drawing
	if d == nil {
		return
	}
	if !(d.W > 0 && d.H > 0) {
		f.err = fmt.Errorf("pdf: drawing %q has no size", d.ID)
		return
	}
	const slack = 1e-6
	// On the smallest sheet the drawing may share the page with other blocks.
	if !f.open && f.fitsBelowHead(d) || f.open && d.W <= f.body.X1-f.body.X0+slack && f.fitsBelowHead(d) {
		f.gap(3)
		f.ensure(d.H - slack)
		if f.y+d.H <= f.body.Y1+slack {
			f.place(d, f.body.X0, f.y)
			f.y += d.H
			f.top = false
			return
		}
	}
	for _, p := range papersOf(f.laid.Book) {
		for _, wide := range []bool{f.cur.Wide, !f.cur.Wide} {
			w, h := p.sides(wide)
			if d.W > w-marginLeft-marginRight+slack || d.H > h-marginTop-marginBottom-figureHead-figureFoot+slack {
				continue
			}
			first := !f.used
			f.sheetOf(w, h, true)
			if d.H > f.body.Y1-f.body.Y0+slack {
				// A long title or foot took more than its two lines.
				f.laid.Pages = f.laid.Pages[:len(f.laid.Pages)-1]
				f.foot = f.foot[:len(f.foot)-1]
				f.used = !first
				continue
			}
			if d.Title != "" && d.Title != f.cur.Title {
				f.page().Bookmarks = append(f.page().Bookmarks, Bookmark{d.Title, 1})
			}
			spare := f.body.X1 - f.body.X0 - d.W
			f.place(d, f.body.X0+spare/2, f.body.Y0)
			f.open = false // what follows goes on another sheet
			return
		}
	}
	f.err = fmt.Errorf("pdf: drawing %q is %.0f by %.0f mm, larger than the largest sheet", d.ID, d.W, d.H)
}

// fitsBelowHead reports whether the drawing fits a fresh sheet of the page in
// hand, under title and purpose.
func (f *flow) fitsBelowHead(d *draw.Drawing) bool {
	if f.open && f.top {
		return d.H <= f.body.Y1-f.y+1e-6
	}
	trial := &flow{laid: &Laid{Book: f.laid.Book}, cur: f.cur, used: f.used}
	trial.fresh()
	return d.W <= trial.body.X1-trial.body.X0+1e-6 && d.H <= trial.body.Y1-trial.body.Y0+1e-6
}

func (f *flow) place(d *draw.Drawing, x, y float64) {
	pg := f.page()
	box := draw.Box{X0: x, Y0: y, X1: x + d.W, Y1: y + d.H}
	pg.Figures = append(pg.Figures, PlacedFigure{d.ID, box})
	spill := false
	for _, l := range d.Layers() {
		for _, it := range l.Items {
			it = draw.Moved(it, x, y)
			pg.Items = append(pg.Items, it)
			if b, ok := draw.Bounds([]draw.Item{it}); ok && !b.Inside(box.Grow(0.5)) {
				spill = true
			}
			if t, ok := it.(draw.Text); ok && t.S != "" {
				pg.Texts = append(pg.Texts, Placed{"figure", t.S, t.Box()})
			}
		}
	}
	if spill && !slices.Contains(f.laid.Spills, d.ID) {
		f.laid.Spills = append(f.laid.Spills, d.ID)
	}
}

// mark draws the small sign of a mark in the line whose top is y.
func (f *flow) mark(x, y float64, m sheet.Mark) {
	b := base(y, small)
	t := b - small // top of the capitals
	pg := f.page()
	line := func(ink draw.Ink, w float64, pts ...draw.Pt) {
		pg.Items = append(pg.Items, draw.Line{Layer: "mark", Pen: draw.Pen{Ink: ink, Width: w}, Pts: pts})
	}
	at := func(px, py float64) draw.Pt { return draw.Pt{X: x + px*small, Y: t + py*small} }
	switch m {
	case sheet.Holds:
		line(draw.InkText, 0.35, at(0.05, 0.55), at(0.4, 0.95), at(1, 0.05))
	case sheet.Broken:
		line(draw.InkCrayon, 0.5, at(0.05, 0.02), at(0.95, 0.98))
		line(draw.InkCrayon, 0.5, at(0.95, 0.02), at(0.05, 0.98))
	case sheet.CannotTell:
		f.put(x+0.2*small, b, "?", small, true, draw.Start)
	case sheet.NotApply:
		line(draw.InkText, 0.35, at(0.05, 0.5), at(0.95, 0.5))
	case sheet.Hold:
		pg.Items = append(pg.Items, draw.Area{
			Layer: "mark", Fill: true, FillInk: draw.InkTape,
			Pts: []draw.Pt{at(0, 0), at(1.35, 0), at(1.35, 1), at(0, 1)},
		})
		line(draw.InkText, 0.35, at(0.25, 1), at(0.6, 0))
		line(draw.InkText, 0.35, at(0.75, 1), at(1.1, 0))
	}
}

// missing lists the signs of all placed texts that the face lacks.
func missing(l *Laid) []rune {
	seen := map[rune]bool{}
	for _, p := range l.Pages {
		for _, t := range p.Texts {
			for _, r := range t.S {
				if !draw.InFace(r) && r >= ' ' {
					seen[r] = true
				}
			}
		}
	}
	var out []rune
	for r := range seen {
		out = append(out, r)
	}
	slices.Sort(out)
	return out
}
