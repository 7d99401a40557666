// Package text sets sheets for a terminal or a plain file: columns aligned by
// the width of their signs, long cells wrapped, and nothing that a screen
// reader or a search would stumble over.
package text

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"stubup/base/cite"
	"stubup/base/sheet"
	"stubup/internal/render/sign"
)

// Style is how the text is set. The zero value is 80 columns without color.
type Style struct {
	Width int  // columns; 0 means 80
	Color bool // bold heads and red signs of broken rules; the words stay the same
}

func (s Style) width() int {
	if s.Width <= 0 {
		return 80
	}
	return max(s.Width, 20)
}

const (
	esc   = "\x1b["
	bold  = esc + "1m"
	red   = esc + "31m"
	reset = esc + "0m"
)

func (s Style) bold(t string) string {
	if !s.Color || t == "" {
		return t
	}
	return bold + t + reset
}

// Table writes one table.
func Table(w io.Writer, t sheet.Table, s Style) error {
	p := &printer{w: bufio.NewWriter(w), s: s}
	p.table(t)
	return p.w.Flush()
}

// Block writes one block.
func Block(w io.Writer, b sheet.Block, s Style) error {
	p := &printer{w: bufio.NewWriter(w), s: s}
	p.block(b)
	return p.w.Flush()
}

// Book writes all pages.
func Book(w io.Writer, b *sheet.Book, s Style) error {
	p := &printer{w: bufio.NewWriter(w), s: s}
	p.para("", s.bold, join(b.Title, b.Sub))
	if b.Draft {
		p.line("draft, not final")
	}
	for _, pg := range b.Pages {
		p.line("")
		p.para("", s.bold, pg.Title)
		p.para("", nil, pg.Purpose)
		for _, blk := range pg.Blocks {
			p.line("")
			p.block(blk)
		}
	}
	if b.Foot != "" {
		p.line("")
		p.para("", nil, b.Foot)
	}
	return p.w.Flush()
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + ", " + b
}

type printer struct {
	w *bufio.Writer
	s Style
}

func (p *printer) line(s string) {
	p.w.WriteString(strings.TrimRight(s, " "))
	p.w.WriteByte('\n')
}

// para writes a wrapped paragraph after a prefix; later lines stand in as far
// as the prefix.
func (p *printer) para(prefix string, dress func(string) string, s string) {
	in := Width(prefix)
	for i, l := range wrap(s, p.s.width()-in) {
		if i > 0 {
			prefix = strings.Repeat(" ", in)
		}
		l = prefix + l
		if dress != nil {
			l = dress(l)
		}
		p.line(l)
	}
}

func (p *printer) block(b sheet.Block) {
	switch v := b.(type) {
	case sheet.Table:
		p.table(v)
	case sheet.Calc:
		p.calc(v)
	case sheet.Para:
		lead := ""
		text := strings.TrimSpace(v.Lead + " " + v.Text)
		if v.Mark != sheet.Plain {
			lead, text = sign.ASCII(v.Mark)+" ", sign.Said(text, v.Mark)
		}
		p.para(lead, func(l string) string { return p.dress(l, v.Mark) }, text)
	case sheet.List:
		p.para("", p.s.bold, v.Title)
		for _, l := range v.Lines {
			p.para("- ", nil, l)
		}
	case sheet.Figure:
		if d := v.Drawing; d != nil {
			p.para("", nil, fmt.Sprintf("drawing %s: %s (%.1f x %.1f in). %s", d.ID, d.Title, d.W/25.4, d.H/25.4, d.Desc))
		}
	}
}

// dress reddens the sign and words of a broken rule where color is asked.
func (p *printer) dress(l string, m sheet.Mark) string {
	if p.s.Color && m == sheet.Broken {
		return red + l + reset
	}
	return l
}

func (p *printer) calc(c sheet.Calc) {
	v := c.Value
	if v == nil {
		return
	}
	p.para("", p.s.bold, v.Name+": "+v.Text)
	say := func(label, text string) {
		if text != "" {
			p.para(fmt.Sprintf("  %-11s", label), nil, text)
		}
	}
	say("equation", v.By.Equation)
	say("numbers", v.By.Put)
	for i, u := range v.From {
		label := ""
		if i == 0 {
			label = "from"
		}
		what := u.Name + " = " + u.Text + " (" + u.Standing.String()
		if src := u.By.Cite.Full(); src != "" {
			what += "; " + src
		}
		say(label, what+")")
	}
	say("standing", v.Standing.String())
	source := v.By.Cite.Full()
	if source == "" {
		source = "none stated"
	}
	if v.By.Cite.Seen != cite.FromMemory && v.Seen() == cite.FromMemory {
		source += "; leans on a figure from memory"
	}
	say("source", source)
	if v.Outside != "" {
		say("range", "outside its stated range: "+v.Outside)
	}
}

func cellText(c sheet.Cell) string {
	s := sign.Said(c.Text, c.Mark)
	if a := sign.ASCII(c.Mark); a != "" {
		s = a + " " + s
	}
	return s
}

func head(c sheet.Column) string {
	if c.Unit == "" {
		return c.Head
	}
	return c.Head + " (" + c.Unit + ")"
}

const gap = 2

func (p *printer) table(t sheet.Table) {
	p.para("", p.s.bold, t.Title)
	if len(t.Rows) == 0 && t.Blank == 0 {
		says := t.Empty
		if says == "" {
			says = "none"
		}
		p.para("", nil, says)
		p.notes(t)
		return
	}
	n := len(t.Columns)
	for _, r := range t.Rows {
		n = max(n, len(r))
	}
	room := p.s.width() - gap*(n-1)
	if n == 0 || room/n < 5 {
		p.records(t)
		p.notes(t)
		return
	}
	need, want := make([]int, n), make([]int, n)
	right, any := make([]bool, n), make([]bool, n)
	for j := range n {
		right[j] = true
		take := func(s string, most int) {
			for _, l := range strings.Split(clean(s), "\n") {
				want[j] = max(want[j], min(Width(l), most))
				for _, word := range strings.Fields(l) {
					need[j] = max(need[j], min(Width(word), 24))
				}
			}
		}
		need[j], want[j] = 1, 1
		if j < len(t.Columns) {
			take(head(t.Columns[j]), 12) // a long head may wrap, its column being narrow
		}
		for _, r := range t.Rows {
			if j < len(r) && cellText(r[j]) != "" {
				any[j] = true
				right[j] = right[j] && r[j].IsNum
				take(cellText(r[j]), p.s.width())
			}
		}
		right[j] = right[j] && any[j]
		if j < len(t.Columns) && t.Columns[j].Align == sheet.Right {
			right[j] = true
		}
	}
	width := share(room, need, want)
	if tallness(t, width) > tooTall && t.Blank == 0 {
		p.briefs(t)
		p.notes(t)
		return
	}
	if len(t.Columns) > 0 {
		cells := make([][]string, n)
		rule := make([]string, n)
		for j := range n {
			if j < len(t.Columns) {
				cells[j] = wrap(head(t.Columns[j]), width[j])
			}
			rule[j] = strings.Repeat("-", width[j])
		}
		p.row(cells, width, right, p.s.bold)
		p.line(strings.Join(rule, strings.Repeat(" ", gap)))
	}
	for _, r := range t.Rows {
		cells := make([][]string, n)
		broken := false
		for j := range r {
			cells[j] = wrap(cellText(r[j]), width[j])
			broken = broken || r[j].Mark == sheet.Broken
		}
		dress := func(l string) string { return l }
		if broken {
			dress = func(l string) string { return p.dress(l, sheet.Broken) }
		}
		p.row(cells, width, right, dress)
	}
	for range t.Blank {
		blank := make([]string, n)
		for j := range blank {
			blank[j] = strings.Repeat("_", width[j])
		}
		p.line("")
		p.line(strings.Join(blank, strings.Repeat(" ", gap)))
	}
	p.notes(t)
}

// tooTall is how many lines a row may take on the average before its columns
// are too narrow to read down.
const tooTall = 3.2

// tallness returns how many lines a row takes on the average.
func tallness(t sheet.Table, width []int) float64 {
	if len(t.Rows) == 0 {
		return 0
	}
	sum := 0
	for _, r := range t.Rows {
		tall := 1
		for j := range r {
			tall = max(tall, len(wrap(cellText(r[j]), width[j])))
		}
		sum += tall
	}
	return float64(sum) / float64(len(t.Rows))
}

// briefs sets a table whose columns would be too narrow: the heads on one
// line, then each row as one paragraph with its cells in that order.
func (p *printer) briefs(t sheet.Table) {
	var heads []string
	for _, c := range t.Columns {
		heads = append(heads, strings.ReplaceAll(head(c), "\n", " "))
	}
	p.para("", nil, "("+strings.Join(heads, "; ")+")")
	for _, r := range t.Rows {
		var cells []string
		broken := false
		for _, c := range r {
			if s := cellText(c); s != "" {
				cells = append(cells, s)
			}
			broken = broken || c.Mark == sheet.Broken
		}
		dress := func(l string) string { return l }
		if broken {
			dress = func(l string) string { return p.dress(l, sheet.Broken) }
		}
		p.para("- ", dress, strings.Join(cells, "; "))
	}
}

func (p *printer) row(cells [][]string, width []int, right []bool, dress func(string) string) {
	tall := 1
	for _, c := range cells {
		tall = max(tall, len(c))
	}
	for i := range tall {
		var b strings.Builder
		for j, c := range cells {
			s := ""
			if i < len(c) {
				s = c[i]
			}
			pad := strings.Repeat(" ", max(0, width[j]-Width(s)))
			if right[j] {
				s = pad + s
			} else {
				s += pad
			}
			if j > 0 {
				b.WriteString(strings.Repeat(" ", gap))
			}
			b.WriteString(s)
		}
		l := strings.TrimRight(b.String(), " ")
		p.line(dress(l))
	}
}

func (p *printer) records(t sheet.Table) {
	for i, r := range t.Rows {
		if i > 0 {
			p.line("")
		}
		for j, c := range r {
			if c.Text == "" && c.Mark == sheet.Plain {
				continue
			}
			name := ""
			if j < len(t.Columns) {
				name = head(t.Columns[j]) + ": "
			}
			p.para("", nil, name+cellText(c))
		}
	}
}

func (p *printer) notes(t sheet.Table) {
	for _, n := range t.Notes {
		p.para("", nil, n)
	}
}

// share divides the room between columns: narrow ones keep their whole text
// and the wide ones share what is left, none under its longest word unless
// not even those fit.
func share(room int, need, want []int) []int {
	out := make([]int, len(want))
	set := func(most int) int {
		sum := 0
		for j := range out {
			out[j] = max(need[j], min(want[j], most))
			sum += out[j]
		}
		return sum
	}
	if set(0) > room { // not even the longest words fit
		set = func(most int) int {
			sum := 0
			for j := range out {
				out[j] = min(need[j], most)
				sum += out[j]
			}
			return sum
		}
	}
	most := 1
	for most < room && set(most+1) <= room {
		most++
	}
	left := room - set(most)
	for j := 0; j < len(out) && left > 0; j++ {
		more := min(max(want[j]-out[j], 0), left)
		out[j] += more
		left -= more
	}
	return out
}

// Plain writes one fact a line, for speech and for searching: what it is of,
// then each column with its value.
func Plain(w io.Writer, b *sheet.Book) error {
	out := bufio.NewWriter(w)
	say := func(parts ...string) {
		s := clean(strings.Join(parts, ""))
		fmt.Fprintln(out, strings.Join(strings.Fields(s), " "))
	}
	if t := join(b.Title, b.Sub); t != "" {
		say(t)
	}
	if b.Draft {
		say("draft, not final")
	}
	for _, pg := range b.Pages {
		say(pg.Title, ": ", pg.Purpose)
		for _, blk := range pg.Blocks {
			plainBlock(say, pg.Title, blk)
		}
	}
	if b.Foot != "" {
		say(b.Foot)
	}
	return out.Flush()
}

// PlainTable writes one table, one row a line.
func PlainTable(w io.Writer, t sheet.Table) error {
	out := bufio.NewWriter(w)
	plainBlock(func(parts ...string) {
		fmt.Fprintln(out, strings.Join(strings.Fields(clean(strings.Join(parts, ""))), " "))
	}, "", t)
	return out.Flush()
}

func plainBlock(say func(...string), title string, b sheet.Block) {
	switch v := b.(type) {
	case sheet.Table:
		if v.Title != "" {
			title = v.Title
		}
		if len(v.Rows) == 0 && v.Empty != "" {
			say(title, " / ", v.Empty)
		}
		for _, r := range v.Rows {
			var facts []string
			for j, c := range r {
				s := sign.Said(c.Text, c.Mark)
				if strings.TrimSpace(s) == "" {
					continue
				}
				if j < len(v.Columns) && head(v.Columns[j]) != "" {
					s = head(v.Columns[j]) + ": " + s
				}
				facts = append(facts, s)
			}
			if len(facts) > 0 {
				say(title, " / ", strings.Join(facts, "; "))
			}
		}
		for _, n := range v.Notes {
			say(title, " / note: ", n)
		}
	case sheet.Calc:
		if v.Value == nil {
			return
		}
		s := v.Value.Name + ": " + v.Value.Text + "; standing: " + v.Value.Standing.String()
		if c := v.Value.By.Cite.Full(); c != "" {
			s += "; source: " + c
		}
		if v.Value.Outside != "" {
			s += "; outside its stated range: " + v.Value.Outside
		}
		say(title, " / ", s)
	case sheet.Para:
		say(title, " / ", sign.Said(strings.TrimSpace(v.Lead+" "+v.Text), v.Mark))
	case sheet.List:
		if v.Title != "" {
			title = v.Title
		}
		for _, l := range v.Lines {
			say(title, " / ", l)
		}
	case sheet.Figure:
		if v.Drawing != nil {
			say(title, " / drawing: ", v.Drawing.Title, ". ", v.Drawing.Desc)
		}
	}
}
