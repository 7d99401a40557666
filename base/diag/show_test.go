package diag

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Columns count runes from 1, End is the column after the last one: so the
// caret must stand under the rune at Col, whatever is before it. What is
// expected is written out by hand or found by cutting runes.

func shown(d Diag, src string) []string {
	return strings.Split(strings.TrimSuffix(d.Show([]byte(src)), "\n"), "\n")
}

func TestShow(t *testing.T) {
	d := Diag{Code: UnitMissing, File: "hill.yaml", Span: Span{Path: "ring.depth", Line: 2, Col: 10, End: 12}, What: `"30" has no unit`, Mend: `write "30 in"`}
	first := `hill.yaml:2:10: ring.depth: "30" has no unit`
	last := `  mend: write "30 in"  [unit-missing]`
	for _, c := range []struct{ name, src, line, caret string }{
		{"plain", "ring:\n  depth: 30\n", "     2 |   depth: 30", "       |          ^^"},
		{"no newline at the end", "ring:\n  depth: 30", "     2 |   depth: 30", "       |          ^^"},
		{"CRLF", "ring:\r\n  depth: 30\r\n", "     2 |   depth: 30", "       |          ^^"},
		{"tabs", "ring:\n\t\tdepth:\t30\n", "     2 |   depth: 30", "       |          ^^"},
		{"runes of two and three bytes", "ring:\n  d—pté: 30\n", "     2 |   d—pté: 30", "       |          ^^"},
	} {
		if got, want := shown(d, c.src), []string{first, c.line, c.caret, last}; !slices.Equal(got, want) {
			t.Errorf("%s:\n%s\nwant\n%s", c.name, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
	for name, src := range map[string]string{"line beyond the file": "ring:", "empty file": ""} {
		if got, want := shown(d, src), []string{first, last}; !slices.Equal(got, want) {
			t.Errorf("%s: %q", name, got)
		}
	}
	d.Span.Line = 0
	if got := shown(d, "ring:\n"); len(got) != 2 {
		t.Errorf("place not known: %q", got)
	}
}

func TestStringForms(t *testing.T) {
	for _, c := range []struct {
		d    Diag
		want string
	}{
		{Diag{What: "w"}, "site:0:0: w"},
		{Diag{File: "f", Span: Span{Line: 3, Col: 4}, What: "w"}, "f:3:4: w"},
		{Diag{File: "f", Level: Warning, Span: Span{Path: "a.b", Line: 3, Col: 4}, What: "w"}, "f:3:4: warning: a.b: w"},
	} {
		if got := c.d.String(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// On a line of any length the caret stands under the rune meant, and the
// output keeps to a width that can be read.
func TestShowCaretStandsUnderTheRune(t *testing.T) {
	const alphabet = "ab é—µ°\tñ字:"
	rapid.Check(t, func(t *rapid.T) {
		before := rapid.IntRange(0, 400).Draw(t, "before")
		after := rapid.IntRange(0, 400).Draw(t, "after")
		wide := rapid.IntRange(1, 30).Draw(t, "wide")
		fill := func(n int) string {
			k := rapid.IntRange(0, 9).Draw(t, "start")
			r := []rune(alphabet)
			var b strings.Builder
			for i := range n {
				b.WriteRune(r[(i*7+k)%len(r)])
			}
			return b.String()
		}
		src := "first\n" + fill(before) + strings.Repeat("X", wide) + fill(after) + "\nlast\n"
		d := Diag{Span: Span{Line: 2, Col: before + 1, End: before + 1 + wide}, Mend: "m"}
		got := shown(d, src)
		if len(got) != 4 {
			t.Fatalf("%d lines: %q", len(got), got)
		}
		line, caret := []rune(got[1]), []rune(got[2])
		if len(line) > 130 || len(caret) > 130 {
			t.Fatalf("%d and %d wide", len(line), len(caret))
		}
		for i, r := range line[9:] {
			under := 9+i < len(caret) && caret[9+i] == '^'
			if (r == 'X') != under {
				t.Fatalf("at %d: %q, caret %v\n%s\n%s", i, r, under, got[1], got[2])
			}
		}
		if !strings.Contains(got[1], "X") {
			t.Fatalf("the place is not shown\n%s", got[1])
		}
	})
}

// A place past the end of its line is shown just after the line; a span
// without an end, or turned round, gets one caret.
func TestShowOddSpans(t *testing.T) {
	for _, c := range []struct {
		name  string
		span  Span
		caret string
	}{
		{"just past the end", Span{Line: 1, Col: 4, End: 5}, "       |    ^"},
		{"far past the end", Span{Line: 1, Col: 60, End: 70}, "       |    ^"},
		{"past the end of any line", Span{Line: 1, Col: 5000, End: 5001}, "       |    ^"},
		{"runs past the end", Span{Line: 1, Col: 2, End: 500}, "       |  ^^"},
		{"no end", Span{Line: 1, Col: 2}, "       |  ^"},
		{"end before start", Span{Line: 1, Col: 3, End: 1}, "       |   ^"},
		{"no column", Span{Line: 1}, "       | ^"},
	} {
		got := shown(Diag{Span: c.span, Mend: "m"}, "abc\n")
		if len(got) != 4 || got[1] != "     1 | abc" || got[2] != c.caret {
			t.Errorf("%s:\n%s", c.name, strings.Join(got, "\n"))
		}
	}
}

func TestSort(t *testing.T) {
	d := func(file string, line, col int, code Code, what string) Diag {
		return Diag{File: file, Span: Span{Line: line, Col: col}, Code: code, What: what}
	}
	want := List{
		d("a", 1, 9, Twice, "z"), d("a", 2, 1, Twice, "z"), d("a", 2, 3, Alias, "z"), d("a", 2, 3, Twice, "a"),
		d("a", 2, 3, Twice, "b"), d("a", 10, 1, Alias, "a"), d("b", 1, 1, Alias, "a"),
	}
	rapid.Check(t, func(t *rapid.T) {
		got := List(rapid.Permutation(want).Draw(t, "order"))
		got.Sort()
		if !slices.Equal(got, want) {
			t.Fatalf("sorted %v", got)
		}
	})
}

// levenshtein is the textbook recurrence (insert, drop, change), by whole
// table.
func levenshtein(a, b []rune) int {
	d := make([][]int, len(a)+1)
	for i := range d {
		d[i] = make([]int, len(b)+1)
		for j := range d[i] {
			switch {
			case i == 0:
				d[i][j] = j
			case j == 0:
				d[i][j] = i
			case a[i-1] == b[j-1]:
				d[i][j] = d[i-1][j-1]
			default:
				d[i][j] = 1 + min(d[i-1][j], d[i][j-1], d[i-1][j-1])
			}
		}
	}
	return d[len(a)][len(b)]
}

func TestNearestAgainstLevenshtein(t *testing.T) {
	hit, miss := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		// No letter of one word neighbors the same letter of the other with
		// their order turned when the letters of every word run upward: then
		// a swap never helps, and the two distances are one.
		words := rapid.Custom(func(t *rapid.T) string {
			var b strings.Builder
			for _, r := range "aébcµdefgh" {
				if rapid.Bool().Draw(t, "has") {
					b.WriteRune(r)
				}
			}
			return b.String()
		})
		word := words.Draw(t, "word")
		among := rapid.SliceOfN(words.Filter(func(s string) bool { return s != "" }), 0, 6).Draw(t, "among")
		best, bestD := "", 99
		for _, c := range among {
			if d := levenshtein([]rune(word), []rune(c)); d < bestD {
				best, bestD = c, d
			}
		}
		n := len([]rune(word))
		want := bestD <= 3 && (bestD < n || bestD == 1 && n == 1)
		got, ok := Nearest(word, among)
		if ok != want || ok && got != best {
			t.Fatalf("%q among %q: %q, %v; want %q at %d, %v", word, among, got, ok, best, bestD, want)
		}
		if want {
			hit++
		} else {
			miss++
		}
	})
	if hit == 0 || miss == 0 {
		t.Errorf("%d found and %d not: one kind was never tried", hit, miss)
	}
}

func TestNearestKnownWords(t *testing.T) {
	among := []string{"fence", "tank", "mast", "building", "ring", "ft"}
	for _, c := range []struct {
		word, want string
	}{
		{"fense", "fence"},
		{"FENCE", "fence"},
		{"fnece", "fence"},
		{"bulding", "building"},
		{"rign", "ring"},
		{"f", "ft"},
		{"tan", "tank"},
		{"", ""},
		{"transformer", ""},
		{"xyz", ""},
		{"buil", ""},
		{"éé", ""}, // two runes: nothing of "ft" is in it
		{strings.Repeat("fence", 100), ""},
	} {
		got, ok := Nearest(c.word, among)
		if got != c.want || ok != (c.want != "") {
			t.Errorf("%.20q: %q, %v; want %q", c.word, got, ok, c.want)
		}
	}
	if _, ok := Nearest("fence", nil); ok {
		t.Error("found among nothing")
	}
}
