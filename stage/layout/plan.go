package layout

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/draw"
	"stubup/base/geom"
	"stubup/base/stable"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
)

// most is how many labels of one kind are set on a sheet. A plan with more
// points than that has them in the point list.
const most = 1500

// caution stands on every sheet.
const caution = "Planned unless shown otherwise. A licensed person and the AHJ decide. Have buried utilities located and marked before anyone digs."

// maker draws one plan sheet at one scale on one paper.
type maker struct {
	v     rule.View
	p     *plan.Plan
	s     *site.Site
	done  func(id string) Progress
	paper paper
	scale Scale
	foot  bool // figures under the sketch instead of beside it

	d       *draw.Drawing
	b       *board
	origin  draw.Pt    // paper place of min
	min     geom.Point // lower left of everything drawn, m
	max     geom.Point
	field   draw.Box
	labels  []*label
	late    []draw.Item // signs, over all lines
	seen    map[string]bool
	listed  []string // what could not be lettered on the sketch
	overrun float64
}

// room beside the plan for dimensions and labels, mm on each side.
const room = 17.0

// planSheet draws the plan on the smallest paper on which it can be read.
func planSheet(v rule.View, done func(string) Progress) (*draw.Drawing, Frame) {
	var best *maker
	all := papers(v.Site.Units)
	for i, pp := range all {
		var made []*maker
		for _, foot := range []bool{false, true} {
			m := &maker{v: v, p: v.Plan, s: v.Site, done: done, paper: pp, foot: foot}
			if m.size() {
				made = append(made, m)
			}
		}
		stable.Sort(made, func(a, b *maker) int { return cmp.Compare(a.scale.Ratio, b.scale.Ratio) })
		for k, m := range made {
			last := i == len(all)-1
			if k > 0 && m.scale != made[0].scale {
				break // what does not fit at the finer scale will not fit at this one
			}
			if !m.sketch() && !(last && best == nil) {
				break
			}
			m.finish()
			if best == nil || m.better(best) {
				best = m
			}
			if m.legible() {
				return m.d, m.frame()
			}
		}
	}
	return best.d, best.frame()
}

// frame returns how the ground lies on this sheet.
func (m *maker) frame() Frame {
	lo, hi := m.at(m.min), m.at(m.max)
	return Frame{Ratio: m.scale.Ratio, Zero: m.at(geom.Point{}), Drawn: draw.Box{X0: lo.X, Y0: hi.Y, X1: hi.X, Y1: lo.Y}}
}

// better prefers the sheet that leaves less off the sketch.
func (m *maker) better(o *maker) bool {
	if len(m.listed) != len(o.listed) {
		return len(m.listed) < len(o.listed)
	}
	return m.overrun < o.overrun
}

// A sheet is taken where no more than these shares of its labels stand far
// off their points, or are only listed. Tried on random compounds by eye.
const (
	farShare    = 0.25
	listedShare = 0.02
	crowdShare  = 0.2 // of the sketch that labels would cover
)

// legible reports whether the sheet can be read and used.
func (m *maker) legible() bool {
	far, n := 0, 0
	for _, l := range m.labels {
		if l.must {
			n++
			if l.set && l.at.leader && l.at.cost > 5.5 {
				far++
			}
		}
	}
	return m.overrun == 0 && float64(far) <= farShare*float64(n) && float64(len(m.listed)) <= listedShare*float64(n)
}

// extent gathers everything that is drawn.
func (m *maker) extent() {
	lo, hi := geom.Point{X: math.Inf(1), Y: math.Inf(1)}, geom.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	add := func(pts ...geom.Point) {
		for _, q := range pts {
			if !q.Finite() {
				continue
			}
			lo = geom.Point{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}
			hi = geom.Point{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
		}
	}
	for _, o := range m.s.Objects {
		add(o.Outline...)
		add(o.Path...)
		add(o.Legs...)
		add(o.Lugs...)
		add(o.Taps...)
		if o.HasAt {
			add(o.At)
		}
	}
	if m.p.Ring != nil {
		add(m.p.Ring.Polyline(0.05)...)
	}
	for _, w := range m.p.Whips {
		add(w.To, w.Tap)
	}
	for _, r := range m.p.Rods {
		add(r.At)
	}
	for _, r := range m.p.Radials {
		add(r.From, r.To)
	}
	for _, j := range m.p.Joints {
		add(j.At)
	}
	for _, r := range m.p.Runs {
		add(r.Start.Plan())
		for _, q := range r.Pieces {
			for k := range 5 {
				add(q.At(float64(q.Length) * float64(k) / 4).Plan())
			}
		}
	}
	if lo.X > hi.X {
		lo, hi = geom.Point{}, geom.Point{X: 10, Y: 10}
	}
	// A drawing has some size even where everything lies on one line.
	if hi.X-lo.X < 1 {
		lo.X, hi.X = lo.X-0.5, hi.X+0.5
	}
	if hi.Y-lo.Y < 1 {
		lo.Y, hi.Y = lo.Y-0.5, hi.Y+0.5
	}
	m.min, m.max = lo, hi
}

// size picks the scale and divides the sheet; false where the paper has no
// room for the sketch beside its figures.
func (m *maker) size() bool {
	m.extent()
	w, h := m.paper.w, m.paper.h
	m.field = draw.Box{X0: colWidth + colGap + 2, Y0: 1, X1: w - 1, Y1: h - 1}
	if m.foot {
		// How deep the figures are depends on what is on the sheet; the
		// signs that can occur are counted before anything is drawn.
		m.field = draw.Box{X0: 1, Y0: 1, X1: w - 1, Y1: h - m.footDepth()}
	}
	fw, fh := m.field.X1-m.field.X0-2*room, m.field.Y1-m.field.Y0-2*room
	if fw < 40 || fh < 30 {
		return false
	}
	m.scale = fit(m.s.Units, m.max.X-m.min.X, m.max.Y-m.min.Y, fw, fh)
	return true
}

// footDepth is how much of the sheet the figures take when they stand under
// the sketch.
func (m *maker) footDepth() float64 {
	cols := math.Floor((m.paper.w + colGap) / (colWidth + colGap))
	return max(50, 230/cols+14)
}

// at returns the place on paper.
func (m *maker) at(q geom.Point) draw.Pt {
	return draw.Pt{X: m.origin.X + m.scale.mm(q.X-m.min.X), Y: m.origin.Y - m.scale.mm(q.Y-m.min.Y)}
}

func (m *maker) ats(qs []geom.Point) []draw.Pt {
	out := make([]draw.Pt, 0, len(qs))
	for _, q := range qs {
		if q.Finite() {
			out = append(out, m.at(q))
		}
	}
	return out
}

func (m *maker) add(items ...draw.Item) { m.d.Add(items...) }

func (m *maker) mark(sign string) { m.seen[sign] = true }

func (m *maker) label(l *label) *label {
	if l.size == 0 {
		l.size = textSize
	}
	if l.layer == "" {
		l.layer = "label"
	}
	m.labels = append(m.labels, l)
	return l
}

// sketch draws everything but the labels, and reports whether those can find
// room at all.
func (m *maker) sketch() bool {
	m.seen = map[string]bool{}
	m.d = &draw.Drawing{ID: "plan", Title: "plan of " + m.name(), W: m.paper.w, H: m.paper.h}
	m.d.Desc = m.desc()
	w, h := m.scale.mm(m.max.X-m.min.X), m.scale.mm(m.max.Y-m.min.Y)
	f := m.field
	m.origin = draw.Pt{X: (f.X0 + f.X1 - w) / 2, Y: (f.Y0 + f.Y1 + h) / 2}
	m.b = newBoard(f)

	m.ground()
	m.objects()
	m.fences()
	m.beds()
	m.ring()
	m.runs()
	m.signs()
	m.dimensions()
	m.points()

	area := 0.0
	for _, l := range m.labels {
		a, up, down := l.measure()
		area += a * (up + down)
	}
	return area <= crowdShare*(w+2*room)*(h+2*room)
}

// finish sets the labels and writes the figures.
func (m *maker) finish() {
	stable.Sort(m.labels, func(a, b *label) int { return cmp.Compare(rank(a), rank(b)) })
	left := m.b.settle(m.labels)
	m.add(m.late...)
	for _, l := range m.labels {
		m.add(l.items()...)
	}
	for _, l := range left {
		if l.layer == "point" {
			m.listed = append(m.listed, l.id)
		} else {
			m.listed = append(m.listed, l.text)
		}
	}
	m.figures()
	m.d.Items = sound(m.d.Items)
}

// rank is the order in which labels are set: what has the fewest places first.
func rank(l *label) int {
	switch {
	case l.layer == "dimension":
		return 0
	case l.layer == "point" && l.badge != nil:
		return 1
	case l.layer == "point":
		return 2
	case l.must:
		return 3
	}
	return 4
}

func (m *maker) name() string {
	n := m.s.Name
	if n == "" {
		n = "site without a name"
	}
	if m.s.Revision != "" {
		n += ", revision " + m.s.Revision
	}
	return n
}

func (m *maker) desc() string {
	var parts []string
	if m.p.Ring != nil {
		parts = append(parts, "a ring "+m.s.Units.Run(m.p.Ring.Takeoff)+" long")
	}
	for _, c := range []struct {
		n    int
		word string
	}{{len(m.p.Rods), "rod"}, {len(m.p.Whips), "whip"}, {len(m.p.Joints), "joint"}, {len(m.p.Runs), "run"}} {
		if c.n > 0 {
			parts = append(parts, count(c.n, c.word))
		}
	}
	if len(parts) == 0 {
		return "Plan of " + m.name() + ": nothing is laid out yet."
	}
	return "Plan of " + m.name() + ": " + strings.Join(parts, ", ") + "."
}

func count(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// ground draws what lies lowest: trenches and located lines.
func (m *maker) ground() {
	for i := range m.s.Objects {
		o := &m.s.Objects[i]
		pts := m.ats(o.Path)
		switch o.Kind {
		case site.Trench:
			if len(pts) < 2 {
				if pts = closed(m.ats(o.Outline)); len(pts) < 2 {
					continue
				}
			}
			w := max(1, m.scale.mm(float64(o.Width.Or(0.3))))
			m.mark("trench")
			m.add(TrenchBand(o.ID, pts, w, m.done(o.ID))...)
			m.objectLabel(o, pts)
		case site.Utility:
			if len(pts) < 2 {
				continue
			}
			band := m.scale.mm(float64(o.Band.Or(0)))
			m.mark("located")
			if band > 0.6 {
				m.mark("band")
			}
			m.add(LocatedLine(o.ID, pts, o.Service, band)...)
			m.b.polyline(pts, 2)
			if _, letter := located(o.Service); letter != "" {
				m.mark("located " + o.Service)
				along(pts, 6, 30, 40, func(at draw.Pt, _ float64) {
					m.label(&label{id: o.ID, text: letter, bold: true, layer: "located", limit: 4, fixed: m.onLine(letter, at, 2, true)})
				})
			}
			m.objectLabel(o, pts)
		}
	}
}

// onLine is a text set over a line at a place, upright, its ground laid bare.
func (m *maker) onLine(text string, at draw.Pt, weight float64, bold bool) []cand {
	t := draw.Text{At: draw.Pt{X: at.X, Y: at.Y + textSize/2}, Size: textSize, Anchor: draw.Middle, S: text, Bold: bold}
	b := t.Box()
	return []cand{{box: b, at: t.At, anchor: draw.Middle, halo: true, cost: -weight * (1 + 0.5*(b.X1-b.X0))}}
}

// along a line: text turned with it, in its gap.
func turned(text string, at draw.Pt, deg, off float64, bold, halo bool, cost float64) cand {
	for deg > 90 {
		deg -= 180
	}
	for deg <= -90 {
		deg += 180
	}
	if deg > 89.999 { // reads from the right-hand side of the sheet
		deg = -90
	}
	f := newFrame(at, deg)
	t := draw.Text{At: f.pt(0, textSize/2+off), Size: textSize, Anchor: draw.Middle, S: text, Bold: bold, Turn: -deg + 0}
	return cand{box: t.Box(), at: t.At, anchor: draw.Middle, turn: t.Turn, halo: halo, cost: cost}
}

// objectLabel names an object beside its line or inside its area.
func (m *maker) objectLabel(o *site.Object, pts []draw.Pt) {
	text := rule.Words(o)
	switch o.Existing {
	case site.SeenToday:
		text += ", there (seen today)"
	case site.ToldOnly:
		text += ", told only, not seen"
	case site.Abandoned:
		text += ", abandoned in place"
	case site.Removed:
		text += ", taken out"
	}
	l := &label{id: o.ID, text: text, layer: "object", must: true, far: 30}
	if len(pts) > 2 && dist(pts[0], pts[len(pts)-1]) < 1e-6 || len(o.Outline) >= 3 {
		b := box(pts)
		w, up, down := (&label{text: text, size: textSize}).measure()
		for gy := range 7 {
			for gx := range 5 {
				y := b.Y0 + (b.Y1-b.Y0)*(float64(gy)+0.5)/7
				x := b.X0 + (b.X1-b.X0)*(float64(gx)+0.5)/5
				c := cand{box: draw.Box{X0: x - w/2, Y0: y - (up+down)/2, X1: x + w/2, Y1: y + (up+down)/2}, cost: 0.25 * (math.Abs(float64(gx)-2) + math.Abs(float64(gy)-3))}
				c.at = draw.Pt{X: c.box.X0, Y: c.box.Y0 + up}
				if c.box.Inside(b.Grow(-0.5)) {
					l.fixed = append(l.fixed, c)
				}
			}
		}
	}
	l.size = textSize
	for _, t := range []float64{0.5, 0.2, 0.8, 0.35, 0.65} {
		half := cutAt(pts, t*lengthOf(pts))
		clear := 0.6
		if o.Kind == site.Wall {
			clear += max(1, m.scale.mm(float64(o.Width.Or(0.2)))) / 2
		}
		l.spots = append(l.spots, spot{at: half, clear: clear, cost: 2})
	}
	if len(l.fixed) > 0 {
		l.fixed = append(l.fixed, l.candidates()...)
	}
	m.label(l)
}

func cutAt(pts []draw.Pt, s float64) draw.Pt {
	run := 0.0
	for i := 0; i+1 < len(pts); i++ {
		d := dist(pts[i], pts[i+1])
		if run+d >= s && d > 0 {
			return lerp(pts[i], pts[i+1], (s-run)/d)
		}
		run += d
	}
	if len(pts) > 0 {
		return pts[len(pts)-1]
	}
	return draw.Pt{}
}

func box(pts []draw.Pt) draw.Box {
	b := draw.Box{X0: math.Inf(1), Y0: math.Inf(1), X1: math.Inf(-1), Y1: math.Inf(-1)}
	for _, p := range pts {
		b = b.Union(draw.Box{X0: p.X, Y0: p.Y, X1: p.X, Y1: p.Y})
	}
	return b
}

func square(at draw.Pt, h float64) draw.Box {
	return draw.Box{X0: at.X - h, Y0: at.Y - h, X1: at.X + h, Y1: at.Y + h}
}

// objects draws the things of the site that are not fences or lines.
func (m *maker) objects() {
	met := map[string]bool{} // drawn by the run that meets it
	for _, r := range m.p.Runs {
		for _, q := range r.Pulls {
			met[q.Object] = true
		}
	}
	for i := range m.s.Objects {
		o := &m.s.Objects[i]
		ring := closed(m.ats(o.Outline))
		line := func(layer string, p draw.Pen, pts []draw.Pt) {
			if pts = clean(pts); len(pts) < 2 {
				return
			}
			m.add(draw.Line{Layer: layer, ID: o.ID, Pen: p, Pts: pts})
			m.b.polyline(pts, 2.5)
			if o.Existing == site.Removed {
				m.mark("struck")
				m.late = append(m.late, CrayonStrokes(o.ID, pts)...)
			}
		}
		switch o.Kind {
		case site.Fence, site.Trench, site.Utility:
			continue
		case site.OldRing:
			pts := ring
			if len(pts) < 2 {
				pts = m.ats(o.Path)
			}
			p := pen(draw.InkText, wide)
			if o.Existing == site.ToldOnly {
				p = pen(draw.InkText, medium, 1.4, 1.6)
				m.mark("told")
			} else {
				m.mark("existing")
			}
			line("existing", p, pts)
			m.objectLabel(o, pts)
			continue
		case site.Frame:
			legs := m.ats(o.Legs)
			line("frame", pen(draw.InkText, narrow), legs)
			for k := range legs {
				m.late = append(m.late, PostSign(o.ID, legs[k], "leg")...)
				m.b.solid(square(legs[k], postSize/2))
			}
			if len(legs) > 0 {
				m.mark("leg")
				m.objectLabel(o, legs)
			}
			continue
		case site.Bar:
			a := m.ats(o.Lugs)
			c, deg, l := m.at(o.At), 0.0, 6.0
			if len(a) > 0 && !o.HasAt {
				c = a[0]
			}
			if len(a) > 1 {
				c, deg, l = lerp(a[0], a[len(a)-1], 0.5), angleOf(a[0], a[len(a)-1]), max(6, dist(a[0], a[len(a)-1])+2.6)
			}
			m.mark("bar")
			m.add(BarSign(o.ID, c, l, 2.2, deg, max(3, int(l/2.2)))...)
			f := newFrame(c, deg)
			m.b.polyline(f.pts(-l/2, 0, l/2, 0), 3)
			m.objectLabel(o, f.pts(-l/2, 0, l/2, 0))
			continue
		case site.Wall:
			pts := m.ats(o.Path)
			if len(pts) < 2 {
				pts = ring
			}
			if len(pts) < 2 {
				continue
			}
			w := max(1, m.scale.mm(float64(o.Width.Or(0.2))))
			a, c := beside(pts, w/2), beside(pts, -w/2)
			band := append(append([]draw.Pt{}, a...), reverse(c)...)
			m.add(draw.Area{Layer: "wall", ID: o.ID, Pts: band, Fill: true, FillInk: draw.InkPaper, Hatch: 1.6, HatchPen: pen(draw.InkText, hair)},
				draw.Line{Layer: "wall", ID: o.ID, Pen: pen(draw.InkText, medium), Pts: band, Close: true})
			m.mark("wall")
			for _, g := range o.Openings {
				if g.Core {
					continue
				}
				q, deg := nearestOn(pts, m.at(g.At))
				h := max(1.5, m.scale.mm(float64(g.Size.Or(0.9)))/2)
				f := newFrame(q, deg)
				m.add(draw.Area{Layer: "wall", ID: o.ID, Pts: f.pts(-h, -w/2-0.2, h, -w/2-0.2, h, w/2+0.2, -h, w/2+0.2), Fill: true, FillInk: draw.InkPaper},
					draw.Line{Layer: "wall", ID: o.ID, Pen: pen(draw.InkText, medium), Pts: f.pts(-h, -w/2, -h, w/2)},
					draw.Line{Layer: "wall", ID: o.ID, Pen: pen(draw.InkText, medium), Pts: f.pts(h, -w/2, h, w/2)})
			}
			m.b.polyline(a, 3)
			m.b.polyline(pts, 3)
			m.b.polyline(c, 3)
			m.objectLabel(o, pts)
			continue
		case site.Handhole, site.Box:
			if met[o.ID] || !o.HasAt {
				if o.HasAt || len(ring) < 3 {
					continue
				}
				break
			}
			kind := plan.PullHandhole
			if o.Kind == site.Box {
				kind = plan.PullBox
			}
			m.mark(string(kind))
			m.late = append(m.late, PullSign(o.ID, m.at(o.At), signSize, kind, "", 0)...)
			m.b.solid(square(m.at(o.At), signSize*0.7))
			m.objectLabel(o, []draw.Pt{m.at(o.At), m.at(o.At)})
			continue
		case site.Tower, site.Mast:
			c := m.at(o.At)
			if len(ring) >= 4 {
				line("tower", pen(draw.InkText, wide), ring)
				n := len(ring) - 1
				if n == 4 {
					line("tower", pen(draw.InkText, hair), []draw.Pt{ring[0], ring[2]})
					line("tower", pen(draw.InkText, hair), []draw.Pt{ring[1], ring[3]})
				}
				m.objectLabel(o, ring)
				continue
			}
			if !o.HasAt {
				break
			}
			f := newFrame(c, 0)
			if o.Kind == site.Tower {
				line("tower", pen(draw.InkText, wide), f.pts(0, -3.2, 2.8, 1.6, -2.8, 1.6, 0, -3.2))
			} else {
				m.add(draw.Circle{Layer: "tower", ID: o.ID, Pen: pen(draw.InkText, wide), C: c, R: 1.6})
			}
			m.b.solid(square(c, 2))
			m.objectLabel(o, []draw.Pt{c, f.pt(0, 0)})
			continue
		}
		w := medium
		switch o.Kind {
		case site.Shelter, site.Generator:
			w = wide
		case site.Pad:
			w = narrow
		}
		if len(ring) >= 3 {
			line(string(o.Kind), pen(draw.InkText, w), ring)
			if o.Kind == site.Platform && len(o.Outline) == 4 {
				// Grating: an inner line where it is steel.
				if in, ok := o.Outline.Offset(float64(o.Outline.Len()) * 0.006); ok && o.Steel {
					m.add(draw.Line{Layer: "platform", ID: o.ID, Pen: pen(draw.InkText, hair), Pts: m.ats(in), Close: true})
				}
			}
			m.objectLabel(o, ring)
			continue
		}
		if pts := m.ats(o.Path); len(pts) > 1 {
			line(string(o.Kind), pen(draw.InkText, w), pts)
			m.objectLabel(o, pts)
			continue
		}
		if o.HasAt && o.At.Finite() {
			c := m.at(o.At)
			f := newFrame(c, 0)
			line(string(o.Kind), pen(draw.InkText, w), f.pts(-2.2, -1.5, 2.2, -1.5, 2.2, 1.5, -2.2, 1.5, -2.2, -1.5))
			m.objectLabel(o, f.pts(-2.2, 0, 2.2, 0))
		}
	}
}

func reverse(p []draw.Pt) []draw.Pt {
	out := slices.Clone(p)
	slices.Reverse(out)
	return out
}

func nearestOn(pts []draw.Pt, p draw.Pt) (q draw.Pt, deg float64) {
	best := math.Inf(1)
	for i := 0; i+1 < len(pts); i++ {
		a, b := pts[i], pts[i+1]
		l := dist(a, b)
		if l == 0 {
			continue
		}
		t := ((p.X-a.X)*(b.X-a.X) + (p.Y-a.Y)*(b.Y-a.Y)) / (l * l)
		c := lerp(a, b, max(0, min(1, t)))
		if d := dist(c, p); d < best {
			best, q, deg = d, c, angleOf(a, b)
		}
	}
	return q, deg
}

// fences draws the fence between its posts, leaving the gates open.
func (m *maker) fences() {
	for i := range m.s.Objects {
		o := &m.s.Objects[i]
		if o.Kind != site.Fence || len(o.Outline) < 2 {
			continue
		}
		m.mark("fence")
		for _, side := range o.Outline.Sides() {
			l := side.Len()
			if l < geom.Eps || !side.A.Finite() || !side.B.Finite() {
				continue
			}
			type span struct{ a, b float64 }
			gaps := []span{}
			for _, g := range m.p.Gates {
				if g.Fence != o.ID {
					continue
				}
				a, ta := side.Nearest(g.From)
				b, tb := side.Nearest(g.To)
				if a.Dist(g.From) < 0.01 && b.Dist(g.To) < 0.01 {
					gaps = append(gaps, span{min(ta, tb), max(ta, tb)})
				}
			}
			stable.Sort(gaps, func(a, b span) int { return cmp.Compare(a.a, b.a) })
			p := func(t float64) draw.Pt { return m.at(side.A.Add(side.B.Sub(side.A).Scale(t))) }
			from := 0.0
			stretch := func(to float64) {
				if to > from {
					m.add(FenceLine(o.ID, p(from), p(to))...)
					m.b.line(p(from), p(to), 3)
				}
			}
			for _, g := range gaps {
				stretch(g.a)
				from = max(from, g.b)
			}
			stretch(1)
		}
	}
	for _, g := range m.p.Gates {
		m.mark("gate")
		in := draw.Pt{X: g.Inward.X, Y: -g.Inward.Y}
		items := GateLeaves(g.Fence, m.at(g.From), m.at(g.To), in, g.Leaves)
		m.add(items...)
		for _, it := range items {
			switch v := it.(type) {
			case draw.Line:
				m.b.polyline(v.Pts, 1.2)
			case draw.Arc:
				m.b.polyline(arcPts(v, 6), 0.8)
			}
		}
	}
	for _, q := range m.p.Posts {
		if !q.At.Finite() || q.Fence == "" {
			continue
		}
		m.mark("post")
		m.late = append(m.late, PostSign(q.ID, m.at(q.At), q.Kind)...)
		m.b.solid(square(m.at(q.At), postSize*0.55))
	}
}

func arcPts(a draw.Arc, n int) []draw.Pt {
	var out []draw.Pt
	for k := range n + 1 {
		s, c := math.Sincos((a.A0 + (a.A1-a.A0)*float64(k)/float64(n)) * math.Pi / 180)
		out = append(out, draw.Pt{X: a.C.X + a.R*c, Y: a.C.Y + a.R*s})
	}
	return out
}

// ringPath is the ring as it is bent, closed.
func ringPath(r *plan.Ring) []geom.Point {
	bends := r.Bends()
	pts := r.Polyline(0.005)
	var out []geom.Point
	for _, q := range pts {
		bent := false
		for _, b := range bends {
			if b.Radius > geom.Eps && b.Corner.Dist(q) < geom.Eps {
				v := b.In.Sub(b.Centre)
				n := max(2, int(math.Ceil(math.Abs(b.Turn)/(math.Pi/16))))
				for k := range n + 1 {
					out = append(out, b.Centre.Add(v.Rotate(b.Turn*float64(k)/float64(n))))
				}
				bent = true
				break
			}
		}
		if !bent {
			out = append(out, q)
		}
	}
	if len(out) > 0 {
		out = append(out, out[0])
	}
	return out
}

func (m *maker) ring() {
	r := m.p.Ring
	if r == nil {
		return
	}
	path := m.ats(ringPath(r))
	out := 1.0 // right of the direction on paper is outside, counter-clockwise
	if geom.Outline(r.Polyline(0.05)).Area() < 0 {
		out = -1
	}
	how := m.done("ring")
	m.mark("ring")
	m.progress(how)
	m.add(ConductorLine("ring", "ring", path, true, how, out)...)
	m.b.polyline(path, 3)
	for _, x := range m.p.Radials {
		m.mark("radial")
		pts := []draw.Pt{m.at(x.From), m.at(x.To)}
		m.add(ConductorLine("ring", x.ID, pts, true, m.done(x.ID), 1)...)
		m.b.polyline(pts, 3)
		m.label(&label{id: x.ID, text: x.ID, bold: true, layer: "point", far: 20, must: true, spots: []spot{{at: lerp(pts[0], pts[1], 0.6), clear: 0.5}}})
	}
	for _, w := range m.p.Whips {
		how := m.done(w.ID)
		m.mark("whip")
		m.progress(how)
		pts := []draw.Pt{m.at(w.Tap), m.at(w.To)}
		m.add(ConductorLine("whip", w.ID, pts, false, how, 1)...)
		m.b.polyline(pts, 2.2)
	}
}

// beds are the open trenches under what waits to be laid in them, drawn before
// any of that.
func (m *maker) beds() {
	if r := m.p.Ring; r != nil {
		m.add(OpenBand("ring", closed(m.ats(ringPath(r))), m.done("ring"), bareBand)...)
	}
	for _, x := range m.p.Radials {
		m.add(OpenBand(x.ID, []draw.Pt{m.at(x.From), m.at(x.To)}, m.done(x.ID), bareBand)...)
	}
	for _, w := range m.p.Whips {
		m.add(OpenBand(w.ID, []draw.Pt{m.at(w.Tap), m.at(w.To)}, m.done(w.ID), bareBand)...)
	}
	for i := range m.p.Runs {
		r := &m.p.Runs[i]
		m.add(OpenBand(r.ID, clean(m.ats(runPts(r, 0, r.Length))), m.done(r.ID), pipeBand)...)
	}
}

func (m *maker) progress(p Progress) {
	if p != Planned {
		m.mark(fmt.Sprintf("progress %d", p))
	}
}

// runPts is the plan of a run between two stations.
func runPts(r *plan.Run, s0, s1 unit.Metre) []geom.Point {
	var out []geom.Point
	for _, q := range r.Pieces {
		a, b := max(s0, q.Station)-q.Station, min(s1, q.Station+q.Length)-q.Station
		if b <= a {
			continue
		}
		n := 1
		if q.Arc {
			n = max(2, int(math.Ceil(float64(q.Angle)/7.5)))
			n = min(n, 48)
		}
		for k := range n + 1 {
			out = append(out, q.At(float64(a+(b-a)*unit.Metre(float64(k)/float64(n)))).Plan())
		}
	}
	return out
}

func (m *maker) runs() {
	for i := range m.p.Runs {
		r := &m.p.Runs[i]
		if r.Open > 0 {
			m.mark(fmt.Sprintf("progress %d", Open))
			m.add(TrenchBand(r.ID, m.ats(runPts(r, 0, r.Open)), max(3.2, m.scale.mm(float64(r.OpenWidth.Or(0.3)))), Open)...)
		}
		how := m.done(r.ID)
		if how == Planned && r.Laid > 0 {
			m.mark(fmt.Sprintf("progress %d", In))
			m.add(RacewayLine(r.ID, m.ats(runPts(r, 0, r.Laid)), In)...)
			m.add(RacewayLine(r.ID, m.ats(runPts(r, r.Laid, r.Length)), Planned)...)
		} else {
			m.progress(how)
			m.add(RacewayLine(r.ID, m.ats(runPts(r, 0, r.Length)), how)...)
		}
		all := clean(m.ats(runPts(r, 0, r.Length)))
		if len(all) > 1 {
			m.mark("run")
		}
		m.b.polyline(beside(all, 1), 2)
		m.b.polyline(beside(all, -1), 2)
		// The run's word stands in a gap of its lines, on its longest
		// straights first.
		type st struct {
			a, b draw.Pt
		}
		var straights []st
		for _, q := range r.Pieces {
			a, b := m.at(q.A.Plan()), m.at(q.B.Plan())
			if !q.Arc && dist(a, b) > 4 {
				straights = append(straights, st{a, b})
			}
		}
		stable.Sort(straights, func(a, b st) int { return cmp.Compare(dist(b.a, b.b), dist(a.a, a.b)) })
		word := r.ID
		l := &label{id: r.ID, text: word, bold: true, layer: "run", must: true, size: textSize, far: 24}
		w := draw.TextWidth(word, textSize, true)
		for k, s := range straights {
			if k > 5 {
				break
			}
			for _, t := range []float64{0.5, 0.35, 0.65, 0.2, 0.8} {
				c := turned(word, lerp(s.a, s.b, t), angleOf(s.a, s.b), 0, true, true, 0)
				c.cost = float64(k)*0.6 + math.Abs(t-0.5) - 4*(1+0.5*w)
				if dist(s.a, s.b)*min(t, 1-t)*2 > w {
					l.fixed = append(l.fixed, c)
				}
			}
		}
		if len(all) > 0 {
			for _, t := range []float64{0.5, 0.25, 0.75} {
				l.spots = append(l.spots, spot{at: cutAt(all, t*lengthOf(all)), clear: 1.2, cost: 3})
			}
		} else {
			l.spots = []spot{{at: m.at(r.Start.Plan()), clear: 1}}
		}
		l.fixed = append(l.fixed, l.candidates()...)
		m.label(l)
		for _, q := range r.Pieces {
			switch {
			case q.Arc:
				m.mark("bend")
				at := m.at(q.At(float64(q.Length) / 2).Plan())
				m.label(&label{id: r.ID, text: bendWords(q), layer: "bend", far: 8, limit: 14, spots: []spot{{at: at, clear: 1.4}}})
			case math.Abs(q.Dir.Z) > 0.9:
				at := m.at(q.A.Plan())
				m.mark("riser")
				m.late = append(m.late, draw.Circle{Layer: "run", ID: r.ID, Pen: pen(draw.InkText, medium), C: at, R: 1, Fill: true, FillInk: draw.InkPaper},
					draw.Circle{Layer: "run", ID: r.ID, Pen: pen(draw.InkText, hair), C: at, R: 0.3, Fill: true, FillInk: draw.InkText})
				m.b.solid(square(at, 1.1))
			}
		}
	}
}

// bendWords is a bend as it is written beside it: its degrees, and which way
// it turns where the plan cannot show that.
func bendWords(q plan.Piece) string {
	if math.Abs(q.Out.Z-q.Dir.Z) > 0.2 && q.What != "" {
		return q.What
	}
	return unit.Trim(float64(q.Angle), 1)
}

// whipEye is where the eye of a whip is drawn: at its end, or just short of
// the steel that it is joined to.
func (m *maker) whipEye(w *plan.Whip) draw.Pt {
	a, b := m.at(w.Tap), m.at(w.To)
	d := dist(a, b)
	back := postSize/2 + eyeSize + 0.3
	if w.End == site.ToFlat {
		back = eyeSize * 0.2
	}
	if d < back+eyeSize {
		return b
	}
	return lerp(b, a, back/d)
}

// signs draws rods, pull points, whip ends and joints, the joints where there
// is room for the square; the others stand beside their labels.
func (m *maker) signs() {
	for _, r := range m.p.Runs {
		for _, q := range r.Pulls {
			if q.ID == "" {
				continue
			}
			at := m.at(q.At.Plan())
			deg := angleOf(draw.Pt{}, draw.Pt{X: q.In.X, Y: -q.In.Y})
			m.mark(string(q.Kind))
			m.late = append(m.late, PullSign(q.ID, at, signSize, q.Kind, q.Letter, deg)...)
			m.b.solid(square(at, signSize*0.7))
			text := q.ID
			if q.Kind == plan.PullBody && q.Letter != "" {
				text += " " + q.Letter
			}
			m.label(&label{id: q.ID, text: text, bold: true, layer: "point", must: true, far: 48, spots: []spot{{at: at, clear: signSize * 0.75}}})
		}
		for _, e := range r.Entries {
			at := m.at(e.At.Plan())
			deg := angleOf(draw.Pt{}, m.wallDir(e))
			m.mark("entry")
			if e.Rated {
				m.mark("firestop")
			}
			m.late = append(m.late, CoreSign(r.ID, at, 1.6, deg, e.Rated)...)
			m.b.solid(square(at, 1.8))
		}
		for _, e := range r.Expansions {
			at := m.at(e.At.Plan())
			q := r.At(e.Station - 0.01)
			deg := angleOf(m.at(q.Plan()), at)
			m.mark("expansion")
			m.late = append(m.late, ExpansionSign(r.ID, at, 4, deg)...)
			m.b.solid(square(at, 2))
		}
	}
	for i := range m.p.Rods {
		r := &m.p.Rods[i]
		at := m.at(r.At)
		how := m.rodHow(r)
		m.mark("rod")
		m.progress(how)
		look := RodLook{Extra: r.Sections - 1, Lies: r.Lies, Toward: angleOf(draw.Pt{}, draw.Pt{X: r.Dir.X, Y: -r.Dir.Y})}
		if look.Extra > 0 {
			m.mark("sections")
		}
		if r.Lies != "" {
			m.mark("rod " + r.Lies)
		}
		items := RodSign(r.ID, at, signSize, how, look)
		m.late = append(m.late, items...)
		if b, ok := draw.Bounds(items); ok {
			m.b.solid(b)
		}
		m.label(&label{id: r.ID, text: r.ID, bold: true, layer: "point", must: true, far: 48, spots: []spot{{at: at, clear: signSize / 2}}, out: m.awayFrom(at)})
	}
	for i := range m.p.Whips {
		w := &m.p.Whips[i]
		end, tap := m.at(w.To), m.at(w.Tap)
		l := &label{id: w.ID, text: w.ID, bold: true, layer: "point", must: true, far: 48}
		if w.End == site.ToPipe || w.End == site.ToFlat {
			eye := m.whipEye(w)
			m.mark("eye")
			m.late = append(m.late, WhipSign(w.ID, eye, eyeSize, angleOf(tap, end), m.done(w.ID))...)
			m.b.solid(square(eye, eyeSize))
			l.spots = append(l.spots, spot{at: eye, clear: eyeSize + 0.3})
		} else {
			l.spots = append(l.spots, spot{at: end, clear: signSize / 2})
		}
		for _, t := range []float64{0.5, 0.7, 0.3} {
			l.spots = append(l.spots, spot{at: lerp(tap, end, t), clear: 0.4, cost: 0.8})
		}
		m.label(l)
	}
	for _, j := range m.p.Jumpers {
		m.mark("jumper")
		items := JumperSign(j.ID, m.at(j.At), m.at(j.Leaf), m.done(j.ID))
		m.late = append(m.late, items...)
		if b, ok := draw.Bounds(items); ok {
			m.b.polyline([]draw.Pt{{X: b.X0, Y: b.Y0}, {X: b.X1, Y: b.Y1}}, 2)
		}
	}
}

func (m *maker) wallDir(e plan.WallEntry) draw.Pt {
	for i := range m.s.Objects {
		if o := &m.s.Objects[i]; o.ID == e.Wall && len(o.Path) > 1 {
			_, deg := nearestOn(m.ats(o.Path), m.at(e.At.Plan()))
			return newFrame(draw.Pt{}, deg).pt(1, 0)
		}
	}
	return draw.Pt{Y: 1}
}

// rodHow is how far a rod is: as the book says, else as the document does.
func (m *maker) rodHow(r *plan.Rod) Progress {
	if p := m.done(r.ID); p != Planned {
		return p
	}
	for _, st := range m.s.State.Rods {
		if st.Rod == r.ID && st.Driven.Set {
			return In
		}
	}
	return Planned
}

// awayFrom is the direction from the middle of the ring to a place on paper.
func (m *maker) awayFrom(at draw.Pt) draw.Pt {
	if m.p.Ring == nil {
		return draw.Pt{}
	}
	b := box(m.ats(m.p.Ring.Polyline(0.5)))
	c := draw.Pt{X: (b.X0 + b.X1) / 2, Y: (b.Y0 + b.Y1) / 2}
	d := dist(c, at)
	if d < 1e-6 || math.IsInf(d, 0) || math.IsNaN(d) {
		return draw.Pt{}
	}
	return draw.Pt{X: (at.X - c.X) / d, Y: (at.Y - c.Y) / d}
}

// points places the joints and names posts and joints.
func (m *maker) points() {
	half := signSize / 2
	byWhip := map[string]*plan.Whip{}
	for i := range m.p.Whips {
		byWhip[m.p.Whips[i].ID] = &m.p.Whips[i]
	}
	for i := range m.p.Joints {
		if i >= most {
			break
		}
		j := &m.p.Joints[i]
		how := m.done(j.ID)
		m.mark("joint " + string(j.Kind))
		m.progress(how)
		spotAt := m.at(j.At)
		l := &label{id: j.ID, text: j.ID, bold: true, layer: "point", must: true, far: 48}
		seat := func(at draw.Pt) bool {
			if !m.b.free(square(at, half+0.15)) {
				return false
			}
			m.b.solid(square(at, half))
			m.late = append(m.late, JointSign(j.ID, at, signSize, j.Kind, how)...)
			l.spots = append(l.spots, spot{at: at, clear: half})
			return true
		}
		ok := seat(spotAt)
		if !ok && len(j.Ties) > 0 && byWhip[j.Ties[0]] != nil {
			// The upper end of a whip: on the whip, short of its eye.
			w := byWhip[j.Ties[0]]
			tap, eye := m.at(w.Tap), m.whipEye(w)
			d := dist(tap, eye)
			for _, back := range []float64{eyeSize + half + 0.2, eyeSize + half + 0.8, eyeSize + half + 1.6, eyeSize + half + 2.6} {
				if ok || back > d*0.62 {
					break
				}
				ok = seat(lerp(eye, tap, back/d))
			}
		}
		if !ok {
			l.badge = func(at draw.Pt) []draw.Item { return JointSign(j.ID, at, signSize, j.Kind, how) }
			l.badgeW, l.badgeH = signSize, signSize
			l.spots = append(l.spots, spot{at: spotAt, clear: 0, dot: true})
			m.mark("set off")
		}
		m.label(l)
	}
	for i, q := range m.p.Posts {
		if q.Fence == "" || !q.At.Finite() || i >= most {
			continue
		}
		at := m.at(q.At)
		m.label(&label{id: q.ID, text: q.ID, layer: "post", must: i < 200, far: 30, spots: []spot{{at: at, clear: postSize * 0.6}}, out: m.awayFrom(at)})
	}
}

// dimensions measures the sides of each fence, the ring's distance from it,
// and where the platform stands.
func (m *maker) dimensions() {
	for i := range m.s.Objects {
		o := &m.s.Objects[i]
		if o.Kind != site.Fence || len(o.Outline) < 3 || len(o.Outline) > 24 {
			continue
		}
		out := 1.0 // right of the direction on paper is outside, counter-clockwise
		if o.Outline.Area() < 0 {
			out = -1
		}
		for k, side := range o.Outline.Sides() {
			if side.Len() < geom.Eps {
				continue
			}
			m.measure(fmt.Sprintf("%s side %d", o.ID, k+1), side.A, side.B, []float64{13 * out, 11 * out, 15 * out, 9 * out, 6 * out, -7 * out})
		}
		for k := range m.s.Objects {
			if q := &m.s.Objects[k]; (q.Kind == site.Platform || q.Kind == site.Shelter) && len(q.Outline) > 2 {
				m.position(o, q)
				break
			}
		}
		if m.p.Ring != nil {
			m.ringOffset(o)
		}
	}
}

// measure sets one dimension where its text has room, or not at all.
func (m *maker) measure(id string, a, b geom.Point, offs []float64) bool {
	p, q := m.at(a), m.at(b)
	d := dist(p, q)
	if d < 1 || math.IsInf(d, 0) || math.IsNaN(d) {
		return false
	}
	text := m.s.Units.Length(unit.Metre(a.Dist(b)))
	w := draw.TextWidth(text, textSize, false)
	for _, off := range offs {
		items, line := dimension(id, p, q, off)
		whole, _ := draw.Bounds(items)
		if !whole.Inside(m.field) {
			continue
		}
		deg := angleOf(line[0], line[1])
		var fixed []cand
		for _, t := range []float64{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8} {
			if d*min(t, 1-t)*2 < w+2 && t != 0.5 {
				continue
			}
			at := lerp(line[0], line[1], t)
			if w+2 <= d {
				fixed = append(fixed, turned(text, at, deg, 0, false, true, math.Abs(t-0.5)-2*(1+0.5*w)))
			} else {
				f := newFrame(at, deg)
				for _, s := range []float64{1, -1} {
					fixed = append(fixed, turned(text, f.pt(s*(d/2+w/2+1.6), 0), deg, 0, false, false, 1))
				}
				fixed = append(fixed, turned(text, f.pt(0, 2.6), deg, 0, false, false, 1.5), turned(text, f.pt(0, -2.6), deg, 0, false, false, 1.5))
			}
		}
		ok := slices.ContainsFunc(fixed, func(c cand) bool { return m.b.free(c.box.Grow(0.3)) })
		if !ok {
			continue
		}
		m.add(items...)
		m.b.line(line[0], line[1], 2)
		for _, it := range items {
			if v, ok := it.(draw.Line); ok && dist(v.Pts[0], v.Pts[1]) > 2.5 {
				m.b.line(v.Pts[0], v.Pts[1], 0.8)
			}
		}
		m.label(&label{id: id, text: text, layer: "dimension", size: textSize, fixed: fixed})
		m.mark("dimension")
		return true
	}
	return false
}

// ringOffset measures from fence to ring, once, where there is room.
func (m *maker) ringOffset(o *site.Object) {
	type pick struct {
		a, b geom.Point
		cost float64
	}
	var picks []pick
	for _, side := range o.Outline.Sides() {
		for _, t := range []float64{0.42, 0.58, 0.3, 0.7, 0.18, 0.82} {
			a := side.A.Add(side.B.Sub(side.A).Scale(t))
			b, _, d := m.p.Ring.Nearest(a)
			// Square to the fence, or the tape would read too much.
			if d < 0.02 || math.Abs(b.Sub(a).Unit().Dot(side.Dir())) > 0.01 || !o.Outline.Contains(b) {
				continue
			}
			x := box([]draw.Pt{m.at(a), m.at(b)}).Grow(3)
			if m.b.free(x) {
				picks = append(picks, pick{a, b, m.b.lineIn(x)})
			}
		}
	}
	stable.Sort(picks, func(a, b pick) int { return cmp.Compare(a.cost, b.cost) })
	for _, q := range picks {
		if m.measure("ring offset", q.a, q.b, []float64{0}) {
			return
		}
	}
}

// position measures from two sides of the fence to a corner of a thing in it.
func (m *maker) position(fence, o *site.Object) {
	type pick struct {
		a, b geom.Point
		d    float64
		dir  geom.Point
	}
	var picks []pick
	for _, side := range fence.Outline.Sides() {
		if side.Len() < geom.Eps {
			continue
		}
		for _, s := range o.Outline.Sides() {
			for _, t := range []float64{0.3, 0.7} {
				c := s.A.Add(s.B.Sub(s.A).Scale(t))
				n, k := side.Nearest(c)
				if k <= 0 || k >= 1 || math.Abs(s.Dir().Cross(side.Dir())) > 0.01 {
					continue
				}
				picks = append(picks, pick{n, c, n.Dist(c), side.Dir()})
			}
		}
	}
	stable.Sort(picks, func(a, b pick) int { return cmp.Compare(a.d, b.d) })
	var had []geom.Point
	for _, q := range picks {
		if q.d < 0.02 || len(had) == 2 {
			continue
		}
		if len(had) == 1 && math.Abs(had[0].Cross(q.dir)) < 0.1 {
			continue
		}
		if m.measure(o.ID+" position", q.a, q.b, []float64{0}) {
			had = append(had, q.dir)
		}
	}
}
