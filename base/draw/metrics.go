package draw

import (
	_ "embed"
	"math"
	"sort"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"stubup/base/stable"
	"stubup/base/table"
)

// metrics.csv holds the advance widths of the printing face, so that text is
// measured here the same way on a phone and on paper, with no font at hand.
//
//go:generate sh -c "cd ../.. && go run ./internal/render/fontgen > base/draw/metrics.csv"
//go:embed metrics.csv
var metricsCSV string

var metricsTable = table.Lazy(metricsCSV)

// face is the measure of one weight, in parts of the capital height.
type face struct {
	em, high, deep       float64
	highASCII, deepASCII float64
	first, last          []rune
	width                []float64
	ascii                [128]float64
}

var faces = sync.OnceValue(func() [2]*face {
	t := metricsTable()
	var fs [2]*face
	for i, col := range []string{"regular", "bold"} {
		named := func(row string) float64 {
			v, ok := t.Num(row, col)
			if !ok {
				panic("draw: metrics.csv has no row " + row)
			}
			return v
		}
		unit := named("cap")
		f := &face{
			em: named("em") / unit, high: named("high") / unit, deep: -named("deep") / unit,
			highASCII: named("high-ascii") / unit, deepASCII: -named("deep-ascii") / unit,
		}
		next := uint64(0)
		for _, row := range t.Rows {
			skip, err := strconv.ParseUint(row[0], 16, 32)
			if err != nil {
				continue // a named row
			}
			first := next + skip
			last := first
			if row[1] != "" {
				more, err := strconv.ParseUint(row[1], 16, 32)
				if err != nil {
					panic("draw: metrics.csv: " + err.Error())
				}
				last += more
			}
			next = last + 1
			w, err := strconv.ParseFloat(row[2+i], 64)
			if err != nil {
				panic("draw: metrics.csv: " + err.Error())
			}
			f.first, f.last, f.width = append(f.first, rune(first)), append(f.last, rune(last)), append(f.width, w/unit)
		}
		for c := range rune(len(f.ascii)) {
			f.ascii[c], _ = f.find(c)
		}
		fs[i] = f
	}
	return fs
})

func (f *face) find(r rune) (float64, bool) {
	i := sort.Search(len(f.last), func(i int) bool { return f.last[i] >= r })
	if i < len(f.first) && f.first[i] <= r {
		return f.width[i], true
	}
	return 0, false
}

// advance returns the width of one sign; one the face lacks is as wide as the
// replacement sign that is printed for it.
func (f *face) advance(r rune) float64 {
	if r > 0 && r < 128 {
		return f.ascii[r]
	}
	if w, ok := f.find(r); ok {
		return w
	}
	w, _ := f.find(unicode.ReplacementChar)
	return w
}

func weight(bold bool) *face {
	if bold {
		return faces()[1]
	}
	return faces()[0]
}

// FontSize returns the em, mm, of the printing face whose capitals are size mm
// high: what a file format calls the font size.
func FontSize(size float64) float64 { return size * weight(false).em }

// Ascent returns how far above the baseline any sign of the face may reach,
// mm, for capitals size mm high.
func Ascent(size float64) float64 { return size * weight(false).high }

// Descent returns how far below the baseline any sign of the face may reach,
// mm, for capitals size mm high.
func Descent(size float64) float64 { return size * weight(false).deep }

// InFace reports whether the printing face has a sign.
func InFace(r rune) bool {
	_, ok := weight(false).find(r)
	return ok && !unicode.IsControl(r)
}

// Printable returns s as the printing face can print it: line ends and tabs
// are spaces, other controls are left out, and a sign the face lacks is the
// replacement sign.
func Printable(s string) string {
	clean := true
	for _, r := range s {
		if !InFace(r) || r == unicode.ReplacementChar {
			clean = false
			break
		}
	}
	if clean {
		return s
	}
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case unicode.IsControl(r):
			return -1
		case !InFace(r):
			return unicode.ReplacementChar
		}
		return r
	}, s)
}

// TextWidth returns the width of a text, mm, for capitals size mm high: the
// sum of the advance widths of its signs, with no kerning, as Printable says
// it is printed.
func TextWidth(s string, size float64, bold bool) float64 {
	f := weight(bold)
	var w float64
	for _, r := range Printable(s) {
		w += f.advance(r)
	}
	return w * size
}

// rect returns the upright rectangle of the text as if it were not turned.
func (t Text) rect() Box {
	f := weight(t.Bold)
	high, deep := f.highASCII, f.deepASCII
	for _, r := range t.S {
		if r >= utf8.RuneSelf {
			high, deep = f.high, f.deep
			break
		}
	}
	w := TextWidth(t.S, t.Size, t.Bold)
	x := t.At.X
	switch t.Anchor {
	case Middle:
		x -= w / 2
	case End:
		x -= w
	}
	return Box{x, t.At.Y - high*t.Size, x + w, t.At.Y + deep*t.Size}
}

// Corners returns the four corners of the ground the text stands on, turned
// as the text is: upper left first, then in reading direction.
func (t Text) Corners() [4]Pt {
	b := t.rect()
	// Turn is counter-clockwise as read; y grows down the page.
	sin, cos := math.Sincos(-t.Turn * math.Pi / 180)
	turn := func(x, y float64) Pt {
		if t.Turn == 0 {
			return Pt{x, y}
		}
		dx, dy := x-t.At.X, y-t.At.Y
		return Pt{t.At.X + dx*cos - dy*sin, t.At.Y + dx*sin + dy*cos}
	}
	return [4]Pt{turn(b.X0, b.Y0), turn(b.X1, b.Y0), turn(b.X1, b.Y1), turn(b.X0, b.Y1)}
}

// Box returns the upright rectangle around the text, ascenders and descenders
// included; for turned text, the one around its turned rectangle.
func (t Text) Box() Box {
	c := t.Corners()
	return boxOf(c[:])
}

func boxOf(pts []Pt) Box {
	b := Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range pts {
		b = b.Union(Box{p.X, p.Y, p.X, p.Y})
	}
	return b
}

// Ends returns the arc's first and last points.
func (a Arc) Ends() (from, to Pt) {
	at := func(deg float64) Pt {
		sin, cos := math.Sincos(deg * math.Pi / 180)
		return Pt{a.C.X + a.R*cos, a.C.Y + a.R*sin}
	}
	return at(a.A0), at(a.A1)
}

// Bounds returns the box around items, half a pen's width included; ok is
// false when there is nothing in them.
func Bounds(items []Item) (b Box, ok bool) {
	b = boxOf(nil)
	for _, it := range items {
		var ib Box
		var pen Pen
		switch v := it.(type) {
		case Line:
			ib, pen = boxOf(v.Pts), v.Pen
		case Arc:
			from, to := v.Ends()
			pts := []Pt{from, to}
			lo, hi := min(v.A0, v.A1), max(v.A0, v.A1)
			for q := math.Ceil(lo / 90); q*90 <= hi && q < math.Ceil(lo/90)+4; q++ {
				p, _ := Arc{C: v.C, R: v.R, A0: q * 90}.Ends()
				pts = append(pts, p)
			}
			ib, pen = boxOf(pts), v.Pen
		case Circle:
			ib, pen = Box{v.C.X - v.R, v.C.Y - v.R, v.C.X + v.R, v.C.Y + v.R}, v.Pen
		case Area:
			ib = boxOf(v.Pts)
		case Text:
			ib = v.Box()
		}
		if ib.X0 > ib.X1 {
			continue
		}
		b, ok = b.Union(ib.Grow(pen.Width/2)), true
	}
	if !ok {
		return Box{}, false
	}
	return b, true
}

// Layer is the items of one layer.
type Layer struct {
	Name  string
	Items []Item
}

// LayerOf returns the layer an item is on.
func LayerOf(it Item) string {
	switch v := it.(type) {
	case Line:
		return v.Layer
	case Arc:
		return v.Layer
	case Circle:
		return v.Layer
	case Area:
		return v.Layer
	case Text:
		return v.Layer
	}
	return ""
}

// Layers returns the items by layer, the layers in the order in which they
// are first used: the order in which everything is painted, everywhere.
func (d *Drawing) Layers() []Layer {
	var ls []Layer
	at := map[string]int{}
	for _, it := range d.Items {
		name := LayerOf(it)
		i, ok := at[name]
		if !ok {
			i = len(ls)
			at[name] = i
			ls = append(ls, Layer{Name: name})
		}
		ls[i].Items = append(ls[i].Items, it)
	}
	return ls
}

// Moved returns the item shifted on the paper.
func Moved(it Item, dx, dy float64) Item {
	shift := func(pts []Pt) []Pt {
		out := make([]Pt, len(pts))
		for i, p := range pts {
			out[i] = Pt{p.X + dx, p.Y + dy}
		}
		return out
	}
	switch v := it.(type) {
	case Line:
		v.Pts = shift(v.Pts)
		return v
	case Arc:
		v.C = Pt{v.C.X + dx, v.C.Y + dy}
		return v
	case Circle:
		v.C = Pt{v.C.X + dx, v.C.Y + dy}
		return v
	case Area:
		v.Pts = shift(v.Pts)
		return v
	case Text:
		v.At = Pt{v.At.X + dx, v.At.Y + dy}
		return v
	}
	return it
}

// maxHatch bounds the hatch lines of one area, so that a slip in a spacing
// cannot fill a file.
const maxHatch = 5000

// HatchLines returns the area's hatching as real lines, rising to the right
// at 45 degrees and clipped to the polygon (even-odd). They lie on one grid
// for the whole paper, so neighbouring areas run on into each other.
func (a Area) HatchLines() [][2]Pt {
	if a.Hatch <= 0 || len(a.Pts) < 3 {
		return nil
	}
	// On a line rising to the right x + y is constant; step is the change of
	// that sum between lines Hatch apart.
	step := a.Hatch * math.Sqrt2
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range a.Pts {
		lo, hi = min(lo, p.X+p.Y), max(hi, p.X+p.Y)
	}
	if (hi-lo)/step > maxHatch {
		step = (hi - lo) / maxHatch
	}
	var out [][2]Pt
	for k := math.Ceil(lo / step); k*step <= hi; k++ {
		sum := k * step
		var xs []float64
		for i, p := range a.Pts {
			q := a.Pts[(i+1)%len(a.Pts)]
			sp, sq := p.X+p.Y-sum, q.X+q.Y-sum
			if (sp < 0) == (sq < 0) {
				continue
			}
			xs = append(xs, p.X+(q.X-p.X)*sp/(sp-sq))
		}
		stable.Ascend(xs)
		for i := 0; i+1 < len(xs); i += 2 {
			if xs[i+1]-xs[i] > 1e-9 {
				out = append(out, [2]Pt{{xs[i], sum - xs[i]}, {xs[i+1], sum - xs[i+1]}})
			}
		}
	}
	return out
}

// Wrap breaks a text into lines no wider than width mm. It breaks at spaces
// and line ends; a word that is too wide by itself is broken after a mark of
// punctuation where one fits, else between signs, never before a combining
// mark. A number keeps its unit on its line. A width narrower than a sign still gets one sign a line. A blank text
// gives no lines.
func Wrap(s string, width, size float64, bold bool) []string {
	s = strings.TrimSpace(s)
	if s == "" {
		return nil
	}
	const slack = 1e-9
	wide := func(t string) bool { return TextWidth(t, size, bold) > width+slack }
	var lines []string
	for para := range strings.SplitSeq(strings.ReplaceAll(s, "\r\n", "\n"), "\n") {
		words := glued(strings.FieldsFunc(para, func(r rune) bool { return r == ' ' || r == '\t' }), wide)
		line := ""
		for _, word := range words {
			if line != "" {
				if joined := line + " " + word; !wide(joined) {
					line = joined
					continue
				}
				lines = append(lines, line)
			}
			for wide(word) {
				n := breakAt(word, width+slack, size, bold)
				if n >= len(word) {
					break
				}
				lines = append(lines, word[:n])
				word = word[n:]
			}
			line = word
		}
		if line != "" || len(words) == 0 {
			lines = append(lines, line)
		}
	}
	return lines
}

// glued joins a number with the unit after it, where both fit on one line.
func glued(words []string, wide func(string) bool) []string {
	out := words[:0:0]
	for i := 0; i < len(words); i++ {
		w := words[i]
		if i+1 < len(words) && w[len(w)-1] >= '0' && w[len(w)-1] <= '9' && w[0] <= '9' {
			switch strings.TrimRight(words[i+1], ".,;:)") {
			case "ft", "in", "mm", "m", "ohm", "ohm-m", "AWG", "kcmil", "g", "lb", "A", "V", "deg", "%":
				if both := w + " " + words[i+1]; !wide(both) {
					out = append(out, both)
					i++
					continue
				}
			}
		}
		out = append(out, w)
	}
	return out
}

// breakAt returns the byte at which a word too wide is broken.
func breakAt(word string, width, size float64, bold bool) int {
	f := weight(bold)
	var w float64
	cut, soft := 0, 0
	prev := ' '
	for i, r := range word {
		if i > 0 && !unicode.Is(unicode.M, r) {
			cut = i
			if strings.ContainsRune("/-_.,:;|=+&?", prev) {
				soft = i
			}
		}
		if InFace(r) || !unicode.IsControl(r) {
			w += f.advance(r) * size
		}
		if w > width && cut > 0 {
			if soft > cut/2 {
				return soft
			}
			return cut
		}
		prev = r
	}
	return len(word)
}
