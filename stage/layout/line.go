package layout

import (
	"math"
	"slices"

	"stubup/base/draw"
)

// clean drops points that repeat the one before, and points that are no
// numbers.
func clean(pts []draw.Pt) []draw.Pt {
	out := make([]draw.Pt, 0, len(pts))
	for _, p := range pts {
		if math.IsNaN(p.X+p.Y) || math.IsInf(p.X+p.Y, 0) {
			continue
		}
		if n := len(out); n > 0 && dist(out[n-1], p) < 1e-6 {
			continue
		}
		out = append(out, p)
	}
	return out
}

// sound leaves out what has a place that is no number: nothing can be drawn
// of it, and the point list says so.
func sound(items []draw.Item) []draw.Item {
	return slices.DeleteFunc(items, func(it draw.Item) bool {
		b, ok := draw.Bounds([]draw.Item{it})
		return !ok || math.IsNaN(b.X0+b.Y0+b.X1+b.Y1) || math.IsInf(b.X1-b.X0+b.Y1-b.Y0, 0)
	})
}

func dist(a, b draw.Pt) float64 { return math.Hypot(b.X-a.X, b.Y-a.Y) }

func lerp(a, b draw.Pt, t float64) draw.Pt {
	return draw.Pt{X: a.X + (b.X-a.X)*t, Y: a.Y + (b.Y-a.Y)*t}
}

func angleOf(a, b draw.Pt) float64 { return math.Atan2(b.Y-a.Y, b.X-a.X) * 180 / math.Pi }

func closed(pts []draw.Pt) []draw.Pt {
	if len(pts) < 2 {
		return pts
	}
	out := make([]draw.Pt, 0, len(pts)+1)
	return append(append(out, pts...), pts[0])
}

// along calls f at every step mm of a polyline, the first at start, with the
// place and the direction there in degrees. At most limit calls are made.
func along(pts []draw.Pt, start, step float64, limit int, f func(at draw.Pt, deg float64)) {
	if step <= 0 {
		return
	}
	next, run := start, 0.0
	for i := 0; i+1 < len(pts); i++ {
		d := dist(pts[i], pts[i+1])
		for next <= run+d {
			if d > 0 {
				f(lerp(pts[i], pts[i+1], (next-run)/d), angleOf(pts[i], pts[i+1]))
			}
			next += step
			if limit--; limit <= 0 {
				return
			}
		}
		run += d
	}
}

func lengthOf(pts []draw.Pt) float64 {
	s := 0.0
	for i := 0; i+1 < len(pts); i++ {
		s += dist(pts[i], pts[i+1])
	}
	return s
}

// beside returns the polyline moved d mm to the right of its direction on
// paper (y grows down), mitred at the corners.
func beside(pts []draw.Pt, d float64) []draw.Pt {
	pts = clean(pts)
	n := len(pts)
	if n < 2 {
		return pts
	}
	out := make([]draw.Pt, n)
	for i := range pts {
		var nx, ny, k float64
		add := func(a, b draw.Pt) {
			l := dist(a, b)
			nx -= (b.Y - a.Y) / l
			ny += (b.X - a.X) / l
			k++
		}
		if i > 0 {
			add(pts[i-1], pts[i])
		}
		if i+1 < n {
			add(pts[i], pts[i+1])
		}
		l := math.Hypot(nx, ny)
		if l < 0.3 { // it turns straight back: no mitre
			out[i] = draw.Pt{X: pts[i].X, Y: pts[i].Y}
			continue
		}
		// The sum of k unit normals is shorter than k at a corner; the mitre
		// is as much longer.
		m := min(k/l, 2.5)
		out[i] = draw.Pt{X: pts[i].X + nx/l*d*m, Y: pts[i].Y + ny/l*d*m}
	}
	return out
}

// ConductorLine is a bare conductor, one line: the ring at its weight, a whip
// at a lighter one. A covered one has earth ticks on the side that out names,
// 1 for the right of its direction on paper, -1 for the left.
func ConductorLine(layer, id string, pts []draw.Pt, ring bool, how Progress, out float64) []draw.Item {
	pts = clean(pts)
	if len(pts) < 2 {
		return nil
	}
	var items []draw.Item
	switch {
	case how.done() && ring:
		items = append(items, draw.Line{Layer: layer, ID: id, Pen: pen(how.ink(), heavy), Pts: pts})
	case how.done():
		items = append(items, draw.Line{Layer: layer, ID: id, Pen: pen(how.ink(), wide), Pts: pts})
	case ring:
		items = dashed(layer, id, pen(how.ink(), medium), 9, 5, pts)
	default:
		items = dashed(layer, id, pen(how.ink(), narrow), 5, 3, pts)
	}
	if how == Covered {
		items = append(items, earthTicks(layer, id, pts, out)...)
	}
	return items
}

// dashed draws a polyline in dashes so that every straight begins and ends
// with one: a corner or an end that falls in a gap cannot be read. Dash and
// gap are stretched or shrunk together to come out even.
func dashed(layer, id string, p draw.Pen, on, off float64, pts []draw.Pt) []draw.Item {
	var items []draw.Item
	even := func(l float64) draw.Pen {
		q := p
		n := math.Round((l - on) / (on + off))
		if n < 1 && l > 3 {
			n = 1 // even a short piece shows that it is planned
		}
		if n >= 1 {
			k := l / (n*(on+off) + on)
			q.Dash = []float64{on * k, off * k}
		}
		return q
	}
	bend := []draw.Pt{}
	flush := func() {
		if len(bend) > 1 {
			items = append(items, draw.Line{Layer: layer, ID: id, Pen: even(lengthOf(bend)), Pts: bend})
		}
		bend = nil
	}
	for i := 0; i+1 < len(pts); i++ {
		l := dist(pts[i], pts[i+1])
		if l < on {
			if len(bend) == 0 {
				bend = append(bend, pts[i])
			}
			bend = append(bend, pts[i+1])
			continue
		}
		flush()
		items = append(items, draw.Line{Layer: layer, ID: id, Pen: even(l), Pts: []draw.Pt{pts[i], pts[i+1]}})
	}
	flush()
	return items
}

func earthTicks(layer, id string, pts []draw.Pt, out float64) []draw.Item {
	var items []draw.Item
	along(pts, 1.75, 3.5, 4000, func(at draw.Pt, deg float64) {
		f := newFrame(at, deg)
		items = append(items, draw.Line{Layer: layer, ID: id, Pen: pen(draw.InkPatina, hair), Pts: []draw.Pt{f.pt(0, out*0.7), f.pt(0.9, out*1.9)}})
	})
	return items
}

// RacewayLine is a raceway: two lines 2 mm apart.
func RacewayLine(id string, pts []draw.Pt, how Progress) []draw.Item {
	pts = clean(pts)
	if len(pts) < 2 {
		return nil
	}
	var items []draw.Item
	for _, side := range []float64{1, -1} {
		l := beside(pts, side)
		if how.done() {
			items = append(items, draw.Line{Layer: "run", ID: id, Pen: pen(how.ink(), medium), Pts: l})
		} else {
			items = append(items, dashed("run", id, pen(how.ink(), medium), 7, 4, l)...)
		}
	}
	if how == Covered {
		items = append(items, earthTicks("run", id, beside(pts, 1), 1)...)
	}
	return items
}

// OpenBand is the open trench under a line that waits to be laid in it: the
// line lies dashed between its two banks. It is drawn before all lines, at the
// least width that keeps the banks clear of them.
func OpenBand(id string, pts []draw.Pt, how Progress, width float64) []draw.Item {
	if how != Open {
		return nil
	}
	return TrenchBand(id, pts, width, Open)
}

// Least widths of an open band, mm.
const (
	bareBand = 3.2
	pipeBand = 4.8
)

// TrenchBand is a trench at its true width: a chalk band in a case where it is
// open, hatched at 45 degrees where it is backfilled, a bare case otherwise.
func TrenchBand(id string, pts []draw.Pt, width float64, how Progress) []draw.Item {
	pts = clean(pts)
	if len(pts) < 2 {
		return nil
	}
	a, b := beside(pts, width/2), beside(pts, -width/2)
	band := append([]draw.Pt{}, a...)
	for i := len(b) - 1; i >= 0; i-- {
		band = append(band, b[i])
	}
	switch how {
	case Open, In, Tested, Rejected: // what lies in it is not covered yet
		return []draw.Item{
			draw.Area{Layer: "trench", ID: id, Pts: band, Fill: true, FillInk: draw.InkChalk},
			draw.Line{Layer: "trench", ID: id, Pen: pen(draw.InkText, narrow), Pts: band, Close: true},
		}
	case Covered:
		return []draw.Item{draw.Area{Layer: "trench", ID: id, Pts: band, Hatch: 2.5, HatchPen: pen(draw.InkPatina, hair)}}
	}
	return []draw.Item{draw.Line{Layer: "trench", ID: id, Pen: pen(draw.InkPencil, hair, 2, 2), Pts: band, Close: true}}
}

// FenceLine is a stretch of fence: a line with an x every 6 mm.
func FenceLine(id string, a, b draw.Pt) []draw.Item {
	d := dist(a, b)
	if d < 1e-6 {
		return nil
	}
	items := []draw.Item{draw.Line{Layer: "fence", ID: id, Pen: pen(draw.InkText, narrow), Pts: []draw.Pt{a, b}}}
	n := int(d / 6)
	if n == 0 && d > 3 {
		n = 1
	}
	along([]draw.Pt{a, b}, (d-6*float64(n-1))/2, 6, min(n, 2000), func(at draw.Pt, deg float64) {
		f := newFrame(at, deg)
		items = append(items,
			draw.Line{Layer: "fence", ID: id, Pen: pen(draw.InkText, hair), Pts: f.pts(-0.6, -0.6, 0.6, 0.6)},
			draw.Line{Layer: "fence", ID: id, Pen: pen(draw.InkText, hair), Pts: f.pts(-0.6, 0.6, 0.6, -0.6)})
	})
	return items
}

// GateLeaves are the leaves of a gate drawn open, each with the quarter arc
// that it sweeps. in is the direction into the fence on paper.
func GateLeaves(id string, from, to, in draw.Pt, leaves int) []draw.Item {
	d := dist(from, to)
	if d < 1e-6 {
		return nil
	}
	var items []draw.Item
	leaf := func(post, shut draw.Pt) {
		r := dist(post, shut)
		open := draw.Pt{X: post.X + in.X*r, Y: post.Y + in.Y*r}
		items = append(items, draw.Line{Layer: "gate", ID: id, Pen: pen(draw.InkText, medium), Pts: []draw.Pt{post, open}})
		a0, a1 := angleOf(post, shut), angleOf(post, open)
		for a1-a0 > 180 {
			a1 -= 360
		}
		for a1-a0 < -180 {
			a1 += 360
		}
		if a0 > a1 {
			a0, a1 = a1, a0
		}
		items = append(items, draw.Arc{Layer: "gate", ID: id, Pen: pen(draw.InkText, hair), C: post, R: r, A0: a0, A1: a1})
	}
	if leaves >= 2 {
		mid := lerp(from, to, 0.5)
		leaf(from, mid)
		leaf(to, mid)
	} else {
		leaf(from, to)
	}
	return items
}

// located is the public colour and letter of a line that others have located.
func located(service string) (draw.Ink, string) {
	switch service {
	case "electric":
		return draw.InkRed, "E"
	case "communication":
		return draw.InkOrange, "C"
	case "gas":
		return draw.InkYellow, "G"
	case "water":
		return draw.InkBlue, "W"
	case "sewer":
		return draw.InkGreen, "S"
	}
	return draw.InkText, ""
}

// LocatedLine is a line located by others in its public colour, dashed long
// and short, with the edges of the band in which it may lie. The letters are
// placed with the other labels.
func LocatedLine(id string, pts []draw.Pt, service string, band float64) []draw.Item {
	pts = clean(pts)
	if len(pts) < 2 {
		return nil
	}
	i, _ := located(service)
	items := []draw.Item{draw.Line{Layer: "located", ID: id, Pen: pen(i, medium, 12, 4, 2, 4), Pts: pts}}
	if band > 0.6 {
		items = append(items,
			draw.Line{Layer: "located", ID: id, Pen: pen(i, hair, 1, 2), Pts: beside(pts, band)},
			draw.Line{Layer: "located", ID: id, Pen: pen(i, hair, 1, 2), Pts: beside(pts, -band)})
	}
	return items
}

// CrayonStrokes cross a line every 8 mm: struck, or taken away by a change.
func CrayonStrokes(id string, pts []draw.Pt) []draw.Item {
	var items []draw.Item
	along(clean(pts), 4, 8, 1000, func(at draw.Pt, deg float64) {
		f := newFrame(at, deg)
		items = append(items, draw.Line{Layer: "struck", ID: id, Pen: pen(draw.InkCrayon, medium), Pts: f.pts(-1, 1.4, 1, -1.4)})
	})
	return items
}

// dimension is a measured length: a thin line with short oblique strokes at
// its ends, and the lines that carry it out from the thing measured. off is
// how far it stands beside a to b, to the right of its direction on paper.
// The length itself is a label, placed with the others.
func dimension(id string, a, b draw.Pt, off float64) (items []draw.Item, line [2]draw.Pt) {
	f := newFrame(a, angleOf(a, b))
	d := dist(a, b)
	p, q := f.pt(0, off), f.pt(d, off)
	side := 1.0
	if off < 0 {
		side = -1
	}
	l := pen(draw.InkText, hair)
	add := func(pts ...draw.Pt) { items = append(items, draw.Line{Layer: "dimension", ID: id, Pen: l, Pts: pts}) }
	add(f.pt(-1, off), f.pt(d+1, off))
	if math.Abs(off) > 2 {
		add(f.pt(0, side*1.6), f.pt(0, off+side*1))
		add(f.pt(d, side*1.6), f.pt(d, off+side*1))
	}
	for _, e := range []float64{0, d} {
		add(f.pt(e-0.8, off+0.8), f.pt(e+0.8, off-0.8))
	}
	return items, [2]draw.Pt{p, q}
}
