package layout

import (
	"math"
	"slices"
	"strings"

	"stubup/base/draw"
	"stubup/base/unit"
)

// The figures stand beside the sketch, as on the left page of a field book:
// heads, scale, signs, and what could not be lettered on the sketch.

const (
	textSize = draw.MinText
	rowPitch = 4.6 // of lines of text, and of the ruling under them, mm
	baseline = 3.3 // of a line of text, from the top of its row
	colWidth = 64.0
	colGap   = 5.0
)

// block is a piece of the figures, some rows of one column high. Its items
// are made with its upper left corner at the origin.
type block struct {
	rows  int
	plain bool // no ruling under it
	items []draw.Item
}

func (b block) h() float64 { return float64(b.rows) * rowPitch }

func (b *block) add(o block) {
	b.items = append(b.items, below(o.items, b.h())...)
	b.rows += o.rows
}

// textBlock sets a text in rows. A larger one takes two rows a line.
func textBlock(s string, size float64, bold bool, width float64) block {
	var b block
	each := int(math.Ceil((draw.Ascent(size) + draw.Descent(size)) / rowPitch))
	for _, l := range draw.Wrap(s, width, size, bold) {
		b.rows += each
		b.items = append(b.items, draw.Text{Layer: "figures", At: draw.Pt{X: 0, Y: b.h() - rowPitch + baseline}, Size: size, Bold: bold, S: l})
	}
	return b
}

// signBlock is a row of the signs: the sign, then what it is.
func signBlock(items []draw.Item, words string, width float64) block {
	const left = 19.0
	t := textBlock(words, textSize, false, width-left)
	b := block{rows: max(1, t.rows)}
	for _, it := range t.items {
		b.items = append(b.items, draw.Moved(it, left, 0))
	}
	if sb, ok := draw.Bounds(items); ok {
		for _, it := range items {
			b.items = append(b.items, draw.Moved(it, 8-(sb.X0+sb.X1)/2, rowPitch/2-(sb.Y0+sb.Y1)/2))
		}
	}
	return b
}

// flow sets blocks into columns of height h from (x, y) on, and returns the
// items, ruling first, and how many columns they take.
func flow(blocks []block, x, y, h float64) (items []draw.Item, cols int) {
	cx, cy := x, 0.0
	cols = 1
	var texts []draw.Item
	for _, b := range blocks {
		if cy > 0 && cy+b.h() > h+1e-6 {
			cx += colWidth + colGap
			cols++
			cy = 0
		}
		texts = append(texts, moved(b.items, cx, y+cy)...)
		for k := range b.rows {
			if !b.plain {
				ly := y + cy + float64(k+1)*rowPitch
				items = append(items, draw.Line{Layer: "ruling", Pen: pen(draw.InkRule, hair), Pts: []draw.Pt{{X: cx, Y: ly}, {X: cx + colWidth, Y: ly}}})
			}
		}
		cy += b.h()
	}
	return append(items, texts...), cols
}

func moved(items []draw.Item, dx, dy float64) []draw.Item {
	out := make([]draw.Item, len(items))
	for i, it := range items {
		out[i] = draw.Moved(it, dx, dy)
	}
	return out
}

func below(items []draw.Item, dy float64) []draw.Item { return moved(items, 0, dy) }

// FoldingRule is the scale bar: the leaves of a folding rule laid end to end,
// feet over it and metres under it. It returns the items with the rule's left
// end at the origin, and how high and wide they are.
func FoldingRule(u unit.System, s Scale, most float64) (items []draw.Item, w, h float64) {
	step := func(unitMM float64) float64 {
		for e := -2; e < 14; e++ {
			for _, m := range []float64{1, 2, 5} {
				if v := m * math.Pow(10, float64(e)); v*unitMM >= 8 {
					return v
				}
			}
		}
		return math.Pow(10, 14)
	}
	ft, m := s.mm(float64(unit.Foot)), s.mm(1)
	first, second := ft, m
	firstWord, secondWord := "ft", "m"
	if u == unit.SI {
		first, second, firstWord, secondWord = m, ft, "m", "ft"
	}
	sign := sign{layer: "scale"}
	const up, leaf = 4.6, 2.0
	d := step(first)
	n := int(math.Floor((most - 4) / (d * first)))
	n = max(1, min(n, 6))
	for k := range n {
		x0, x1 := float64(k)*d*first, float64(k+1)*d*first
		// The leaves of a folding rule lie over each other in turn.
		y := up
		if k%2 == 1 {
			y += 0.5
		}
		sign.line(pen(draw.InkText, narrow), true, draw.Pt{X: x0, Y: y}, draw.Pt{X: x1, Y: y}, draw.Pt{X: x1, Y: y + leaf}, draw.Pt{X: x0, Y: y + leaf})
		parts := 5
		for q := 1; q < parts; q++ {
			x := x0 + (x1-x0)*float64(q)/float64(parts)
			sign.line(pen(draw.InkText, hair), false, draw.Pt{X: x, Y: y}, draw.Pt{X: x, Y: y + leaf*0.45})
		}
		if k > 0 {
			sign.disc(draw.InkText, draw.Pt{X: x0, Y: up + 0.25 + leaf/2}, 0.55)
		}
	}
	end := float64(n) * d * first
	// The numbers: the last with its unit first, so that it is always there,
	// then as many of the others as have room.
	numbers := func(each, per float64, n int, y float64, unitWord string) {
		var had []draw.Box
		for _, k := range append([]int{n}, seq(n)...) {
			t := draw.Text{Layer: "scale", At: draw.Pt{X: float64(k) * per, Y: y}, Size: textSize, Anchor: draw.Middle, S: unit.Trim(float64(k)*each, 2)}
			switch {
			case k == n:
				t.At.X = max(0, t.At.X-draw.TextWidth(t.S, textSize, false)/2)
				t.Anchor, t.S = draw.Start, t.S+" "+unitWord
			case k == 0:
				t.Anchor = draw.Start
			}
			b := t.Box()
			if b.X0 < -1e-9 || slices.ContainsFunc(had, func(o draw.Box) bool { return o.Grow(0.8).Overlaps(b) }) {
				continue
			}
			had = append(had, b)
			sign.items = append(sign.items, t)
			w, h = max(w, b.X1), max(h, b.Y1)
		}
	}
	numbers(d, d*first, n, up-1.2, firstWord)
	// Second units under it, as marks of their own.
	d2 := step(second)
	y := up + leaf + 1.4
	h = max(h, y+1)
	sign.line(pen(draw.InkText, hair), false, draw.Pt{X: 0, Y: y}, draw.Pt{X: end, Y: y})
	n2 := max(0, min(200, int(math.Floor(end/(d2*second)+1e-9))))
	for k := range n2 + 1 {
		x := float64(k) * d2 * second
		sign.line(pen(draw.InkText, hair), false, draw.Pt{X: x, Y: y}, draw.Pt{X: x, Y: y + 1})
	}
	numbers(d2, d2*second, n2, y+4.2, secondWord)
	return sign.items, max(w, end), h
}

func seq(n int) []int {
	out := make([]int, max(n, 0))
	for i := range out {
		out[i] = i
	}
	return out
}

// figures writes the page beside the sketch.
func (m *maker) figures() {
	const w = colWidth
	var head block
	name := m.s.Name
	if name == "" {
		name = "Site without a name"
	}
	title := textBlock(name, 5, true, w)
	if title.rows > 4 {
		title = textBlock(name, textSize, true, w)
	}
	head.add(title)
	if m.s.Revision != "" {
		head.add(textBlock("revision "+m.s.Revision, 3.5, true, w))
	}
	head.add(textBlock("Layout: where everything goes. Plan.", textSize, false, w))
	head.plain = true
	scale := textBlock(m.scale.Text(), textSize, true, w-14)
	scale.add(textBlock("Print at 100 %.", textSize, false, w-14))
	rule, _, rh := FoldingRule(m.s.Units, m.scale, w-14)
	scale.items = append(scale.items, below(rule, scale.h()+0.6)...)
	scale.rows += int(math.Ceil((rh + 0.6) / rowPitch))
	scale.rows = max(scale.rows, 5)
	scale.items = append(scale.items, NorthSign(draw.Pt{X: w - 5, Y: 5}, 15, 0)...)
	scale.items = append(scale.items, draw.Text{Layer: "north", At: draw.Pt{X: w - 5, Y: 3.6}, Size: textSize, Anchor: draw.Middle, Bold: true, S: "N"})
	scale.plain = true
	state := "State: nothing is known to be in yet."
	for key := range m.seen {
		if strings.HasPrefix(key, "progress ") {
			state = "State of the work: as drawn, at a time not given."
		}
	}
	if m.s.State.AsOf != "" {
		state = "State of the work as of " + m.s.State.AsOf + "."
	}
	said := textBlock(state, textSize, false, w)
	said.add(textBlock(caution, textSize, false, w))
	blocks := []block{head, scale, said, textBlock("Signs", textSize, true, w)}
	for _, s := range m.signList() {
		blocks = append(blocks, signBlock(s.items, s.words, w))
	}
	if len(m.listed) > 0 {
		blocks = append(blocks, textBlock("Not lettered on the sketch for want of room; the point list says where they are:", textSize, true, w))
		for _, l := range draw.Wrap(strings.Join(m.listed, ", "), w, textSize, false) {
			blocks = append(blocks, textBlock(l, textSize, false, w))
		}
	}
	x, y, h, cols := 0.0, 1.0, m.d.H-2, 1
	if m.foot {
		y = m.field.Y1 + 3
		h = m.d.H - 1 - y
		cols = max(1, int((m.d.W+colGap)/(colWidth+colGap)))
	}
	// What is laid out, in figures, where there is room left for it.
	full := append([]block{}, blocks...)
	full = append(full, textBlock("Figures", textSize, true, w))
	for _, l := range summary(m.v) {
		full = append(full, textBlock(strings.Join(strings.Fields(l), " "), textSize, false, w))
	}
	items, used := flow(full, x, y, h)
	if used > cols || slices.ContainsFunc(full, func(b block) bool { return b.h() > h }) {
		items, used = flow(blocks, x, y, h)
	}
	tallest := 0.0
	for _, b := range blocks {
		tallest = max(tallest, b.h())
	}
	for used > cols || tallest > h {
		m.overrun += rowPitch
		h += rowPitch
		items, used = flow(blocks, x, y, h)
	}
	m.d.H += m.overrun
	var rules []draw.Item
	line := func(a, b draw.Pt) {
		rules = append(rules, draw.Line{Layer: "ruling", Pen: pen(draw.InkRule, medium), Pts: []draw.Pt{a, b}})
	}
	if m.foot {
		line(draw.Pt{X: 0, Y: y - 1.2}, draw.Pt{X: m.d.W, Y: y - 1.2})
		line(draw.Pt{X: 0, Y: y - 2}, draw.Pt{X: m.d.W, Y: y - 2})
	} else {
		line(draw.Pt{X: colWidth + 2, Y: 0}, draw.Pt{X: colWidth + 2, Y: m.d.H})
		line(draw.Pt{X: colWidth + 2.8, Y: 0}, draw.Pt{X: colWidth + 2.8, Y: m.d.H})
	}
	m.d.Items = append(rules, m.d.Items...)
	m.add(items...)
}
