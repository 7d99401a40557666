package diag

import (
	"go/ast"
	"go/parser"
	"go/token"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

func TestOneLineForm(t *testing.T) {
	d := Diag{Code: UnitMissing, File: "quarry-hill.yaml", Span: Span{Path: "ring.depth", Line: 31, Col: 14, End: 16}, What: `"30" has no unit`, Mend: `write "30 in" or "762 mm"`}
	if got, want := d.String(), `quarry-hill.yaml:31:14: ring.depth: "30" has no unit`; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	d.Level, d.File, d.Span.Path = Warning, "", ""
	if got, want := d.String(), `site:31:14: warning: "30" has no unit`; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

func TestShownWithCaret(t *testing.T) {
	src := []byte("name: x\r\n  depth: 30\r\n  é: 1\n")
	for _, c := range []struct {
		span Span
		want string
	}{
		{Span{Line: 2, Col: 10, End: 12}, "     2 |   depth: 30\n       |          ^^\n"},
		{Span{Line: 3, Col: 3, End: 4}, "     3 |   é: 1\n       |   ^\n"},
		{Span{Line: 1, Col: 8, End: 8}, "     1 | name: x\n       |        ^\n"},
		{Span{Line: 4, Col: 1, End: 1}, "     4 | \n       | ^\n"},
	} {
		got := Diag{Code: Syntax, File: "f", Span: c.span, What: "w", Mend: "m"}.Show(src)
		if !strings.Contains(got, c.want) || !strings.HasSuffix(got, "  mend: m  [syntax]\n") {
			t.Errorf("%+v:\n%swant\n%s", c.span, got, c.want)
		}
	}
}

// A place that is not in the source is shown without a line, and a line far
// longer than a terminal is cut around the place.
func TestShownOutsideAndLong(t *testing.T) {
	d := Diag{Code: Syntax, Span: Span{Line: 9, Col: 1}, What: "w", Mend: "m"}
	if got := d.Show([]byte("one line")); strings.Contains(got, "|") {
		t.Error(got)
	}
	if got := d.Show(nil); strings.Contains(got, "|") {
		t.Error(got)
	}
	long := strings.Repeat("a", 500) + "HERE" + strings.Repeat("b", 500)
	d.Span = Span{Line: 1, Col: 501, End: 505}
	lines := strings.Split(d.Show([]byte(long)), "\n")
	if len(lines[1]) > 130 || strings.Index(lines[1], "HERE") != strings.Index(lines[2], "^^^^") {
		t.Errorf("%s\n%s", lines[1], lines[2])
	}
	// A tab is shown as one blank, so that the caret stands below its place.
	d.Span = Span{Line: 1, Col: 2, End: 3}
	lines = strings.Split(d.Show([]byte("\tx")), "\n")
	if strings.IndexByte(lines[1], 'x') != strings.IndexByte(lines[2], '^') {
		t.Errorf("%s\n%s", lines[1], lines[2])
	}
	// A span that ends far beyond what is shown has no more carets than shown.
	d.Span = Span{Line: 1, Col: 1, End: 100000}
	lines = strings.Split(d.Show([]byte(long)), "\n")
	if len(lines[2]) > len(lines[1])+1 {
		t.Error(lines[2])
	}
}

func TestDiagsSortByPlace(t *testing.T) {
	var l List
	for _, s := range []Span{{Line: 2, Col: 1}, {Line: 1, Col: 5}, {Line: 1, Col: 2}} {
		l.Add(Diag{Code: Syntax, Span: s, Level: Warning})
	}
	if l.HasError() {
		t.Error("a warning is no error")
	}
	l.Add(Diag{Code: Alias, Span: Span{Line: 1, Col: 2}})
	if !l.HasError() {
		t.Error("an error is not seen")
	}
	l.Sort()
	if l[0].Code != Alias || l[1].Span.Col != 2 || l[2].Span.Col != 5 || l[3].Span.Line != 2 {
		t.Errorf("%v", l)
	}
}

func TestNearestByExample(t *testing.T) {
	for _, c := range []struct {
		word string
		from []string
		want string
	}{
		{"fense", []string{"pad", "fence", "frame"}, "fence"},
		{"FENCE", []string{"pad", "fence"}, "fence"},
		{"dpeth", []string{"width", "depth"}, "depth"}, // neighbors swapped
		{"xylophone", []string{"pad", "fence"}, ""},
		{"", []string{"pad"}, ""},
		{"a", []string{"zz", "xx"}, ""},
		{strings.Repeat("a", 100), []string{strings.Repeat("a", 101)}, ""},
		{"ab", nil, ""},
	} {
		got, ok := Nearest(c.word, c.from)
		if got != c.want || ok != (c.want != "") {
			t.Errorf("%q among %q: %q", c.word, c.from, got)
		}
	}
}

// Distances counted by hand.
func TestEditDistanceByHand(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"", "abc", 3}, {"abc", "", 3}, {"kitten", "sitting", 3}, {"ab", "ba", 1}, {"ca", "abc", 3}, {"rod", "rod", 0}, {"é", "e", 1}} {
		if got := editDistance(c.a, c.b); got != c.want {
			t.Errorf("%q to %q: %d, want %d", c.a, c.b, got, c.want)
		}
		if got := editDistance(c.b, c.a); got != c.want {
			t.Errorf("%q to %q: %d, want %d", c.b, c.a, got, c.want)
		}
	}
}

// Every code is unique, spelled in small letters, and has an example beside
// it.
func TestCodesAreUniqueAndExplained(t *testing.T) {
	f, err := parser.ParseFile(token.NewFileSet(), "codes.go", nil, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	ast.Inspect(f, func(n ast.Node) bool {
		v, ok := n.(*ast.ValueSpec)
		if !ok {
			return true
		}
		code, _ := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
		if seen[code] || !regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`).MatchString(code) {
			t.Errorf("%q is used twice or is misspelled", code)
		}
		seen[code] = true
		if v.Comment == nil || len(v.Comment.Text()) < 8 {
			t.Errorf("%q has no example", code)
		}
		return true
	})
	if len(seen) < 26 {
		t.Errorf("%d codes", len(seen))
	}
}
