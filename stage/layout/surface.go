package layout

import (
	"fmt"
	"math"
	"slices"

	"stubup/answer"
	"stubup/base/draw"
	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/rule"
	"stubup/site"
	"stubup/trade/ground"
	"stubup/trade/shock"
)

// SurfaceSheet draws what the surface is at while the stated fault current
// leaves through the ground: lines of equal potential with their volts on them,
// over the ring, the fence and the things that stand there. It is nil where no
// such current is stated.
func SurfaceSheet(v rule.View) *draw.Drawing {
	s := v.Answer.SurfaceVoltage()
	if s == nil || s.Grid == nil {
		return nil
	}
	pp := papers(v.Site.Units)[0]
	const head, foot = 17.0, 12.0
	d := &draw.Drawing{ID: "surface", Title: "potential of the surface", W: pp.w, H: pp.h}
	g := s.Grid
	x1, y1 := g.X0+float64(g.NX-1)*g.Step, g.Y0+float64(g.NY-1)*g.Step
	sc := fit(v.Site.Units, x1-g.X0, y1-g.Y0, pp.w-4, pp.h-head-foot)
	origin := draw.Pt{X: (pp.w - sc.mm(x1-g.X0)) / 2, Y: head + (pp.h-head-foot+sc.mm(y1-g.Y0))/2}
	at := func(x, y float64) draw.Pt {
		return draw.Pt{X: origin.X + sc.mm(x-g.X0), Y: origin.Y - sc.mm(y-g.Y0)}
	}
	ats := func(ps []geom.Point) []draw.Pt {
		var out []draw.Pt
		for _, p := range ps {
			out = append(out, at(p.X, p.Y))
		}
		return out
	}
	b := newBoard(draw.Box{X0: 1, Y0: head, X1: pp.w - 1, Y1: pp.h - 1})
	var labels []*label
	for i := range v.Site.Objects {
		o := &v.Site.Objects[i]
		switch {
		case len(o.Outline) < 2 || o.Existing == site.Removed:
		case o.Kind == site.Fence:
			for _, side := range o.Outline.Sides() {
				d.Add(FenceLine(o.ID, at(side.A.X, side.A.Y), at(side.B.X, side.B.Y))...)
			}
		default:
			pts := ats(o.Outline)
			d.Add(draw.Line{Layer: "object", ID: o.ID, Pen: pen(draw.InkText, hair), Pts: pts, Close: true})
			c := o.Outline.Centroid()
			q := at(c.X, c.Y)
			labels = append(labels, &label{text: rule.Words(o), size: textSize, layer: "label", fixed: []cand{turned(rule.Words(o), q, 0, 0, false, true, 0)}})
		}
	}
	if r := v.Plan.Ring; r != nil {
		d.Add(draw.Line{Layer: "ring", ID: "ring", Pen: pen(draw.InkPencil, wide), Pts: ats(r.Polyline(0.02)), Close: true})
	}
	for _, r := range v.Plan.Rods {
		d.Add(draw.Circle{Layer: "rod", ID: r.ID, Pen: pen(draw.InkPencil, narrow), C: at(r.At.X, r.At.Y), R: 0.9})
	}
	for k, c := range s.Lines {
		text := unit.Figures(s.Levels[k], 3) + " V"
		for _, line := range c.Lines {
			var pts []draw.Pt
			for _, p := range line {
				pts = append(pts, at(p[0], p[1]))
			}
			pts = clean(pts)
			if len(pts) < 2 {
				continue
			}
			d.Add(draw.Line{Layer: "potential", ID: text, Pen: pen(draw.InkText, narrow), Pts: pts})
			b.polyline(pts, 0.2)
			l := &label{text: text, size: textSize, layer: "label", must: true}
			total := lengthOf(pts)
			if total < 14 {
				continue
			}
			for _, share := range []float64{0.5, 0.3, 0.7, 0.15, 0.85} {
				q := cutAt(pts, share*total)
				_, deg := nearestOn(pts, q)
				l.fixed = append(l.fixed, turned(text, q, deg, 0, false, true, math.Abs(share-0.5)))
			}
			labels = append(labels, l)
		}
	}
	over := overTouch(s, g, at, sc.mm(1))
	d.Add(over...)
	d.Add(worstMarks(v, at)...)
	b.settle(labels)
	for _, l := range labels {
		d.Add(l.items()...)
	}
	line := func(y float64, s string, bold bool) {
		d.Add(draw.Text{Layer: "text", At: draw.Pt{X: 1, Y: y}, S: s, Size: textSize, Bold: bold})
	}
	line(4, "Potential of the surface while "+v.Site.Fault.Earth.Text+" leaves through the ground, which then stands at "+s.Rise.Text, true)
	line(9, "Volts over far earth, ring and rods alone; other grounds and metal are left out. "+sc.Text()+", north up.", false)
	line(13.5, voltWords(v)+hatchWords(s, len(over) > 0), false)
	line(pp.h-2, shock.EngineerOnly, false)
	d.Desc = fmt.Sprintf("Plan with %d lines of equal potential of the surface, from %s; the ground stands at %s%s.", len(s.Lines), levelWords(s.Levels), s.Rise.Text, hatchWords(s, len(over) > 0))
	d.Items = sound(d.Items)
	return d
}

// overTouch hatches the ground from which metal can be reached that stands
// further over it than the stated body bears: strokes at 45 degrees, scale mm
// to the metre.
func overTouch(s *answer.Surface, g *ground.Grid, at func(x, y float64) draw.Pt, scale float64) []draw.Item {
	most, told := s.TouchLimit()
	if !told || scale <= 0 {
		return nil
	}
	const apart, step = 1.6, 0.25 // mm
	w, h := float64(g.NX-1)*g.Step*scale, float64(g.NY-1)*g.Step*scale
	var out []draw.Item
	// Along a stroke x - y is fixed, in mm from the corner of the grid.
	for c := -h; c < w; c += apart {
		from := math.NaN()
		x := math.Max(c, 0)
		for ; ; x += step {
			y := x - c
			end := x > w || y > h
			on := !end && s.TouchOver(g.X0+x/scale, g.Y0+y/scale, most)
			if on && math.IsNaN(from) {
				from = x
			}
			if !on && !math.IsNaN(from) {
				a, b := at(g.X0+from/scale, g.Y0+(from-c)/scale), at(g.X0+(x-step)/scale, g.Y0+(x-step-c)/scale)
				if b.X-a.X > 0.4 {
					out = append(out, draw.Line{Layer: "over", ID: "over the touch limit", Pen: pen(draw.InkText, hair), Pts: []draw.Pt{a, b}})
				}
				from = math.NaN()
			}
			if end {
				break
			}
		}
	}
	return out
}

// hatchWords says what is hatched, or why nothing is.
func hatchWords(s *answer.Surface, any bool) string {
	most, told := s.TouchLimit()
	switch {
	case !told:
		return "; no body and duration are stated, so nothing is hatched"
	case !any:
		return "; nowhere within reach of metal over the " + unit.Figures(most, 3) + " V that the body bears"
	}
	return "; hatched: within reach of metal over the " + unit.Figures(most, 3) + " V that the body bears"
}

func levelWords(l []float64) string {
	if len(l) == 0 {
		return "none"
	}
	return unit.Figures(slices.Min(l), 3) + " to " + unit.Figures(slices.Max(l), 3) + " V"
}

// voltWords says the worst touch and step voltage and where.
func voltWords(v rule.View) string {
	s := v.Answer.SurfaceVoltage()
	w := ""
	if s.TouchV != nil {
		w = "T: worst touch, " + s.TouchV.Text
	}
	if s.StepV != nil {
		if w != "" {
			w += "; "
		}
		w += "S: worst step, " + s.StepV.Text
	}
	return w
}

// worstMarks shows where the worst touch and step are.
func worstMarks(v rule.View, at func(x, y float64) draw.Pt) []draw.Item {
	s := v.Answer.SurfaceVoltage()
	var out []draw.Item
	mark := func(letter string, a, b [2]float64) {
		p, q := at(a[0], a[1]), at(b[0], b[1])
		out = append(out,
			draw.Line{Layer: "worst", ID: letter, Pen: pen(draw.InkText, wide), Pts: []draw.Pt{p, q}},
			draw.Circle{Layer: "worst", ID: letter, Pen: pen(draw.InkText, narrow), C: p, R: 0.7, Fill: true, FillInk: draw.InkText},
			draw.Circle{Layer: "worst", ID: letter, Pen: pen(draw.InkText, narrow), C: q, R: 0.7, Fill: true, FillInk: draw.InkText},
			draw.Text{Layer: "worst", ID: letter, At: draw.Pt{X: q.X + 1.6, Y: q.Y - 1.2}, S: letter, Size: textSize, Bold: true, Halo: true})
	}
	if s.TouchV != nil {
		mark("T", s.Touch.To, s.Touch.At)
	}
	if s.StepV != nil {
		mark("S", s.Step.At, s.Step.To)
	}
	return out
}
