package pdf

import (
	"regexp"
	"strings"

	"stubup/base/draw"
	"stubup/base/sheet"
	"stubup/internal/render/sign"
)

const (
	columnGap = 4.0 // between columns, mm
	cellPad   = 0.7 // above and below the text of a row
	handRow   = 9.0 // a row to be filled by hand
	// A column narrower than this holds no word; such a table is set as
	// records, one fact a line.
	narrowest = 12.0
)

// grid is a table with its columns decided.
type grid struct {
	t     *sheet.Table
	x     []float64 // left edges, from the left of the body
	w     []float64
	sign  []bool    // the column has marks, so its texts stand in from them
	right []bool    // set to the right
	frac  []float64 // widest part after the point, in columns aligned on it
	point []bool    // aligned on the point
	heads [][]string
	total float64
}

var plainNumber = regexp.MustCompile(`^[-+\x{2212}]?[0-9][0-9,]*(\.[0-9]+)?$`)

// cellText returns what a cell prints.
func cellText(c sheet.Cell) string { return strings.TrimSpace(sign.Said(c.Text, c.Mark)) }

// fraction returns the width of what follows the last whole digit.
func fraction(s string, bold bool) float64 {
	if i := strings.IndexByte(s, '.'); i >= 0 {
		return draw.TextWidth(s[i:], small, bold)
	}
	return 0
}

func cellAt(r sheet.Row, j int) sheet.Cell {
	if j < len(r) {
		return r[j]
	}
	return sheet.Cell{}
}

// columns decides widths and alignment; ok is false when the table has too
// many columns for the page.
func columns(t *sheet.Table, width float64) (g *grid, ok bool) {
	n := len(t.Columns)
	for _, r := range t.Rows {
		n = max(n, len(r))
	}
	if n == 0 {
		return nil, false
	}
	g = &grid{
		t: t, x: make([]float64, n), w: make([]float64, n), sign: make([]bool, n),
		right: make([]bool, n), frac: make([]float64, n), point: make([]bool, n), heads: make([][]string, n),
	}
	need, want := make([]float64, n), make([]float64, n) // longest word, whole text
	given := make([]float64, n)
	for j := range n {
		var c sheet.Column
		if j < len(t.Columns) {
			c = t.Columns[j]
		}
		given[j] = c.Width
		numbers, plain, any := true, true, false
		var whole, wholeFrac float64
		for _, r := range t.Rows {
			cell := cellAt(r, j)
			g.sign[j] = g.sign[j] || cell.Mark != sheet.Plain
			s := cellText(cell)
			if s == "" {
				continue
			}
			any = true
			numbers = numbers && cell.IsNum
			isPlain := plainNumber.MatchString(s)
			plain = plain && (isPlain || !cell.IsNum)
			if isPlain {
				fw := fraction(s, cell.Bold)
				wholeFrac = max(wholeFrac, fw)
				whole = max(whole, draw.TextWidth(s, small, cell.Bold)-fw)
			}
			need[j] = max(need[j], longestWord(s, cell.Bold))
			want[j] = max(want[j], widest(s, cell.Bold))
		}
		g.right[j] = c.Align == sheet.Right || (c.Align == sheet.Left && any && numbers)
		if g.right[j] && plain && wholeFrac > 0 {
			g.point[j], g.frac[j] = true, wholeFrac
			// Numbers standing on the point take more room than the widest.
			need[j], want[j] = max(need[j], whole+wholeFrac), max(want[j], whole+wholeFrac)
		}
		need[j] = max(need[j], longestWord(c.Head, true), longestWord(unitOf(c), false), 4)
		want[j] = max(want[j], min(draw.TextWidth(c.Head, small, true), 30), need[j])
		if g.sign[j] {
			need[j], want[j] = need[j]+signWidth, want[j]+signWidth
		}
	}
	room := width - columnGap*float64(n-1)
	if room/float64(n) < narrowest {
		return nil, false
	}
	g.share(room, need, want, given)
	x := 0.0
	for j := range n {
		g.x[j] = x
		x += g.w[j] + columnGap
		if j < len(t.Columns) {
			c := t.Columns[j]
			g.heads[j] = draw.Wrap(c.Head, g.textWidth(j), small, true)
			g.heads[j] = append(g.heads[j], draw.Wrap(unitOf(c), g.textWidth(j), small, false)...)
		}
	}
	g.total = x - columnGap
	return g, true
}

// textWidth returns what the marks of a column leave for its text.
func (g *grid) textWidth(j int) float64 {
	if g.sign[j] {
		return g.w[j] - signWidth
	}
	return g.w[j]
}

func unitOf(c sheet.Column) string {
	if c.Unit == "" {
		return ""
	}
	return "(" + c.Unit + ")"
}

// share divides the room: columns with a given share first, the rest between
// the longest word and the whole text of each.
func (g *grid) share(room float64, need, want, given []float64) {
	var shares float64
	for _, s := range given {
		shares += s
	}
	scale := 1.0
	if shares > 1 {
		scale = 1 / shares
	}
	var sumNeed, sumWant float64
	for j := range g.w {
		if given[j] > 0 {
			// A share is never cut below its longest word.
			need[j] = max(need[j], given[j]*scale*room)
			want[j] = need[j]
		}
		sumNeed += need[j]
		sumWant += want[j]
	}
	switch {
	case sumWant <= room:
		copy(g.w, want)
		if g.t.Blank > 0 && shares == 0 {
			for j := range g.w { // room to write in
				g.w[j] += (room - sumWant) / float64(len(g.w))
			}
		}
	case sumNeed <= room:
		// Narrow columns keep their whole text; the wide ones share what is
		// left, so that few cells wrap.
		most := limit(room, func(most float64, j int) float64 { return max(need[j], min(want[j], most)) }, len(g.w))
		for j := range g.w {
			g.w[j] = max(need[j], min(want[j], most))
		}
	default:
		// Not even the longest words fit: the narrow columns keep theirs and
		// the others share what is left.
		most := limit(room, func(most float64, j int) float64 { return min(need[j], most) }, len(g.w))
		for j := range g.w {
			g.w[j] = min(need[j], most)
		}
	}
}

// limit returns the largest value for which the widths of n columns, each a
// growing function of it, sum to no more than the room.
func limit(room float64, width func(most float64, j int) float64, n int) float64 {
	lo, hi := 0.0, room
	for range 60 {
		mid := (lo + hi) / 2
		var sum float64
		for j := range n {
			sum += width(mid, j)
		}
		if sum > room {
			hi = mid
		} else {
			lo = mid
		}
	}
	return lo
}

func longestWord(s string, bold bool) float64 {
	var w float64
	for word := range strings.FieldsSeq(s) {
		w = max(w, draw.TextWidth(word, small, bold))
	}
	return w
}

func widest(s string, bold bool) float64 {
	var w float64
	for line := range strings.Lines(s) {
		w = max(w, draw.TextWidth(strings.TrimRight(line, "\n"), small, bold))
	}
	return w
}

// headHeight returns the height of the heads with the rule under them.
func (g *grid) headHeight() float64 {
	n := 0
	for _, h := range g.heads {
		n = max(n, len(h))
	}
	if n == 0 {
		return 1
	}
	return float64(n)*lineOf(small) + 2*cellPad
}

func (g *grid) rowLines(r sheet.Row) (cells [][]string, n int) {
	cells = make([][]string, len(g.w))
	for j := range g.w {
		c := cellAt(r, j)
		cells[j] = draw.Wrap(cellText(c), g.textWidth(j), small, c.Bold)
		n = max(n, len(cells[j]))
	}
	return cells, max(n, 1)
}

// place sets one line of a cell in its column; x is the left of the body.
func (f *flow) cell(g *grid, j int, y float64, s string, bold, number bool) {
	x0 := f.body.X0 + g.x[j]
	x1 := x0 + g.w[j]
	if g.sign[j] {
		x0 += signWidth
	}
	centre := j < len(g.t.Columns) && g.t.Columns[j].Align == sheet.Centre
	switch {
	case centre:
		f.put((x0+x1)/2, base(y, small), s, small, bold, draw.Middle)
	case g.right[j]:
		if number && g.point[j] && plainNumber.MatchString(s) {
			x1 -= g.frac[j] - fraction(s, bold)
		}
		f.put(x1, base(y, small), s, small, bold, draw.End)
	default:
		f.put(x0, base(y, small), s, small, bold, draw.Start)
	}
}

// tableHead sets title and heads at the top of a table and of each sheet it
// runs on to.
func (f *flow) tableHead(g *grid, title []string) {
	f.part = "table"
	for _, l := range title {
		f.put(f.body.X0, base(f.y, middle), l, middle, true, draw.Start)
		f.y += lineOf(middle)
	}
	if len(title) > 0 {
		f.y += 0.5
	}
	h := g.headHeight()
	tall := 0
	for _, head := range g.heads {
		tall = max(tall, len(head))
	}
	for j, head := range g.heads {
		units := 0
		if j < len(g.t.Columns) {
			units = len(draw.Wrap(unitOf(g.t.Columns[j]), g.textWidth(j), small, false))
		}
		for i, l := range head {
			y := f.y + cellPad + float64(tall-len(head)+i)*lineOf(small)
			f.cell(g, j, y, l, i < len(head)-units, false)
		}
	}
	f.y += h
	f.rule(f.body.X0, f.body.X1, f.y, draw.InkText, 0.35)
	f.top = false
}

func (f *flow) table(t *sheet.Table) {
	f.gap(5)
	f.ensure(0)
	if f.err != nil {
		return
	}
	width := f.body.X1 - f.body.X0
	g, ok := columns(t, width)
	title := draw.Wrap(t.Title, width, middle, true)
	titleHeight := float64(len(title)) * lineOf(middle)
	if !ok || g.headHeight()+titleHeight > 0.35*(f.body.Y1-f.body.Y0) {
		f.records(t, title)
		return
	}
	head := titleHeight + 0.5 + g.headHeight()

	if len(t.Rows) == 0 && t.Blank == 0 {
		says := t.Empty
		if says == "" {
			says = "none"
		}
		f.ensure(titleHeight + 2*lineOf(small))
		f.part = "table"
		f.lines(f.body.X0, title, middle, true)
		f.part = "table"
		f.lines(f.body.X0, draw.Wrap(says, width, small, false), small, false)
		f.notes(t)
		return
	}

	again := title
	if len(title) > 0 {
		again = draw.Wrap(joined(t.Title, "continued"), width, middle, true)
	}
	first := true
	start := func(h float64) { // sees that a row of h fits, under a head
		switch {
		case first:
			f.ensure(head + h)
			f.tableHead(g, title)
			first = false
		case f.y+h > f.body.Y1:
			f.closeTable()
			f.fresh()
			if f.err == nil {
				f.tableHead(g, again)
			}
		}
	}
	for _, r := range t.Rows {
		cells, n := g.rowLines(r)
		// A row taller than a sheet is cut between its lines; any other is
		// kept whole.
		most := int((f.body.Y1 - f.body.Y0 - head - 2*lineOf(middle) - 2*cellPad) / lineOf(small))
		for from := 0; from < n; from += most {
			to := min(from+most, n)
			start(float64(to-from)*lineOf(small) + 2*cellPad)
			if f.err != nil {
				return
			}
			f.part = "table"
			f.y += cellPad
			for j := range cells {
				c := cellAt(r, j)
				if from == 0 {
					f.mark(f.body.X0+g.x[j], f.y, c.Mark)
				}
				for i := from; i < min(to, len(cells[j])); i++ {
					f.cell(g, j, f.y+float64(i-from)*lineOf(small), cells[j][i], c.Bold, c.IsNum)
				}
			}
			f.y += float64(to-from)*lineOf(small) + cellPad
			f.rule(f.body.X0, f.body.X1, f.y, draw.InkRule, 0.18)
		}
	}
	for range t.Blank {
		start(handRow)
		if f.err != nil {
			return
		}
		f.y += handRow
		for j := range g.w {
			f.rule(f.body.X0+g.x[j], f.body.X0+g.x[j]+g.w[j], f.y, draw.InkPencil, 0.18)
		}
	}
	f.closeTable()
	f.notes(t)
}

// closeTable rules off below the last row on a sheet.
func (f *flow) closeTable() {
	f.rule(f.body.X0, f.body.X1, f.y, draw.InkText, 0.25)
}

func (f *flow) notes(t *sheet.Table) {
	if len(t.Notes) == 0 {
		return
	}
	f.y += 1
	for _, n := range t.Notes {
		f.part = "table"
		f.lines(f.body.X0, draw.Wrap(n, f.body.X1-f.body.X0, small, false), small, false)
	}
}

// records sets a table that is too wide for columns: each row as lines of
// head and value.
func (f *flow) records(t *sheet.Table, title []string) {
	f.ensure(float64(len(title))*lineOf(middle) + 3*lineOf(small))
	f.part = "table"
	f.lines(f.body.X0, title, middle, true)
	if len(t.Rows) == 0 {
		says := t.Empty
		if says == "" {
			says = "none"
		}
		f.part = "table"
		f.lines(f.body.X0, draw.Wrap(says, f.body.X1-f.body.X0, small, false), small, false)
	}
	for _, r := range t.Rows {
		f.gap(1.5)
		for j, c := range r {
			s := cellText(c)
			if s == "" {
				continue
			}
			head := ""
			if j < len(t.Columns) {
				head = strings.TrimSpace(t.Columns[j].Head + " " + unitOf(t.Columns[j]))
			}
			for _, l := range leadLines(head, s, f.body.X1-f.body.X0) {
				f.ensure(lineOf(small))
				f.part = "table"
				for _, sp := range l {
					f.put(f.body.X0+sp.x, base(f.y, small), sp.s, small, sp.bold, draw.Start)
				}
				f.y += lineOf(small)
				f.top = false
			}
		}
	}
	f.notes(t)
}
