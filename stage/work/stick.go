package work

import (
	"cmp"
	"fmt"
	"slices"

	"stubup/base/draw"
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
	slices.SortStableFunc(ls, func(a, b label) int { return cmp.Compare(a.x, b.x) })
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

// Draw returns the stick as a straight bar with its marks: where each arc
// begins and ends, to scale along the pipe, measured from the left end.
func (s Stick) Draw(sys unit.System) *draw.Drawing {
	scale := (stickWide - stickMargin - stickWords) / float64(s.Cut)
	x := func(m unit.Metre) float64 { return stickMargin + float64(m)*scale }
	var over, under []label
	for i, b := range s.Bends {
		over = append(over, label{x: x(b.Start), text: sys.Length(b.Start), bold: true})
		over = append(over, label{x: x(b.End), text: "to " + sys.Length(b.End)})
		t := fmt.Sprintf("%s deg, R %s", unit.Trim(float64(b.Angle), 1), sys.Short(b.Radius))
		under = append(under, label{x: x(b.Middle), text: fmt.Sprintf("bend %d: %s", i+1, t), bold: true})
		if b.Shoe != "" {
			over = append(over, label{x: x(b.Arrow), text: "arrow " + sys.Length(b.Arrow)})
		}
	}
	up, down := rows(over), rows(under)
	top := 9.0 + float64(up)*lineHigh + 2 // of the pipe
	words := make([]string, len(s.Bends))
	for i, b := range s.Bends {
		words[i] = fmt.Sprintf("bend %d  %s", i+1, b.TurnWords(i == 0))
	}
	foot := top + pipeHigh + 3 + float64(down)*lineHigh
	d := &draw.Drawing{
		ID: fmt.Sprintf("stick-%s-%d", slug(s.Run), s.No), Title: s.Name(), W: stickWide,
		H:    foot + float64(len(words))*lineHigh + 9,
		Desc: fmt.Sprintf("%s: cut %s, %s, marks from the left end", s.Name(), sys.Length(s.Cut), plural(len(s.Bends), "bend")),
	}
	ink := func(w float64) draw.Pen { return draw.Pen{Ink: draw.InkText, Width: w} }
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
		d.Add(draw.Line{Layer: "mark", Pen: ink(0.5), Pts: []draw.Pt{{X: x(b.Start), Y: top - 1.5}, {X: x(b.Start), Y: top + pipeHigh + 1.5}}})
		d.Add(draw.Line{Layer: "mark", Pen: ink(0.25), Pts: []draw.Pt{{X: x(b.End), Y: top - 1}, {X: x(b.End), Y: top + pipeHigh}}})
	}
	place := func(ls []label, y func(row int) float64, from float64) {
		for i := range ls {
			l := &ls[i]
			base := y(l.row)
			l.box.Y0, l.box.Y1 = base-letterHigh, base
			end := base - letterHigh
			if base > from {
				end = base
			}
			d.Add(draw.Line{Layer: "leader", Pen: ink(0.18), Pts: []draw.Pt{{X: l.x, Y: from}, {X: l.x, Y: end}}})
			text(l.box.X0, base, draw.Start, l.bold, l.text)
		}
	}
	place(over, func(row int) float64 { return top - 3 - float64(row)*lineHigh }, top-1)
	place(under, func(row int) float64 { return top + pipeHigh + 3 + letterHigh + float64(row)*lineHigh }, top+pipeHigh+1)
	for i, w := range words {
		text(stickMargin, foot+5+float64(i)*lineHigh, draw.Start, false, w)
	}
	text(stickMargin, d.H-1.5, draw.Start, false, "measure every mark from the left end; turns as seen along the pipe from that end")
	return d
}

func slug(s string) string {
	out := []rune(s)
	for i, c := range out {
		if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9') {
			out[i] = '-'
		}
	}
	return string(out)
}
