package text

import (
	"bytes"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"stubup/base/cite"
	"stubup/base/sheet"
	"stubup/base/trace"
)

func bill() sheet.Table {
	return sheet.Table{
		Title: "To order", Columns: []sheet.Column{{Head: "Item"}, {Head: "Quantity", Align: sheet.Right}, {Head: "How it comes about"}},
		Rows: []sheet.Row{
			{sheet.T("45 g charges"), sheet.N(30, "30"), sheet.T("24 joints and 3 spare make 27, up to packs of 10; this sentence is long enough to wrap")},
			{sheet.T("wire"), sheet.N(400, "400"), {Text: "56 over 50", Mark: sheet.Broken}},
		}, Notes: []string{"Packs are the supplier's."},
	}
}

func table(t *testing.T, tb sheet.Table, s Style) string {
	t.Helper()
	var b bytes.Buffer
	if err := Table(&b, tb, s); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestTable(t *testing.T) {
	got := table(t, bill(), Style{})
	want := `To order
Item          Quantity  How it comes about
------------  --------  --------------------------------------------------------
45 g charges        30  24 joints and 3 spare make 27, up to packs of 10; this
                        sentence is long enough to wrap
wire               400  X broken: 56 over 50
Packs are the supplier's.
`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestColorChangesNoWord(t *testing.T) {
	plain, colored := table(t, bill(), Style{}), table(t, bill(), Style{Color: true})
	if strings.Contains(plain, "\x1b") {
		t.Error("an escape where none was asked for")
	}
	if colored == plain {
		t.Error("color asked for and not given")
	}
	for _, c := range []string{bold, red, reset} {
		colored = strings.ReplaceAll(colored, c, "")
	}
	if colored != plain {
		t.Errorf("color changes the words:\n%s", colored)
	}
}

func TestPlain(t *testing.T) {
	var b bytes.Buffer
	if err := PlainTable(&b, bill()); err != nil {
		t.Fatal(err)
	}
	want := "To order / Item: 45 g charges; Quantity: 30; How it comes about: 24 joints and 3 spare make 27, up to packs of 10; this sentence is long enough to wrap\n" +
		"To order / Item: wire; Quantity: 400; How it comes about: broken: 56 over 50\n" +
		"To order / note: Packs are the supplier's.\n"
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

func TestBook(t *testing.T) {
	rho := trace.Input("soil", "soil resistivity", 100, "ohm-m", "100 ohm-m", trace.Assumed, cite.Practice)
	r := trace.Derive("rod", "resistance of one rod", 41.1, "ohm", "41.1 ohm", trace.By{
		Equation: "R = rho/(2 pi L) (ln(4L/a) - 1)",
		Put:      "R = 100/(2 pi 2.44) (ln(4*2.44/0.00794) - 1)", Cite: cite.Ref{Work: "IEEE Std 142", Edition: "2007", Seen: cite.FromMemory},
	}, rho)
	r.Outside = "rod too near another"
	b := &sheet.Book{
		Title: "Quarry Hill, revision C", Sub: "prove", Draft: true, Foot: "as of 2026-03-04",
		Pages: []sheet.Page{{Title: "Findings", Purpose: "What holds.", Blocks: []sheet.Block{
			sheet.Para{Lead: "Frost.", Text: "No depth was given.", Mark: sheet.CannotTell},
			sheet.Calc{Value: r},
			sheet.List{Title: "First", Lines: []string{"dry the mold"}},
			sheet.Table{Title: "Left", Empty: "Nothing is left."},
		}}},
	}
	var out bytes.Buffer
	if err := Book(&out, b, Style{}); err != nil {
		t.Fatal(err)
	}
	for _, w := range []string{
		"Quarry Hill, revision C, prove\ndraft, not final\n", "? cannot tell: Frost. No depth was given.\n",
		"resistance of one rod: 41.1 ohm\n  equation   R = rho/(2 pi L) (ln(4L/a) - 1)\n", "  standing   assumed\n",
		"  source     IEEE Std 142-2007 (from memory)\n", "  range      outside its stated range: rod too near another\n", "- dry the mold\n", "Left\nNothing is left.\n",
	} {
		if !strings.Contains(out.String(), w) {
			t.Errorf("%q is not in\n%s", w, out.String())
		}
	}
	out.Reset()
	if err := Plain(&out, b); err != nil {
		t.Fatal(err)
	}
	for _, w := range []string{"Findings / cannot tell: Frost. No depth was given.\n", "Findings / resistance of one rod: 41.1 ohm; standing: assumed; source: IEEE Std 142-2007 (from memory); outside", "Left / Nothing is left.\n"} {
		if !strings.Contains(out.String(), w) {
			t.Errorf("%q is not in\n%s", w, out.String())
		}
	}
}

// Unicode UAX 11 and combining marks.
func TestWidth(t *testing.T) {
	for s, want := range map[string]int{"J14": 3, "\u65e5\u672c": 4, "e\u0301": 1, "": 0, "\U0001F600": 2, "½": 1, "a\x1bb": 2} {
		if got := Width(s); got != want {
			t.Errorf("Width(%q) = %d, want %d", s, got, want)
		}
	}
}

// No line of any table is wider than asked, no control sign gets through, and
// nothing of a cell is lost.
func TestTablesFit(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		sign := rapid.RuneFrom([]rune("abcdef ghi\u0301\u65e5\U0001F600\x1b\x07\t\n0123-/"))
		cell := rapid.StringOfN(sign, 0, 60, -1)
		n := rapid.IntRange(1, 12).Draw(rt, "columns")
		tb := sheet.Table{Title: cell.Draw(rt, "title"), Blank: rapid.IntRange(0, 1).Draw(rt, "blank")}
		for range n {
			tb.Columns = append(tb.Columns, sheet.Column{Head: cell.Draw(rt, "head")})
		}
		for range rapid.IntRange(0, 4).Draw(rt, "rows") {
			var r sheet.Row
			for range rapid.IntRange(0, n).Draw(rt, "cells") {
				r = append(r, sheet.T(cell.Draw(rt, "cell")))
			}
			tb.Rows = append(tb.Rows, r)
		}
		width := rapid.IntRange(40, 120).Draw(rt, "width")
		var b bytes.Buffer
		if err := Table(&b, tb, Style{Width: width}); err != nil {
			rt.Fatal(err)
		}
		for _, l := range strings.Split(b.String(), "\n") {
			if Width(l) > width {
				rt.Fatalf("%d columns of %d: %q", Width(l), width, l)
			}
			if strings.ContainsFunc(l, unicode.IsControl) {
				rt.Fatalf("a control sign in %q", l)
			}
		}
		count := func(s string) int { return strings.Count(s, "e") }
		want := count(tb.Title)
		for _, r := range tb.Rows {
			for _, c := range r {
				want += count(c.Text)
			}
		}
		if got := count(b.String()); got < want {
			rt.Fatalf("%d signs of %d are left", got, want)
		}
	})
}
