package pdf

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"codeberg.org/go-pdf/fpdf"
	"pgregory.net/rapid"

	"stubup/base/draw"
	"stubup/base/sheet"
)

// tool returns the path of a program of the machine, or ends the test with
// the words that are counted.
func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		fmt.Println("not proven here: " + name)
		if os.Getenv("CI") == "1" {
			t.Fatal("not proven here: " + name)
		}
		t.Skip("not proven here: " + name)
	}
	return path
}

func written(t *testing.T, b *sheet.Book) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := Write(&out, b); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func file(t *testing.T, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "book.pdf")
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func run(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(tool(t, name), args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

// The widths here are those that a foreign reading of the same font files
// gives (the PDF library's own, which rounds each sign to 1/1000 em).
func TestWidthsAgreeWithWriter(t *testing.T) {
	doc := fpdf.New("P", "mm", "letter", "")
	doc.AddUTF8FontFromBytes("f", "", bytes.Clone(dejavusanscondensed.TTF))
	doc.AddUTF8FontFromBytes("f", "B", bytes.Clone(dejavusanscondensedbold.TTF))
	for _, bold := range []bool{false, true} {
		style := ""
		if bold {
			style = "B"
		}
		doc.SetFont("f", style, 10)
		doc.SetFontUnitSize(draw.FontSize(2.5))
		for _, s := range []string{"J14", "36'-0\" from post 3, 9'-6 1/2\" from post 4", "R = ρ/(2 π L) (ln(4 L/a) − 1)", "0123456789", "\u00e9\u00c9\u00fc\u00df ½ ¼ × ° Ω µ – “x”"} {
			got, want := draw.TextWidth(s, 2.5, bold), doc.GetStringWidth(s)
			tol := 0.0006 * draw.FontSize(2.5) * float64(len([]rune(s)))
			if math.Abs(got-want) > tol {
				t.Errorf("%q: %.4f mm, the library says %.4f", s, got, want)
			}
		}
	}
}

// sound reports what is wrong with a layout: texts that lie on each other, or
// off the paper, or low letters, or thin lines.
func sound(l *Laid, margin float64) error {
	for n, p := range l.Pages {
		paper := draw.Box{X0: 0, Y0: 0, X1: p.W, Y1: p.H}.Grow(-margin)
		for i, a := range p.Texts {
			if !a.Box.Inside(paper) {
				return fmt.Errorf("page %d: %s %q at %+v leaves the paper %+v", n+1, a.Part, a.S, a.Box, paper)
			}
			for _, b := range p.Texts[:i] {
				if a.Box.Overlaps(b.Box) {
					return fmt.Errorf("page %d: %s %q %+v lies on %s %q %+v", n+1, a.Part, a.S, a.Box, b.Part, b.S, b.Box)
				}
			}
		}
		texts := 0
		for _, it := range p.Items {
			switch v := it.(type) {
			case draw.Text:
				texts++
				if v.Size < draw.MinText {
					return fmt.Errorf("page %d: %q is %g mm high", n+1, v.S, v.Size)
				}
			case draw.Line:
				if v.Pen.Width < 0.18 {
					return fmt.Errorf("page %d: a line %g mm wide", n+1, v.Pen.Width)
				}
			}
		}
		if texts != len(p.Texts) {
			return fmt.Errorf("page %d: %d texts are drawn, %d are told of", n+1, texts, len(p.Texts))
		}
	}
	return nil
}

func TestSampleIsSound(t *testing.T) {
	l, err := Layout(sample())
	if err != nil {
		t.Fatal(err)
	}
	if err := sound(l, 12.6); err != nil {
		t.Error(err)
	}
	if len(l.Missing) > 0 || len(l.Spills) > 0 {
		t.Errorf("missing %q, spills %q", l.Missing, l.Spills)
	}
}

// bookOf draws a book at random: long words, foreign signs, many columns.
func bookOf() *rapid.Generator[*sheet.Book] {
	return rapid.Custom(func(t *rapid.T) *sheet.Book {
		word := rapid.StringOfN(rapid.RuneFrom([]rune("abcdeghijlMWQ0123456789-/.,()\u00c9\u0301\u00e7ρΩ\u65e5\U0001F600")), 1, 60, -1)
		words := func(name string, most int) string {
			return strings.Join(rapid.SliceOfN(word, 0, most).Draw(t, name), rapid.SampledFrom([]string{" ", "  ", "\n"}).Draw(t, "between"))
		}
		mark := rapid.SampledFrom([]sheet.Mark{sheet.Plain, sheet.Plain, sheet.Holds, sheet.Broken, sheet.CannotTell, sheet.NotApply, sheet.Hold})
		b := &sheet.Book{Title: words("title", 3), Sub: words("sub", 3), Foot: words("foot", 8), Draft: rapid.Bool().Draw(t, "draft"), Created: "2026-03-04T14:05:00Z"}
		for range rapid.IntRange(1, 2).Draw(t, "pages") {
			p := sheet.Page{Title: words("page", 3), Purpose: words("purpose", 6), Wide: rapid.Bool().Draw(t, "wide")}
			for range rapid.IntRange(0, 4).Draw(t, "blocks") {
				switch rapid.IntRange(0, 4).Draw(t, "kind") {
				case 0:
					p.Blocks = append(p.Blocks, sheet.Para{Lead: words("lead", 6), Text: words("text", 60), Mark: mark.Draw(t, "mark")})
				case 1:
					p.Blocks = append(p.Blocks, sheet.List{Title: words("title", 5), Lines: rapid.SliceOfN(word, 0, 20).Draw(t, "lines")})
				case 2:
					w, h := rapid.Float64Range(10, 400).Draw(t, "w"), rapid.Float64Range(10, 400).Draw(t, "h")
					p.Blocks = append(p.Blocks, sheet.Figure{Drawing: &draw.Drawing{
						ID: "d", W: w, H: h,
						Items: []draw.Item{draw.Text{At: draw.Pt{X: 1, Y: h - 1}, Size: 2.5, S: "d"}},
					}})
				default:
					tb := sheet.Table{Title: words("title", 6), Empty: words("empty", 10), Blank: rapid.IntRange(0, 3).Draw(t, "blank"), Notes: rapid.SliceOfN(word, 0, 3).Draw(t, "notes")}
					n := rapid.IntRange(1, 18).Draw(t, "columns")
					for range n {
						tb.Columns = append(tb.Columns, sheet.Column{
							Head: words("head", 4), Unit: rapid.SampledFrom([]string{"", "ft", "ohm-m"}).Draw(t, "unit"),
							Align: rapid.SampledFrom([]sheet.Align{sheet.Left, sheet.Right, sheet.Centre}).Draw(t, "align"),
							Width: rapid.SampledFrom([]float64{0, 0, 0, 0.1, 0.9}).Draw(t, "share"),
						})
					}
					for range rapid.IntRange(0, 8).Draw(t, "rows") {
						var r sheet.Row
						for range rapid.IntRange(0, n+1).Draw(t, "cells") {
							c := sheet.Cell{Text: words("cell", 20), Mark: mark.Draw(t, "mark"), Bold: rapid.Bool().Draw(t, "bold")}
							if rapid.Bool().Draw(t, "number") {
								c = sheet.N(1, rapid.SampledFrom([]string{"1", "12.5", "-0.125", "1,234.75", "4.68 ohm"}).Draw(t, "n"))
							}
							r = append(r, c)
						}
						tb.Rows = append(tb.Rows, r)
					}
					p.Blocks = append(p.Blocks, tb)
				}
			}
			b.Pages = append(b.Pages, p)
		}
		return b
	})
}

func TestNoTextLiesOnAnother(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := bookOf().Draw(t, "book")
		l, err := Layout(b)
		if err != nil {
			t.Skip(err.Error()) // a head that fills the sheet is refused in words
		}
		if err := sound(l, 12.6); err != nil {
			t.Fatal(err)
		}
		// Nothing is lost on the way: every word of the lists and paragraphs is
		// placed whole, in order, though it may be broken over lines.
		placed := map[string]string{}
		for _, p := range l.Pages {
			for _, x := range p.Texts {
				placed[x.Part] += strings.Join(strings.Fields(x.S), "")
			}
		}
		for _, p := range b.Pages {
			for _, blk := range p.Blocks {
				var part, said string
				switch v := blk.(type) {
				case sheet.List:
					part, said = "list", v.Title+"\n"+strings.Join(v.Lines, "\n")
				case sheet.Para:
					part, said = "para", v.Lead+"\n"+v.Text
				}
				for _, w := range strings.Fields(said) {
					if !strings.Contains(placed[part], w) {
						t.Fatalf("%q of a %s is not on paper", w, part)
					}
				}
			}
		}
	})
}

func TestSameBookSameBytes(t *testing.T) {
	if a, b := written(t, sample()), written(t, sample()); !bytes.Equal(a, b) {
		t.Error("two files of one book differ")
	}
	later := sample()
	later.Created = "2026-03-04T14:06:00Z"
	if bytes.Equal(written(t, sample()), written(t, later)) {
		t.Error("the creation time is not in the file")
	}
}

func TestRefusals(t *testing.T) {
	none := sample()
	none.Created = ""
	big := sample()
	big.Pages[0].Blocks = append(big.Pages[0].Blocks, sheet.Figure{Drawing: &draw.Drawing{ID: "wall", W: 3000, H: 10}})
	nan := sample()
	nan.Pages[0].Blocks = append(nan.Pages[0].Blocks, sheet.Figure{Drawing: &draw.Drawing{
		ID: "n", W: 30, H: 10,
		Items: []draw.Item{draw.Line{Pen: draw.Pen{Width: 1}, Pts: []draw.Pt{{X: math.NaN()}, {X: 1}}}},
	}})
	head := sample()
	head.Pages[0].Title = strings.Repeat("very long title ", 200)
	for name, b := range map[string]*sheet.Book{"no time": none, "no pages": {}, "drawing too large": big, "not a number": nan, "endless title": head} {
		if err := Write(io.Discard, b); err == nil {
			t.Errorf("%s: written", name)
		}
	}
}

// Every sheet of a draft says so, in words and in the head; none of a final
// book does.
func TestDraftOnEveryPage(t *testing.T) {
	for _, draft := range []bool{true, false} {
		b := sample()
		b.Draft = draft
		l, err := Layout(b)
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range l.Pages {
			n := 0
			for _, x := range p.Texts {
				if x.S == draftWords && x.Part == "head" && x.Box.Y1 < 25 {
					n++
				}
			}
			if (n == 1) != draft {
				t.Errorf("draft %v: page %d says it %d times", draft, i+1, n)
			}
		}
	}
}

func TestTableHeadOnEverySheet(t *testing.T) {
	l, err := Layout(sample())
	if err != nil {
		t.Fatal(err)
	}
	sheets, ids := 0, 0
	for _, p := range l.Pages {
		var all []string
		for _, x := range p.Texts {
			all = append(all, x.S)
			if regexp.MustCompile(`^J[0-9]+$`).MatchString(x.S) {
				ids++
			}
		}
		s := strings.Join(all, "\n")
		if strings.Contains(s, "from post 3") {
			sheets++
			if !strings.Contains(s, "Along the ring") || !strings.Contains(s, "(ft)") || !strings.Contains(s, "Points") {
				t.Errorf("a sheet of the table without its head:\n%s", s)
			}
		}
	}
	if sheets < 2 || ids != 60 {
		t.Errorf("%d joints on %d sheets", ids, sheets)
	}
}

func TestMarksAreWords(t *testing.T) {
	l, err := Layout(sample())
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, x := range l.Pages[0].Texts {
		all = append(all, x.S)
	}
	s := strings.Join(all, "\n")
	for _, w := range []string{"holds by 6 %", "broken: Fiber 1, gate to room.", "cannot tell: Frost.", "does not apply: Roof run.", "HOLD: West side.", "broken: 31 shots"} {
		if !strings.Contains(s, w) {
			t.Errorf("%q is not there", w)
		}
	}
	if strings.Contains(s, "holds: Resistance") {
		t.Error("the words of a mark are said twice")
	}
}

// Figures of a column stand on the decimal point.
func TestFiguresAlignOnThePoint(t *testing.T) {
	b := &sheet.Book{Title: "t", Created: "2026-03-04T14:05:00Z", Pages: []sheet.Page{{Title: "p", Blocks: []sheet.Block{
		sheet.Table{Columns: []sheet.Column{{Head: "ohm"}}, Rows: []sheet.Row{
			{sheet.N(4.68, "4.68")}, {sheet.N(12.5, "12.5")}, {sheet.N(100, "100")}, {sheet.N(-0.125, "-0.125")},
		}},
	}}}}
	l, err := Layout(b)
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]float64{}
	for _, x := range l.Pages[0].Texts {
		if x.Part == "table" && x.S != "ohm" {
			whole, _, _ := strings.Cut(x.S, ".")
			at[x.S] = x.Box.X0 + draw.TextWidth(whole, small, false)
		}
	}
	if len(at) != 4 {
		t.Fatalf("%v", at)
	}
	for s, x := range at {
		if math.Abs(x-at["4.68"]) > 1e-6 {
			t.Errorf("the point of %s is at %g, of 4.68 at %g", s, x, at["4.68"])
		}
	}
}

func TestFigureIsPlacedAtItsSize(t *testing.T) {
	for _, c := range []struct{ metric, wide bool }{{false, true}, {false, false}, {true, true}, {true, false}} {
		wide, paper := c.wide, Papers[0]
		if c.metric {
			paper = Metric[0]
		}
		b := &sheet.Book{
			Title: "Quarry Hill", Draft: true, Metric: c.metric, Foot: "as of today", Created: "2026-03-04T14:05:00Z",
			Pages: []sheet.Page{{Title: "Plan", Purpose: "To scale.", Wide: wide, Blocks: []sheet.Block{sheet.Figure{Drawing: bar(paper, wide)}}}},
		}
		l, err := Layout(b)
		if err != nil {
			t.Fatal(err)
		}
		w, h := paper.sides(wide)
		if len(l.Pages) != 1 || l.Pages[0].W != w || l.Pages[0].H != h {
			t.Fatalf("wide %v: the largest drawing takes %d pages of %g x %g", wide, len(l.Pages), l.Pages[0].W, l.Pages[0].H)
		}
		fw, fh := FigureArea(paper, wide)
		box := l.Pages[0].Figures[0].Box
		if math.Abs(box.X1-box.X0-fw) > 1e-9 || math.Abs(box.Y1-box.Y0-fh) > 1e-9 {
			t.Errorf("box %+v", box)
		}
		for _, x := range l.Pages[0].Texts {
			if x.Part != "figure" && x.Box.Overlaps(box) {
				t.Errorf("%q lies on the drawing", x.S)
			}
		}
	}
}

// A drawing larger than a letter sheet goes on a larger one, never smaller
// than drawn.
func TestLargeDrawingTakesALargerSheet(t *testing.T) {
	d := &draw.Drawing{ID: "big", Title: "Big", W: 380, H: 220}
	l, err := Layout(&sheet.Book{Title: "t", Created: "2026-03-04T14:05:00Z", Pages: []sheet.Page{{Title: "p", Wide: true, Blocks: []sheet.Block{
		sheet.Para{Text: "before"}, sheet.Figure{Drawing: d}, sheet.Para{Text: "after"},
	}}}})
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Pages) != 3 || math.Abs(l.Pages[1].W-17*25.4) > 1e-9 || l.Pages[2].W != l.Pages[0].W {
		t.Errorf("%d pages, the second %g mm wide", len(l.Pages), l.Pages[1].W)
	}
	l, err = Layout(&sheet.Book{Title: "t", Metric: true, Created: "2026-03-04T14:05:00Z", Pages: []sheet.Page{{Title: "p", Wide: true, Blocks: []sheet.Block{sheet.Figure{Drawing: d}}}}})
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Pages) != 1 || l.Pages[0].W != 420 || l.Pages[0].H != 297 {
		t.Errorf("in metres: %d pages, the first %g x %g mm, wanted A3", len(l.Pages), l.Pages[0].W, l.Pages[0].H)
	}
}

func TestMissingSignsAreTold(t *testing.T) {
	l, err := Layout(&sheet.Book{Title: "t \u65e5\u672c", Created: "2026-03-04T14:05:00Z", Pages: []sheet.Page{{Title: "p"}}})
	if err != nil {
		t.Fatal(err)
	}
	if string(l.Missing) != "\u65e5\u672c" {
		t.Errorf("missing %q", string(l.Missing))
	}
}

// streams returns the file's inflated content streams.
func streams(t *testing.T, data []byte) []string {
	t.Helper()
	var out []string
	for _, part := range bytes.Split(data, []byte("stream\n"))[1:] {
		z, err := zlib.NewReader(bytes.NewReader(part))
		if err != nil {
			continue
		}
		if b, err := io.ReadAll(z); err == nil && bytes.Contains(b, []byte(" Tf ")) {
			out = append(out, string(b))
		}
	}
	return out
}

// In the file itself no letter is lower than 2.5 mm (an em of 2.5/0.729 mm)
// and no line thinner than 0.18 mm.
func TestSmallestInTheFile(t *testing.T) {
	pages := streams(t, written(t, sample()))
	if len(pages) == 0 {
		t.Fatal("no page contents found")
	}
	const pt = 72 / 25.4
	for _, s := range pages {
		for _, m := range regexp.MustCompile(`/F\S+ ([0-9.]+) Tf`).FindAllStringSubmatch(s, -1) {
			if v, err := strconv.ParseFloat(m[1], 64); err != nil || v < 2.5*pt*2048/1493 {
				t.Errorf("font size %s pt", m[1])
			}
		}
		for _, m := range regexp.MustCompile(`(?m)^([0-9.]+) w$`).FindAllStringSubmatch(s, -1) {
			if v, err := strconv.ParseFloat(m[1], 64); err != nil || v < 0.18*pt {
				t.Errorf("line width %s pt", m[1])
			}
		}
	}
}

func TestTextCanBeSelected(t *testing.T) {
	path := file(t, written(t, sample()))
	out := run(t, "pdftotext", "-layout", path, "-")
	l, err := Layout(sample())
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Count(out, draftWords); got != len(l.Pages) {
		t.Errorf("%q %d times on %d pages", draftWords, got, len(l.Pages))
	}
	for _, w := range []string{
		"41.1 ohm", "(from memory)", "outside its stated range", "R = ρ/(2 π L) (ln(4 L/a) − 1)", "common practice, no source",
		"9'-6\" from post 4", "page 1 of " + strconv.Itoa(len(l.Pages)), "J60", "None: every question has its answer in the log.",
	} {
		if !strings.Contains(out, w) {
			t.Errorf("%q cannot be read back", w)
		}
	}
}

func TestFileIsComplete(t *testing.T) {
	path := file(t, written(t, sample()))
	info := run(t, "pdfinfo", path)
	for _, w := range []string{"Quarry Hill, revision C", "closeout package, draft", "612 x 792 pts (letter)"} {
		if !strings.Contains(info, w) {
			t.Errorf("%q is not in\n%s", w, info)
		}
	}
	fonts := run(t, "pdffonts", path)
	// Embedded, with a table back to Unicode; and cut down to the signs used,
	// since each whole file is more than 600 kB.
	if n := len(regexp.MustCompile(`CID TrueType +Identity-H +yes +\S+ +yes`).FindAllString(fonts, -1)); n != 2 {
		t.Errorf("fonts:\n%s", fonts)
	}
	if n := len(written(t, sample())); n > 150_000 {
		t.Errorf("%d bytes: the fonts are whole", n)
	}
	to := filepath.Join(t.TempDir(), "points.csv")
	run(t, "pdfdetach", "-save", "1", "-o", to, path)
	if got, err := os.ReadFile(to); err != nil || string(got) != "id,x\r\nJ1,0\r\n" {
		t.Errorf("attachment %q %v", got, err)
	}
	if n := bytes.Count(written(t, sample()), []byte("/Dest [")); n != 6 {
		t.Errorf("%d entries in the outline, want one a page and one for the drawing that has a sheet", n)
	}
}

// A bar of 4 in, printed at 100 %, is 4 in long within 0.5 % (measured on a
// raster of 300 dots per inch made by another program), and the sheet is
// exactly letter.
func TestBarMeasuresTrue(t *testing.T) {
	b := &sheet.Book{
		Title: "Quarry Hill", Created: "2026-03-04T14:05:00Z",
		Pages: []sheet.Page{{Title: "Plan", Wide: true, Blocks: []sheet.Block{sheet.Figure{Drawing: bar(Papers[0], true)}}}},
	}
	path := file(t, written(t, b))
	stem := filepath.Join(t.TempDir(), "p")
	const dpi = 300
	run(t, "pdftoppm", "-r", strconv.Itoa(dpi), "-gray", "-singlefile", path, stem)
	data, err := os.ReadFile(stem + ".pgm")
	if err != nil {
		t.Fatal(err)
	}
	var w, h, deep int
	if _, err := fmt.Sscanf(string(data[:40]), "P5\n%d %d\n%d\n", &w, &h, &deep); err != nil {
		t.Fatal(err)
	}
	pix := data[len(data)-w*h:]
	if w != 11*dpi || h != 85*dpi/10 {
		t.Errorf("the sheet is %d x %d dots", w, h)
	}
	dark := func(x, y int) bool { return pix[y*w+x] < 128 }
	longest := 0
	for y := range h { // the bar is the longest solid stretch but the rules
		solid := 0
		for x := range w {
			// Three dots high, which no rule or frame line is at its corners.
			if y > 20 && y < h-20 && dark(x, y) && dark(x, y-20) && dark(x, y+20) {
				solid++
				longest = max(longest, solid)
			} else {
				solid = 0
			}
		}
	}
	inch := float64(longest) / dpi
	if math.Abs(inch-4) > 0.005*4 {
		t.Errorf("the bar measures %.3f in", inch)
	}
	// Upright: the frame of the drawing, its first and last dark row in the
	// column through its middle, between head and foot rules.
	_, fh := FigureArea(Papers[0], true)
	x := w / 2
	var rows []int
	for y := range h {
		if dark(x, y) && (y == 0 || !dark(x, y-1)) {
			rows = append(rows, y)
		}
	}
	found := false
	for i, a := range rows {
		for _, z := range rows[i+1:] {
			found = found || math.Abs(float64(z-a)/dpi*25.4-fh) < 0.005*fh
		}
	}
	if !found {
		t.Errorf("no frame %g mm high: edges at %v", fh, rows)
	}
}
