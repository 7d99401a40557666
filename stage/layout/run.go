package layout

import (
	"fmt"
	"math"
	"strings"

	"stubup/answer"
	"stubup/base/draw"
	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
)

// runSheet draws one run. The elevation lays the run out flat: how far it goes
// in plan along the sheet, its height up the sheet, so that every bend up or
// down is its true arc. The view in space is isometric: the same length along
// north, east and up. A long straight may be drawn short with a break mark;
// its true length is written on it.
type runSheet struct {
	v      rule.View
	r      *plan.Run
	done   func(string) Progress
	space  bool
	scale  Scale
	cap    float64 // longest straight as drawn, mm; infinite for no breaks
	pieces []drawn
	d      *draw.Drawing
	b      *board
	labels []*label
	late   []draw.Item
	short  bool // some straight is drawn short
	shift  draw.Pt
}

// drawn is a piece as it lies on the sheet.
type drawn struct {
	plan.Piece
	pts   []draw.Pt
	short bool
}

// least a straight that is drawn short takes, mm: room for its break and its
// length.
const leastStraight = 24.0

func runSheets(v rule.View, done func(string) Progress) []*draw.Drawing {
	var out []*draw.Drawing
	for i := range v.Plan.Runs {
		for _, space := range []bool{false, true} {
			s := &runSheet{v: v, r: &v.Plan.Runs[i], done: done, space: space}
			out = append(out, s.draw(i))
		}
	}
	return out
}

// project puts a step in space onto the sheet, in metres: right and down.
func (s *runSheet) project(d geom.Point3) (x, y float64) {
	if s.space {
		const c, n = 0.8660254037844386, 0.5 // cos 30, sin 30
		return (d.X + d.Y) * c, (d.X-d.Y)*n - d.Z
	}
	return math.Hypot(d.X, d.Y), -d.Z
}

// lay sets the pieces on the sheet at a scale with straights no longer than
// cap mm, the start at the origin, and returns their bounds.
func (s *runSheet) lay(sc Scale, limit float64) ([]drawn, draw.Box) {
	at := draw.Pt{}
	// The start stands at its height above grade.
	if !s.space {
		at.Y = -sc.mm(s.r.Start.Z)
	}
	b := draw.Box{X0: at.X, Y0: at.Y, X1: at.X, Y1: at.Y}
	var out []drawn
	step := func(d geom.Point3) {
		x, y := s.project(d)
		at = draw.Pt{X: at.X + sc.mm(x), Y: at.Y + sc.mm(y)}
		b = b.Union(draw.Box{X0: at.X, Y0: at.Y, X1: at.X, Y1: at.Y})
	}
	for _, q := range s.r.Pieces {
		g := drawn{Piece: q, pts: []draw.Pt{at}}
		if q.Arc {
			n := min(60, max(3, int(math.Ceil(float64(q.Angle)/5))))
			was := q.A
			for k := 1; k <= n; k++ {
				p := q.At(float64(q.Length) * float64(k) / float64(n))
				step(p.Sub(was))
				was = p
				g.pts = append(g.pts, at)
			}
		} else {
			l := float64(q.Length)
			// The height of the run stays true in elevation unless it would
			// not fit at all.
			if most := limit * sc.Ratio / 1000; l > most+1e-9 && (s.space || math.Abs(q.Dir.Z) < 0.3 || sc.mm(l) > 60) {
				l, g.short = most, true
			}
			step(q.Dir.Scale(l))
			g.pts = append(g.pts, at)
		}
		out = append(out, g)
	}
	return out, b
}

func (s *runSheet) fit(w, h float64) (draw.Box, bool) {
	all := scales(s.v.Site.Units)
	straights := 0
	for _, q := range s.r.Pieces {
		if !q.Arc {
			straights++
		}
	}
	least := min(leastStraight, w/float64(straights+1)/1.3)
	height := func(b draw.Box) (draw.Box, bool) {
		if !s.space { // grade is on the sheet
			b = b.Union(draw.Box{X0: b.X0, Y0: 0, X1: b.X0, Y1: 0})
		}
		return b, b.X1-b.X0 <= w && b.Y1-b.Y0 <= h
	}
	for _, sc := range all {
		if sc.Ratio > 61 {
			break
		}
		if p, b := s.lay(sc, math.Inf(1)); true {
			if b, ok := height(b); ok {
				s.scale, s.pieces, s.cap = sc, p, math.Inf(1)
				return b, true
			}
		}
	}
	for _, sc := range all {
		p, b := s.lay(sc, least)
		b, ok := height(b)
		if !ok {
			continue
		}
		lo, hi := least, 4000.0
		for range 24 {
			mid := (lo + hi) / 2
			if p2, b2 := s.lay(sc, mid); true {
				if b2, ok := height(b2); ok {
					lo, p, b = mid, p2, b2
				} else {
					hi = mid
				}
			}
		}
		s.scale, s.pieces, s.cap = sc, p, lo
		return b, true
	}
	return draw.Box{}, false
}

func (s *runSheet) draw(i int) *draw.Drawing {
	r := s.r
	name := r.ID
	if name == "" {
		name = fmt.Sprintf("run %d", i+1)
	}
	view, key := "elevation", "elevation"
	if s.space {
		view, key = "in space", "space"
	}
	pp := papers(s.v.Site.Units)[0]
	w := pp.w
	h := 88.0
	if s.space {
		h = 140
	}
	const head = 17.0
	s.d = &draw.Drawing{ID: "run-" + fileWord(name) + "-" + key, Title: name + ", " + view, W: w, H: h}
	ends := ""
	if r.From != "" || r.To != "" {
		ends = strings.TrimSpace(r.From + " to " + r.To)
	}
	s.d.Desc = strings.TrimSuffix(fmt.Sprintf("Run %s, %s: %s long, %s degrees of bend, %s", name, ends, s.v.Site.Units.Run(r.Length), unit.Trim(float64(r.Degrees()), 1), view), " ") + "."
	margin := 16.0
	field := draw.Box{X0: 1, Y0: head, X1: w - 1, Y1: h - 1}
	b, ok := s.fit(w-2*margin, h-head-2*12)
	title := name
	if ends != "" {
		title += ": " + ends
	}
	head1 := []string{title + ", " + view}
	if !ok || len(r.Pieces) == 0 {
		s.text(head1[0], "There is nothing to draw: the run has no straight and no bend.")
		return s.d
	}
	s.shift = draw.Pt{X: (w-(b.X1-b.X0))/2 - b.X0, Y: head + (h-head-(b.Y1-b.Y0))/2 - b.Y0}
	for k := range s.pieces {
		for j := range s.pieces[k].pts {
			p := &s.pieces[k].pts[j]
			*p = draw.Pt{X: p.X + s.shift.X, Y: p.Y + s.shift.Y}
		}
		s.short = s.short || s.pieces[k].short
	}
	s.b = newBoard(field)
	how := s.scale.Text()
	if s.space {
		how += ", isometric, the same along north, east and up"
	} else {
		how += ", along and up the same"
	}
	if s.short {
		how += "; straights with a break are drawn short"
	}
	facts := s.facts()
	s.text(head1[0], facts, how+". "+"Planned unless shown otherwise.")
	if s.space {
		s.axes(field)
	} else {
		s.grade(b)
	}
	s.pipe()
	s.marks()
	s.b.settle(s.labels)
	s.d.Add(s.late...)
	for _, l := range s.labels {
		s.d.Add(l.items()...)
		if l.set && l.layer == "over" {
			s.d.Add(wavy(l.at.box)...)
		}
	}
	s.d.Items = sound(s.d.Items)
	return s.d
}

func (s *runSheet) facts() string {
	r := s.r
	var parts []string
	if r.RacewayText != "" {
		parts = append(parts, r.RacewayText)
	} else if r.Raceway != "" {
		parts = append(parts, strings.TrimSpace(r.Trade.String()+" "+r.Raceway))
	}
	parts = append(parts, s.v.Site.Units.Run(r.Length)+" long", count(len(r.Bends()), "bend")+", "+unit.Trim(float64(r.Degrees()), 1)+" degrees")
	if n := len(r.Sections); n > 0 {
		parts = append(parts, count(n, "section"))
	}
	if !r.OK {
		parts = append(parts, "drawn only as far as it can be built")
	}
	return strings.Join(parts, "; ")
}

// text writes the head lines; a line too long for the sheet is wrapped, and
// what runs into the sketch is left to the title of the page.
func (s *runSheet) text(title string, lines ...string) {
	y := 1 + draw.Ascent(3.5)
	for _, l := range draw.Wrap(title, s.d.W, 3.5, true)[:1] {
		s.d.Add(draw.Text{Layer: "figures", At: draw.Pt{X: 0, Y: y}, Size: 3.5, Bold: true, S: l})
	}
	y += 5
	for _, line := range lines {
		for _, l := range first(draw.Wrap(line, s.d.W, textSize, false), 1) {
			s.d.Add(draw.Text{Layer: "figures", At: draw.Pt{X: 0, Y: y}, Size: textSize, S: l})
			y += rowPitch
		}
	}
}

func first(l []string, n int) []string { return l[:min(n, len(l))] }

func fileWord(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		default:
			if n := b.Len(); n > 0 && b.String()[n-1] != '-' {
				b.WriteByte('-')
			}
		}
	}
	return strings.Trim(b.String(), "-")
}

// wavy is the crayon under a figure over its limit.
func wavy(b draw.Box) []draw.Item {
	var pts []draw.Pt
	for k := 0; ; k++ {
		x := b.X0 + 0.5*float64(k)
		if x > b.X1 || k > 400 {
			break
		}
		pts = append(pts, draw.Pt{X: x, Y: b.Y1 - 0.6 + 0.45*math.Sin(float64(k)*math.Pi/2)})
	}
	if len(pts) < 2 {
		return nil
	}
	return []draw.Item{draw.Line{Layer: "over", Pen: pen(draw.InkCrayon, medium), Pts: pts}}
}

// grade draws finished grade and the earth under it.
func (s *runSheet) grade(draw.Box) {
	y := s.shift.Y
	x0, x1 := 3.0, s.d.W-3
	s.d.Add(draw.Line{Layer: "grade", Pen: pen(draw.InkText, medium), Pts: []draw.Pt{{X: x0, Y: y}, {X: x1, Y: y}}})
	for x := x0 + 1.5; x < x1-1; x += 9 {
		for k := range 3 {
			a := x + 1.3*float64(k)
			if a+0.4 > x1 {
				break
			}
			s.d.Add(draw.Line{Layer: "grade", Pen: pen(draw.InkText, hair), Pts: []draw.Pt{{X: a, Y: y + 0.3}, {X: a - 1.3, Y: y + 1.6}}})
		}
	}
	s.b.line(draw.Pt{X: x0, Y: y}, draw.Pt{X: x1, Y: y}, 2.5)
	s.b.line(draw.Pt{X: x0, Y: y + 1}, draw.Pt{X: x1, Y: y + 1}, 1.5)
	s.labels = append(s.labels, &label{text: "grade", size: textSize, layer: "label", must: true, fixed: []cand{
		s.plain("grade", draw.Pt{X: x0 + 1, Y: y - 1}, draw.Start, 0),
		s.plain("grade", draw.Pt{X: x1 - 1, Y: y - 1}, draw.End, 0.1),
		s.plain("grade", draw.Pt{X: x0 + 1, Y: y + 5}, draw.Start, 0.5),
		s.plain("grade", draw.Pt{X: x1 - 1, Y: y + 5}, draw.End, 0.6),
	}})
}

func (s *runSheet) plain(text string, at draw.Pt, a draw.Anchor, cost float64) cand {
	return cand{box: draw.Text{At: at, Size: textSize, Anchor: a, S: text}.Box(), at: at, anchor: a, cost: cost}
}

// axes shows which way north, east and up lie on the isometric sketch.
func (s *runSheet) axes(f draw.Box) {
	o := draw.Pt{X: f.X0 + 4, Y: f.Y1 - 12}
	for _, a := range []struct {
		d geom.Point3
		t string
	}{{geom.Point3{X: 8}, "east"}, {geom.Point3{Y: 8}, "north"}, {geom.Point3{Z: 8}, "up"}} {
		x, y := s.project(a.d)
		e := draw.Pt{X: o.X + x, Y: o.Y + y}
		s.d.Add(draw.Line{Layer: "axes", Pen: pen(draw.InkText, narrow), Pts: []draw.Pt{o, e}})
		s.b.line(o, e, 4)
		at := draw.Pt{X: e.X + 0.8, Y: e.Y + textSize/2}
		if a.t == "up" {
			at = draw.Pt{X: e.X, Y: e.Y - 0.8}
		}
		s.labels = append(s.labels, &label{text: a.t, size: textSize, layer: "axes", must: true, fixed: []cand{s.plain(a.t, at, draw.Start, -50)}})
	}
}

// on returns the place of a station on the sheet and the direction there.
// Where two pieces meet it is the direction of the first, or of the second
// where ahead is set.
func (s *runSheet) on(st unit.Metre, ahead bool) (draw.Pt, float64) {
	for k, q := range s.pieces {
		end := q.Station + q.Length + 1e-9
		if ahead {
			end -= 2e-9
		}
		if k+1 < len(s.pieces) && (st > end || ahead && st >= end) {
			continue
		}
		t := 0.0
		if q.Length > 0 {
			t = max(0, min(1, float64((st-q.Station)/q.Length)))
		}
		l := lengthOf(q.pts)
		at := cutAt(q.pts, t*l)
		if l == 0 && len(q.pts) > 0 {
			at = q.pts[0]
		}
		n := len(q.pts)
		deg := angleOf(q.pts[0], q.pts[min(1, n-1)])
		if t > 0.5 && n > 1 {
			deg = angleOf(q.pts[n-2], q.pts[n-1])
		}
		return at, deg
	}
	return s.shift, 0
}

// part is the run on the sheet between two stations.
func (s *runSheet) part(a, b unit.Metre) []draw.Pt {
	var out []draw.Pt
	for _, q := range s.pieces {
		lo, hi := max(a, q.Station), min(b, q.Station+q.Length)
		if hi <= lo || q.Length <= 0 {
			continue
		}
		l := lengthOf(q.pts)
		from, to := l*float64((lo-q.Station)/q.Length), l*float64((hi-q.Station)/q.Length)
		out = append(out, cutAt(q.pts, from))
		run := 0.0
		for k := 1; k+1 < len(q.pts); k++ {
			if run += dist(q.pts[k-1], q.pts[k]); run > from && run < to {
				out = append(out, q.pts[k])
			}
		}
		out = append(out, cutAt(q.pts, to))
	}
	return clean(out)
}

// pipe draws the raceway, its tangent points, its breaks and its lengths.
func (s *runSheet) pipe() {
	r := s.r
	how := s.done(r.ID)
	if how == Planned && r.Laid > 0 {
		s.d.Add(RacewayLine(r.ID, s.part(0, r.Laid), In)...)
		s.d.Add(RacewayLine(r.ID, s.part(r.Laid, r.Length), Planned)...)
		at, _ := s.on(r.Laid, false)
		s.label(&label{text: "laid to here, " + s.v.Site.Units.Run(r.Laid), far: 14, must: true, spots: []spot{{at: at, clear: 1.2}}})
	} else {
		s.d.Add(RacewayLine(r.ID, s.part(0, r.Length), how)...)
	}
	all := s.part(0, r.Length)
	s.b.polyline(beside(all, 1), 3)
	s.b.polyline(beside(all, -1), 3)
	for k, q := range s.pieces {
		n := len(q.pts)
		if n < 2 {
			continue
		}
		// A stroke across the pipe at every tangent point.
		if l := lengthOf(q.pts); k > 0 && l > 0.5 {
			f := newFrame(q.pts[0], angleOf(q.pts[0], q.pts[1]))
			s.d.Add(draw.Line{Layer: "run", ID: r.ID, Pen: pen(draw.InkText, hair), Pts: f.pts(0, -1.5, 0, 1.5)})
		}
		if q.Arc {
			s.bend(q)
			continue
		}
		if q.short {
			s.breakMark(lerp(q.pts[0], q.pts[1], 0.5), angleOf(q.pts[0], q.pts[1]))
		}
		s.straight(k, q)
	}
}

func (s *runSheet) label(l *label) {
	if l.size == 0 {
		l.size = textSize
	}
	if l.layer == "" {
		l.layer = "label"
	}
	s.labels = append(s.labels, l)
}

// breakMark is the sign that a straight is drawn short.
func (s *runSheet) breakMark(at draw.Pt, deg float64) {
	f := newFrame(at, deg)
	s.d.Add(draw.Area{Layer: "run", ID: s.r.ID, Pts: f.pts(-1.2, -1.8, 0.4, -1.8, 1.2, 1.8, -0.4, 1.8), Fill: true, FillInk: draw.InkPaper})
	s.d.Add(draw.Line{Layer: "run", ID: s.r.ID, Pen: pen(draw.InkText, narrow), Pts: f.pts(-1.4, -2.2, -0.9, -0.3, -0.5, 0.3, 0, 2.2)})
	s.d.Add(draw.Line{Layer: "run", ID: s.r.ID, Pen: pen(draw.InkText, narrow), Pts: f.pts(0, -2.2, 0.5, -0.3, 0.9, 0.3, 1.4, 2.2)})
}

// straight writes the length of a straight along it, and where it runs.
func (s *runSheet) straight(k int, q drawn) {
	u := s.v.Site.Units
	text := u.Length(q.Length)
	if q.Length < unit.Foot-1e-6 {
		text = u.Short(q.Length)
	}
	a, b := q.pts[0], q.pts[len(q.pts)-1]
	deg := angleOf(a, b)
	mid := lerp(a, b, 0.5)
	w := draw.TextWidth(text, textSize, false)
	l := &label{text: text, layer: "dimension", must: true, far: 24}
	f := newFrame(mid, deg)
	if dist(a, b) >= w*0.8 {
		for _, off := range []float64{3.4, -3.4, 4.6, -4.6} {
			for _, x := range []float64{0, 0.2, -0.2} {
				l.fixed = append(l.fixed, turned(text, f.pt(x*dist(a, b), off), deg, 0, false, false, 0.1*math.Abs(off)+math.Abs(x)))
			}
		}
	}
	l.spots = []spot{{at: mid, clear: 1.3, cost: 0.3}}
	l.size = textSize
	l.fixed = append(l.fixed, l.candidates()...)
	s.label(l)
	var note []string
	// Said once: where the run changes its place or its depth.
	prev := plan.Piece{}
	for j := k - 1; j >= 0; j-- {
		if !s.pieces[j].Arc {
			prev = s.pieces[j].Piece
			break
		}
	}
	if q.Where != "" && q.Where != prev.Where {
		note = append(note, q.Where)
	}
	if math.Abs(q.Dir.Z) < 0.02 && q.A.Z < -0.01 && (math.Abs(prev.B.Z-q.A.Z) > 0.01 || prev.Length == 0) {
		note = append(note, u.Short(unit.Metre(-q.A.Z))+" to the middle of the pipe")
	}
	if len(note) > 0 {
		s.label(&label{text: strings.Join(note, ", "), far: 24, spots: []spot{{at: lerp(a, b, 0.35), clear: 1.3, cost: 2.5}, {at: lerp(a, b, 0.65), clear: 1.3, cost: 2.5}}})
	}
}

// bend writes the degrees of a bend, which way it goes where the view cannot
// show it, and its radius.
func (s *runSheet) bend(q drawn) {
	at := cutAt(q.pts, lengthOf(q.pts)/2)
	text := unit.Trim(float64(q.Angle), 1)
	if q.What != "" {
		text = q.What
	}
	text += ", R " + s.v.Site.Units.Short(q.Radius)
	s.label(&label{text: text, bold: true, layer: "bend", must: true, far: 30, spots: []spot{{at: at, clear: 1.3}}})
	if !s.space && math.Abs(q.Dir.Z) < 0.01 && math.Abs(q.Out.Z) < 0.01 {
		// A bend to the side is seen edge on: a bracket marks its length.
		a, b := q.pts[0], q.pts[len(q.pts)-1]
		s.b.line(draw.Pt{X: a.X, Y: a.Y - 2.4}, draw.Pt{X: b.X, Y: b.Y - 2.4}, 2)
		s.d.Add(draw.Line{Layer: "bend", ID: s.r.ID, Pen: pen(draw.InkText, hair), Pts: []draw.Pt{{X: a.X, Y: a.Y - 1.5}, {X: a.X, Y: a.Y - 2.4}, {X: b.X, Y: b.Y - 2.4}, {X: b.X, Y: b.Y - 1.5}}})
	}
}

// pullWords names a pull point or an end of the run.
func (s *runSheet) pullWords(p plan.Pull) string {
	named := func(id string) string {
		for i := range s.v.Site.Objects {
			if o := &s.v.Site.Objects[i]; o.ID == id {
				return rule.Words(o)
			}
		}
		return id
	}
	switch {
	case p.Kind == plan.PullStart && s.r.From != "":
		return named(s.r.From)
	case p.Kind == plan.PullEnd && s.r.To != "":
		return named(s.r.To)
	case p.ID == "":
		return p.Words()
	case p.Object != "":
		return p.ID + " " + named(p.Object)
	}
	return p.ID + " " + p.Words()
}

// marks draws the pull points with their running sums, wall entries and
// expansion fittings.
func (s *runSheet) marks() {
	r := s.r
	var since unit.Degree
	next := 0
	for _, p := range r.Pulls {
		for next < len(r.Pieces) && r.Pieces[next].Station+r.Pieces[next].Length <= p.Station+1e-9 {
			since += r.Pieces[next].Angle
			next++
		}
		at, deg := s.on(p.Station, false)
		s.late = append(s.late, PullSign(p.ID, at, signSize*1.15, p.Kind, p.Letter, deg)...)
		s.b.solid(square(at, signSize*0.75))
		text, over := s.pullWords(p), false
		layer := "point"
		if p.Kind != plan.PullStart {
			var sum string
			if sum, over = answer.BendTally(since, answer.EveryBendLimit(s.v.Site, r)); over {
				layer = "over"
			}
			text += ": " + sum
		}
		s.label(&label{id: p.ID, text: text, bold: true, layer: layer, must: true, far: 48, spots: []spot{{at: at, clear: signSize * 0.8}}})
		since = 0
		if s.space && math.Abs(p.At.Z) > 0.05 {
			// A line to grade shows how high or deep it stands.
			x, y := s.project(geom.Point3{Z: -p.At.Z})
			e := draw.Pt{X: at.X + s.scale.mm(x), Y: at.Y + s.scale.mm(y)}
			if (draw.Box{X0: e.X, Y0: e.Y, X1: e.X, Y1: e.Y}).Inside(s.b.field) {
				s.d.Add(draw.Line{Layer: "grade", Pen: pen(draw.InkText, hair, 1, 1), Pts: []draw.Pt{at, e}},
					draw.Line{Layer: "grade", Pen: pen(draw.InkText, hair), Pts: []draw.Pt{{X: e.X - 2, Y: e.Y}, {X: e.X + 2, Y: e.Y}}})
				s.b.line(at, e, 1)
				word := "grade, " + s.v.Site.Units.Short(unit.Metre(math.Abs(p.At.Z)))
				if p.At.Z < 0 {
					word += " up"
				} else {
					word += " down"
				}
				s.label(&label{text: word, far: 12, spots: []spot{{at: e, clear: 2, cost: 1}}})
			}
		}
	}
	for _, e := range r.Entries {
		at, deg := s.on(e.Station, true)
		if !s.space {
			// The wall stands across the run.
			f := newFrame(at, deg+90)
			s.d.Add(draw.Area{Layer: "wall", Pts: f.pts(-9, -1.6, 9, -1.6, 9, 1.6, -9, 1.6), Hatch: 1.6, HatchPen: pen(draw.InkText, hair)},
				draw.Line{Layer: "wall", Pen: pen(draw.InkText, narrow), Pts: f.pts(-9, -1.6, 9, -1.6)},
				draw.Line{Layer: "wall", Pen: pen(draw.InkText, narrow), Pts: f.pts(-9, 1.6, 9, 1.6)})
			s.b.line(f.pt(-9, 0), f.pt(9, 0), 3)
		}
		s.late = append(s.late, CoreSign(r.ID, at, 1.8, deg+90, e.Rated)...)
		s.b.solid(square(at, 2))
		text := "core"
		if e.Core.Set {
			text += " " + e.Core.Text
		}
		if e.Wall != "" {
			text += ", " + strings.ReplaceAll(e.Wall, "-", " ")
		}
		if e.Rated {
			text += ", " + firestopWords(e)
		}
		s.label(&label{text: text, must: true, far: 36, spots: []spot{{at: at, clear: 2.2}}})
	}
	for _, e := range r.Expansions {
		at, deg := s.on(e.Station, true)
		s.late = append(s.late, ExpansionSign(r.ID, at, 4.4, deg)...)
		s.b.solid(square(at, 2.3))
		text := "expansion fitting"
		if e.Travel.Set {
			text += ", travel " + e.Travel.Text
		}
		s.label(&label{text: text, must: true, far: 36, spots: []spot{{at: at, clear: 2.5}}})
	}
}

// firestopWords says what is known of the firestop of a core in a rated wall.
func firestopWords(e plan.WallEntry) string {
	switch e.Firestop {
	case "":
		return "rated wall, firestop not told"
	case "none":
		return "rated wall, no firestop yet"
	}
	return "firestop: " + e.Firestop
}
