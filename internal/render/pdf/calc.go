package pdf

import (
	"stubup/base/cite"
	"stubup/base/draw"
	"stubup/base/sheet"
	"stubup/base/trace"
)

// labelWidth is the column of the words before the lines of a calculation.
const labelWidth = 26.0

type calcLine struct {
	label, text string
	bold        bool
}

// calcLines returns what a calculation sheet says, in the order in which a
// reader checks it.
func calcLines(v *trace.Value) []calcLine {
	var out []calcLine
	add := func(label, text string) {
		if text != "" {
			out = append(out, calcLine{label: label, text: text})
		}
	}
	add("equation", v.By.Equation)
	add("numbers", v.By.Put)
	for i, u := range v.From {
		label := ""
		if i == 0 {
			label = "from"
		}
		s := u.Name + " = " + u.Text + " (" + u.Standing.String()
		if c := u.By.Cite.Full(); c != "" {
			s += "; " + c
		}
		add(label, s+")")
	}
	out = append(out, calcLine{label: "result", text: v.Text, bold: true})
	add("standing", v.Standing.String())
	source := v.By.Cite.Full()
	if v.By.Cite.Note != "" && source != "" {
		source += "; " + v.By.Cite.Note
	}
	if source == "" {
		source = "none stated"
	}
	if v.By.Cite.Seen != cite.FromMemory && v.Seen() == cite.FromMemory {
		source += "; leans on a figure from memory"
	}
	add("source", source)
	if v.Outside != "" {
		out = append(out, calcLine{label: "range", text: "outside its stated range: " + v.Outside, bold: true})
	}
	return out
}

func (f *flow) calc(c sheet.Calc) {
	v := c.Value
	if v == nil {
		return
	}
	f.gap(4.5)
	f.ensure(0)
	if f.err != nil {
		return
	}
	width := f.body.X1 - f.body.X0
	name := draw.Wrap(v.Name, width, middle, true)
	lines := calcLines(v)
	wrapped := make([][]string, len(lines))
	h := float64(len(name)) * lineOf(middle)
	for i, l := range lines {
		wrapped[i] = draw.Wrap(l.text, width-labelWidth, small, l.bold)
		h += float64(len(wrapped[i])) * lineOf(small)
	}
	// Kept on one sheet where it fits one.
	f.ensure(min(h+2, f.body.Y1-f.body.Y0))
	f.part = "calc"
	f.lines(f.body.X0, name, middle, true)
	for i, l := range lines {
		x := f.body.X0 + labelWidth
		for k, s := range wrapped[i] {
			f.ensure(lineOf(small))
			f.part = "calc"
			if k == 0 {
				f.put(f.body.X0, base(f.y, small), l.label, small, false, draw.Start)
			}
			f.put(x, base(f.y, small), s, small, l.bold, draw.Start)
			f.y += lineOf(small)
			f.top = false
		}
	}
	f.y += 1.5
	f.rule(f.body.X0, f.body.X1, f.y, draw.InkRule, 0.18)
}
