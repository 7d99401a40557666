package layout

import (
	"cmp"
	"math"
	"slices"

	"stubup/base/draw"
	"stubup/base/stable"
)

// A label is a text that wants to stand near a place. Where there is room it
// stands beside the place; else further off with a thin leader; else it goes
// to the list at the side of the sheet. No label is ever set over another.
type label struct {
	id    string
	text  string
	size  float64
	bold  bool
	layer string

	spots []spot  // places that it may name, the best first
	out   draw.Pt // unit vector toward which it would rather stand, or zero
	must  bool    // goes to the list where it finds no room
	limit float64 // cost from which on it is rather left off; 0 for worst
	far   float64 // how far off it may stand with a leader; 0 for never
	badge func(at draw.Pt) []draw.Item
	badgeW,
	badgeH float64
	fixed []cand // its only candidates, where they are given

	set  bool
	at   cand
	best float64
}

// spot is a place on paper with the radius of what is drawn there.
type spot struct {
	at    draw.Pt
	clear float64
	cost  float64
	dot   bool // a leader to it ends in a dot
}

// cand is one way of setting a label.
type cand struct {
	box    draw.Box
	at     draw.Pt // of the text
	anchor draw.Anchor
	turn   float64
	leader bool
	a, b   draw.Pt // of the leader: label end, place end
	dot    bool
	halo   bool
	cost   float64
}

type segment struct {
	a, b   draw.Pt
	weight float64
}

// board is what is on the sheet already: signs, lines and labels, in cells so
// that only what is near is looked at.
type board struct {
	field  draw.Box
	step   float64
	nx, ny int
	solids []draw.Box
	lines  []segment
	inCell []cell
	labels []*label
	// Marks of what was looked at already, by the number of the look.
	look      int32
	seenSolid []int32
	seenLine  []int32
	seenLabel []int32
}

type cell struct {
	solids, lines []int
	labels        []int // whose box is here
	leaders       []int // whose leader is here
}

func newBoard(field draw.Box) *board {
	b := &board{field: field, step: 7}
	for (field.X1-field.X0)/b.step > 400 || (field.Y1-field.Y0)/b.step > 400 {
		b.step *= 2
	}
	b.nx = int((field.X1-field.X0)/b.step) + 1
	b.ny = int((field.Y1-field.Y0)/b.step) + 1
	b.inCell = make([]cell, b.nx*b.ny)
	return b
}

// cell numbers of a box, clamped to the field.
func (b *board) over(x draw.Box) (x0, y0, x1, y1 int) {
	lim := func(v, o float64, n int) int {
		k := (v - o) / b.step
		if !(k > 0) {
			return 0
		}
		return min(n-1, int(min(k, 1e6)))
	}
	return lim(x.X0, b.field.X0, b.nx), lim(x.Y0, b.field.Y0, b.ny), lim(x.X1, b.field.X0, b.nx), lim(x.Y1, b.field.Y0, b.ny)
}

func (b *board) cells(x draw.Box, f func(*cell)) {
	x0, y0, x1, y1 := b.over(x)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			f(&b.inCell[y*b.nx+x])
		}
	}
}

// eachOnLine calls f for the cells that a segment passes.
func (b *board) eachOnLine(s segment, f func(*cell)) {
	d := dist(s.a, s.b)
	n := min(int(d/(b.step*0.4))+1, 4000)
	last := -1
	for k := range n + 1 {
		p := lerp(s.a, s.b, float64(k)/float64(n))
		x, y, _, _ := b.over(draw.Box{X0: p.X, Y0: p.Y, X1: p.X, Y1: p.Y})
		if i := y*b.nx + x; i != last {
			f(&b.inCell[i])
			last = i
		}
	}
}

func (b *board) solid(x draw.Box) {
	i := len(b.solids)
	b.solids = append(b.solids, x)
	b.seenSolid = append(b.seenSolid, 0)
	b.cells(x, func(c *cell) { c.solids = append(c.solids, i) })
}

func (b *board) line(p, q draw.Pt, weight float64) {
	s := segment{p, q, weight}
	i := len(b.lines)
	b.lines = append(b.lines, s)
	b.seenLine = append(b.seenLine, 0)
	b.eachOnLine(s, func(c *cell) {
		if n := len(c.lines); n == 0 || c.lines[n-1] != i {
			c.lines = append(c.lines, i)
		}
	})
}

func (b *board) polyline(pts []draw.Pt, weight float64) {
	for i := 0; i+1 < len(pts); i++ {
		b.line(pts[i], pts[i+1], weight)
	}
}

// free reports whether a box touches no sign and no label.
func (b *board) free(x draw.Box) bool {
	if !x.Inside(b.field) {
		return false
	}
	ok := true
	b.cells(x, func(c *cell) {
		for _, i := range c.solids {
			ok = ok && !b.solids[i].Overlaps(x)
		}
		for _, i := range c.labels {
			ok = ok && !b.labels[i].at.box.Overlaps(x)
		}
	})
	return ok
}

// lineIn returns how much line there is in a box, by weight.
func (b *board) lineIn(x draw.Box) float64 {
	sum := 0.0
	b.look++
	b.cells(x, func(c *cell) {
		for _, i := range c.lines {
			if b.seenLine[i] != b.look {
				b.seenLine[i] = b.look
				sum += b.lines[i].weight * clip(b.lines[i], x)
			}
		}
	})
	return sum
}

// clip returns the length of a segment within a box.
func clip(s segment, x draw.Box) float64 {
	t0, t1 := 0.0, 1.0
	dx, dy := s.b.X-s.a.X, s.b.Y-s.a.Y
	for _, e := range [][2]float64{{-dx, s.a.X - x.X0}, {dx, x.X1 - s.a.X}, {-dy, s.a.Y - x.Y0}, {dy, x.Y1 - s.a.Y}} {
		if e[0] == 0 {
			if e[1] < 0 {
				return 0
			}
			continue
		}
		t := e[1] / e[0]
		if e[0] < 0 {
			t0 = max(t0, t)
		} else {
			t1 = min(t1, t)
		}
	}
	if t1 <= t0 {
		return 0
	}
	return (t1 - t0) * math.Hypot(dx, dy)
}

func crosses(a, b segment) bool {
	side := func(p, q, r draw.Pt) float64 { return (q.X-p.X)*(r.Y-p.Y) - (q.Y-p.Y)*(r.X-p.X) }
	return side(a.a, a.b, b.a)*side(a.a, a.b, b.b) < 0 && side(b.a, b.b, a.a)*side(b.a, b.b, a.b) < 0
}

// worst is the cost from which on a label is better in the list.
const worst = 60

// cost of setting a label so, with everything else as it stands; no is true
// where it may not stand so at all.
func (b *board) cost(me int, c *cand, limit float64) (sum float64, no bool) {
	if !c.box.Inside(b.field) {
		return 0, true
	}
	sum = c.cost
	if sum >= limit {
		return sum, true
	}
	air := c.box.Grow(0.25)
	x0, y0, x1, y1 := b.over(air)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			k := &b.inCell[y*b.nx+x]
			for _, i := range k.labels {
				if i != me && b.labels[i].at.box.Overlaps(air) {
					return sum, true
				}
			}
			for _, i := range k.leaders {
				if l := &b.labels[i].at; i != me && clip(segment{l.a, l.b, 0}, c.box) > 0 {
					return sum, true
				}
			}
		}
	}
	b.look++
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			k := &b.inCell[y*b.nx+x]
			for _, i := range k.solids {
				if b.seenSolid[i] == b.look {
					continue
				}
				b.seenSolid[i] = b.look
				if x := b.solids[i]; x.Overlaps(c.box) {
					w := min(x.X1, c.box.X1) - max(x.X0, c.box.X0)
					h := min(x.Y1, c.box.Y1) - max(x.Y0, c.box.Y0)
					sum += 8 + 4*w*h
				}
			}
			for _, i := range k.lines {
				if b.seenLine[i] == b.look {
					continue
				}
				b.seenLine[i] = b.look
				if l := clip(b.lines[i], c.box); l > 0 {
					sum += b.lines[i].weight * (1 + 0.5*l)
				}
			}
			if sum >= limit {
				return sum, true
			}
		}
	}
	if !c.leader {
		return sum, false
	}
	b.look++
	s := segment{c.a, c.b, 0}
	no = false
	b.eachOnLine(s, func(k *cell) {
		if no || sum >= limit {
			return
		}
		for _, i := range k.labels {
			if i != me && clip(s, b.labels[i].at.box) > 0 {
				no = true
				return
			}
		}
		for _, i := range k.leaders {
			if i == me || b.seenLabel[i] == b.look {
				continue
			}
			b.seenLabel[i] = b.look
			if crosses(s, segment{b.labels[i].at.a, b.labels[i].at.b, 0}) {
				sum += 14
			}
		}
		for _, i := range k.solids {
			if b.seenSolid[i] == b.look {
				continue
			}
			b.seenSolid[i] = b.look
			if clip(s, b.solids[i]) > 0.3 {
				sum += 9
			}
		}
		for _, i := range k.lines {
			if b.seenLine[i] == b.look {
				continue
			}
			b.seenLine[i] = b.look
			if crosses(s, b.lines[i]) {
				sum += 0.6 * b.lines[i].weight
			}
		}
	})
	return sum, no || sum >= limit
}

func (b *board) put(i int) {
	l := b.labels[i]
	b.cells(l.at.box, func(c *cell) { c.labels = append(c.labels, i) })
	if l.at.leader {
		b.eachOnLine(segment{l.at.a, l.at.b, 0}, func(c *cell) {
			if !slices.Contains(c.leaders, i) {
				c.leaders = append(c.leaders, i)
			}
		})
	}
	l.set = true
}

func (b *board) take(i int) {
	l := b.labels[i]
	drop := func(s []int) []int { return slices.DeleteFunc(s, func(k int) bool { return k == i }) }
	b.cells(l.at.box, func(c *cell) { c.labels = drop(c.labels) })
	if l.at.leader {
		b.eachOnLine(segment{l.at.a, l.at.b, 0}, func(c *cell) { c.leaders = drop(c.leaders) })
	}
	l.set = false
}

// settle sets every label: first one after the other in the order given, then
// each again against all others until nothing gets better. It returns those
// that found no room and must be listed.
func (b *board) settle(labels []*label) []*label {
	b.labels = labels
	b.seenLabel = make([]int32, len(labels))
	cands := make([][]cand, len(labels))
	order := make([][]int, len(labels)) // cheapest first, so that a search can stop early
	for i, l := range labels {
		if cands[i] = l.fixed; l.fixed == nil {
			cands[i] = l.candidates()
		}
		order[i] = make([]int, len(cands[i]))
		for k := range order[i] {
			order[i][k] = k
		}
		stable.Sort(order[i], func(x, y int) int {
			return cmp.Or(cmp.Compare(cands[i][x].cost, cands[i][y].cost), cmp.Compare(x, y))
		})
	}
	seek := func(i int) (got int, limit float64) {
		got, limit = -1, worst
		if labels[i].limit > 0 {
			limit = labels[i].limit
		}
		for _, k := range order[i] {
			c := &cands[i][k]
			if c.cost >= limit {
				break
			}
			if v, no := b.cost(i, c, limit); !no && v < limit-1e-9 {
				got, limit = k, v
			}
		}
		return got, limit
	}
	for pass := range 4 {
		moved := false
		for i, l := range labels {
			if l.set && (len(order[i]) == 0 || l.best <= cands[i][order[i][0]].cost+0.3) {
				continue // it stands as well as it can
			}
			was, had := l.at, l.set
			if had {
				b.take(i)
			}
			k, v := seek(i)
			if k < 0 {
				if had { // it stood well enough before
					l.at = was
					b.put(i)
				}
				continue
			}
			l.at, l.best = cands[i][k], v
			b.put(i)
			moved = moved || !had || was.box != l.at.box
		}
		if !moved && pass > 0 {
			break
		}
	}
	var left []*label
	for _, l := range labels {
		if !l.set && l.must {
			left = append(left, l)
		}
	}
	return left
}

// measure returns the width of the label and how far its box reaches above
// and below the baseline.
func (l *label) measure() (w, up, down float64) {
	x := draw.Text{Size: l.size, Bold: l.bold, S: l.text}.Box()
	w, up, down = x.X1-x.X0, -x.Y0, x.Y1
	if l.layer == "over" {
		down += 1.1 // room for the crayon under it
	}
	if l.badge != nil {
		w += l.badgeW + 0.7
		// The sign stands on the middle of the letters.
		mid := l.size / 2
		up, down = max(up, mid+l.badgeH/2), max(down, l.badgeH/2-mid)
	}
	return w, up, down
}

// candidates lists the ways of setting a label about its places: touching
// them in eight directions, then in rings further off with a leader.
func (l *label) candidates() []cand {
	w, up, down := l.measure()
	h := up + down
	out := make([]cand, 0, len(l.spots)*(8+16*11))
	for _, s := range l.spots {
		want := func(dx, dy float64) float64 {
			if l.out == (draw.Pt{}) {
				return 0
			}
			return 1.3 * (1 - (dx*l.out.X + dy*l.out.Y))
		}
		add := func(cx, cy, cost float64, leader bool) {
			x := draw.Box{X0: cx - w/2, Y0: cy - h/2, X1: cx + w/2, Y1: cy + h/2}
			c := cand{box: x, at: draw.Pt{X: x.X0, Y: x.Y0 + up}, cost: cost + s.cost}
			if l.badge != nil {
				c.at.X += l.badgeW + 0.7
			}
			if leader {
				c.leader, c.dot = true, s.dot
				// From the middle of the side that is nearest.
				m := []draw.Pt{{X: x.X0, Y: cy}, {X: x.X1, Y: cy}, {X: cx, Y: x.Y0}, {X: cx, Y: x.Y1}}
				c.a = m[0]
				for _, q := range m[1:] {
					if dist(q, s.at) < dist(c.a, s.at)-1e-9 {
						c.a = q
					}
				}
				d := dist(c.a, s.at)
				if d < s.clear+0.2 {
					c.leader = false
				} else {
					c.b = lerp(s.at, c.a, s.clear/d)
				}
			}
			out = append(out, c)
		}
		const gap = 0.5
		if !s.dot {
			g := s.clear + gap
			add(s.at.X+g+w/2, s.at.Y, want(1, 0), false)
			add(s.at.X-g-w/2, s.at.Y, 0.2+want(-1, 0), false)
			add(s.at.X, s.at.Y-g-h/2, 0.3+want(0, -1), false)
			add(s.at.X, s.at.Y+g+h/2, 0.3+want(0, 1), false)
			q := s.clear*0.75 + gap*0.7
			for _, d := range [][2]float64{{1, -1}, {-1, -1}, {1, 1}, {-1, 1}} {
				add(s.at.X+d[0]*(q+w/2), s.at.Y+d[1]*(q+h/2), 0.4+want(d[0]*math.Sqrt2/2, d[1]*math.Sqrt2/2), false)
			}
		}
		for _, far := range []float64{2.5, 4, 6, 8.5, 11.5, 15, 19, 24, 30, 38, 48} {
			if far > l.far {
				break
			}
			for k := range 16 {
				sin, cos := math.Sincos(float64(k) * math.Pi / 8)
				// The box is pushed out until it stands far off the place.
				g := s.clear + far
				cost := 1.5 + 0.35*far + want(cos, sin)
				if s.dot {
					cost -= 1
				}
				add(s.at.X+cos*(g+w/2), s.at.Y+sin*(g+h/2), cost, true)
			}
		}
	}
	return out
}

// items returns the label as it is drawn.
func (l *label) items() []draw.Item {
	if !l.set {
		return nil
	}
	c := l.at
	var items []draw.Item
	if c.leader {
		items = append(items, draw.Line{Layer: "leader", ID: l.id, Pen: pen(draw.InkText, hair), Pts: []draw.Pt{c.a, c.b}})
		if c.dot {
			items = append(items, draw.Circle{Layer: "leader", ID: l.id, Pen: pen(draw.InkText, hair), C: c.b, R: 0.4, Fill: true, FillInk: draw.InkText})
		}
	}
	if l.badge != nil {
		items = append(items, l.badge(draw.Pt{X: c.box.X0 + l.badgeW/2, Y: c.at.Y - l.size/2})...)
	}
	// Texts have layers of their own, over all lines and signs.
	return append(items, draw.Text{Layer: "label-" + l.layer, ID: l.id, At: c.at, Size: l.size, Anchor: c.anchor, Turn: c.turn, Bold: l.bold, S: l.text, Halo: c.halo})
}
