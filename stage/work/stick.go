package work

import (
	"cmp"
	"fmt"
	"math"

	"stubup/base/draw"
	"stubup/base/sheet"
	"stubup/base/stable"
	"stubup/base/unit"
)

// Paper sizes of a stick drawing, mm.
const (
	stickWide   = 180.0 // of the drawing
	stickMargin = 8.0
	stickWords  = 44.0 // room for words beyond the end of the pipe
	pipeHigh    = 5.0
	letterHigh  = draw.MinText
	lineHigh    = 4.6 // from one line of labels to the next
	dialRound   = 2.7 // radius of a dial
	dialHigh    = 7.0 // from one dial to the next
)

// label is a text over or under the pipe with the mark that it belongs to.
type label struct {
	x    float64 // of its mark
	text string
	bold bool
	box  draw.Box
	row  int
}

// rows places labels in as few rows as keep them apart and returns how many.
// Every label starts at its leader and reads to the right; one whose words
// reach over the leaders to its right stands in a row beyond all of theirs, so
// that no leader runs through words.
func rows(ls []label) int {
	stable.Sort(ls, func(a, b label) int { return cmp.Compare(a.x, b.x) })
	most := 0
	for i := len(ls) - 1; i >= 0; i-- {
		l := &ls[i]
		l.box.X0 = l.x + 0.8
		l.box.X1 = l.box.X0 + draw.TextWidth(l.text, letterHigh, l.bold)
		for _, o := range ls[i+1:] {
			if o.x < l.box.X1+1 {
				l.row = max(l.row, o.row+1)
			}
		}
		most = max(most, l.row+1)
	}
	return most
}

// Draw returns the stick as a straight bar with its marks, to scale along the
// pipe and measured from the left end: what is marked on the pipe in bold, the
// start and the end of each arc, and for each bend a dial that shows which way
// it goes, seen along the pipe from the measuring end with the first bend up.
func (s Stick) Draw(sys unit.System) *draw.Drawing {
	scale := (stickWide - stickMargin - stickWords) / float64(s.Cut)
	x := func(m unit.Metre) float64 { return stickMargin + float64(m)*scale }
	var over, under []label
	for i, b := range s.Bends {
		arrow := b.Shoe != ""
		if arrow {
			over = append(over, label{x: x(b.Arrow), text: "arrow " + mark(sys, b.Arrow), bold: true})
		}
		over = append(over, label{x: x(b.Start), text: mark(sys, b.Start), bold: !arrow})
		over = append(over, label{x: x(b.End), text: "to " + mark(sys, b.End)})
		t := fmt.Sprintf("%s deg, R %s", unit.Trim(float64(b.Angle), 1), sys.Short(b.Radius))
		under = append(under, label{x: x(b.Middle), text: fmt.Sprintf("bend %d: %s", i+1, t), bold: true})
	}
	up, down := rows(over), rows(under)
	top := 9.0 + float64(up)*lineHigh + 2 // of the pipe
	foot := top + pipeHigh + 3 + float64(down)*lineHigh
	d := &draw.Drawing{
		ID: fmt.Sprintf("stick-%s-%d", sheet.Key(s.Run), s.No), Title: s.Name(), W: stickWide,
		H:    foot + 4 + float64(len(s.Bends))*dialHigh + 2*lineHigh,
		Desc: fmt.Sprintf("%s: cut %s, %s, marks from the left end", s.Name(), sys.Length(s.Cut), plural(len(s.Bends), "bend")),
	}
	ink := func(w float64) draw.Pen { return draw.Pen{Ink: draw.InkText, Width: w} }
	line := func(layer string, w float64, pts ...draw.Pt) {
		d.Add(draw.Line{Layer: layer, Pen: ink(w), Pts: pts})
	}
	text := func(x, y float64, a draw.Anchor, bold bool, s string) {
		d.Add(draw.Text{Layer: "words", At: draw.Pt{X: x, Y: y}, Size: letterHigh, Anchor: a, Bold: bold, S: s})
	}
	text(stickMargin, 5, draw.Start, true, fmt.Sprintf("%s   %s %s   cut %s", s.Name(), s.Kind, s.Trade, sys.Length(s.Cut)))
	// The pipe, its arcs hatched.
	for _, b := range s.Bends {
		d.Add(draw.Area{Layer: "arc", Pts: []draw.Pt{{X: x(b.Start), Y: top}, {X: x(b.End), Y: top}, {X: x(b.End), Y: top + pipeHigh}, {X: x(b.Start), Y: top + pipeHigh}}, Hatch: 1.2, HatchPen: ink(0.18)})
	}
	d.Add(draw.Line{Layer: "pipe", Pen: ink(0.5), Close: true, Pts: []draw.Pt{{X: x(0), Y: top}, {X: x(s.Cut), Y: top}, {X: x(s.Cut), Y: top + pipeHigh}, {X: x(0), Y: top + pipeHigh}}})
	for _, b := range s.Bends {
		if b.Shoe == "" {
			line("mark", 0.5, draw.Pt{X: x(b.Start), Y: top - 1.5}, draw.Pt{X: x(b.Start), Y: top + pipeHigh + 1.5})
		} else {
			line("mark", 0.25, draw.Pt{X: x(b.Start), Y: top - 1}, draw.Pt{X: x(b.Start), Y: top + pipeHigh})
			line("mark", 0.5, draw.Pt{X: x(b.Arrow), Y: top - 1.5}, draw.Pt{X: x(b.Arrow), Y: top + pipeHigh + 1.5})
			// The head of the arrow points on along the pipe.
			mid := top + pipeHigh/2
			d.Add(draw.Area{Layer: "mark", Fill: true, FillInk: draw.InkText, Pts: []draw.Pt{{X: x(b.Arrow), Y: mid - 1}, {X: x(b.Arrow) + 1.6, Y: mid}, {X: x(b.Arrow), Y: mid + 1}}})
		}
		line("mark", 0.25, draw.Pt{X: x(b.End), Y: top - 1}, draw.Pt{X: x(b.End), Y: top + pipeHigh})
	}
	// The end that is measured from.
	line("zero", 0.7, draw.Pt{X: x(0), Y: top - 2.5}, draw.Pt{X: x(0), Y: top + pipeHigh + 2.5})
	text(stickMargin-1.5, top+pipeHigh/2+letterHigh/2, draw.End, true, "0")
	place := func(ls []label, y func(row int) float64, from float64) {
		for i := range ls {
			l := &ls[i]
			base := y(l.row)
			l.box.Y0, l.box.Y1 = base-letterHigh, base
			end := base - letterHigh
			if base > from {
				end = base
			}
			line("leader", 0.18, draw.Pt{X: l.x, Y: from}, draw.Pt{X: l.x, Y: end})
			text(l.box.X0, base, draw.Start, l.bold, l.text)
		}
	}
	place(over, func(row int) float64 { return top - 3 - float64(row)*lineHigh }, top-1)
	place(under, func(row int) float64 { return top + pipeHigh + 3 + letterHigh + float64(row)*lineHigh }, top+pipeHigh+1)
	for i, b := range s.Bends {
		c := draw.Pt{X: stickMargin + dialRound, Y: foot + 4 + (float64(i)+0.5)*dialHigh}
		d.Add(draw.Circle{Layer: "dial", C: c, R: dialRound, Pen: ink(0.25)})
		sin, cos := math.Sincos(float64(b.Roll) * math.Pi / 180)
		line("dial", 0.7, c, draw.Pt{X: c.X + dialRound*sin, Y: c.Y - dialRound*cos})
		text(c.X+dialRound+3, c.Y+letterHigh/2-0.3, draw.Start, false, fmt.Sprintf("bend %d  %s", i+1, b.TurnWords(i == 0)))
	}
	text(stickMargin, d.H-1.5, draw.Start, false, "measure every mark from the left end; dials and turns seen along the pipe from it; each bent upward")
	return d
}
