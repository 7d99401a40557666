package table

import (
	"slices"
	"strings"
	"testing"

	"stubup/base/cite"
)

// What is expected here is the head that the package comment sets down, and
// RFC 4180 for the rows: every record has as many fields as the first.

var head = []string{
	"# work: Work W",
	"# edition: 2001",
	"# place: Table 9: sizes",
	"# seen: yes",
	"# status: read whole",
	"# check: grows down the page",
	"# unit: in",
}

const body = `size,wide,note
1/2,0.5,"a, b"
3/4,,none
1,1e-3,-
1/2,9,second of its name
`

func text(head []string, body string) string { return strings.Join(head, "\n") + "\n" + body }

func TestParse(t *testing.T) {
	for _, end := range []string{"\n", "\r\n"} {
		tab, err := Parse(strings.ReplaceAll(text(append(slices.Clone(head), "# note: doubtful"), body), "\n", end))
		if err != nil {
			t.Fatal(err)
		}
		want := cite.Ref{Work: "Work W", Edition: "2001", Place: "Table 9: sizes", Seen: cite.Read, Note: "doubtful"}
		if tab.Cite != want {
			t.Errorf("citation %+v, want %+v", tab.Cite, want)
		}
		if tab.Status != "read whole" || tab.Check != "grows down the page" || tab.Unit != "in" {
			t.Errorf("head: %q, %q, %q", tab.Status, tab.Check, tab.Unit)
		}
		if len(tab.Rows) != 4 || !slices.Equal(tab.Cols, []string{"size", "wide", "note"}) {
			t.Errorf("%d rows under %q", len(tab.Rows), tab.Cols)
		}
	}
}

func TestEveryHeadLineIsRequired(t *testing.T) {
	for i, line := range head {
		key, _, _ := strings.Cut(strings.TrimPrefix(line, "# "), ":")
		if _, err := Parse(text(slices.Delete(slices.Clone(head), i, i+1), body)); err == nil || !strings.Contains(err.Error(), `"`+key+`"`) {
			t.Errorf("without %q: error %v does not name it", key, err)
		}
	}
	if _, err := Parse(body); err == nil {
		t.Error("a table with no head was read")
	}
}

// A figure whose work is not named would print without a citation.
func TestWorkIsNamed(t *testing.T) {
	h := slices.Clone(head)
	h[0] = "# work:"
	if tab, err := Parse(text(h, body)); err == nil {
		t.Errorf("a table of no work was read; its citation is zero: %v", tab.Cite.IsZero())
	}
}

func TestRefused(t *testing.T) {
	seen := func(word string) string {
		h := slices.Clone(head)
		h[3] = "# seen: " + word
		return text(h, body)
	}
	for name, s := range map[string]string{
		"nothing":            "",
		"head line, no key":  "# just words\n" + text(head, body),
		"seen: maybe":        seen("maybe"),
		"seen: empty":        seen(""),
		"seen: Yes":          seen("Yes"),
		"no rows":            text(head, "size,wide\n"),
		"no columns":         text(head, ""),
		"row too short":      text(head, "size,wide\n1/2\n"),
		"row too long":       text(head, "size,wide\n1/2,1,2\n"),
		"quote never closed": text(head, "size,wide\n\"1/2,1\n"),
	} {
		if _, err := Parse(s); err == nil {
			t.Errorf("%s: read without complaint", name)
		}
	}
	for word, want := range map[string]cite.Seen{"yes": cite.Read, "derived": cite.Derived, "memory": cite.FromMemory} {
		if tab, err := Parse(seen(word)); err != nil || tab.Cite.Seen != want {
			t.Errorf("seen: %s: %v, %v", word, tab, err)
		}
	}
}

func TestCellAndNum(t *testing.T) {
	tab, err := Parse(text(head, body))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		row, col, cell string
		ok             bool
		num            float64
		isNum          bool
	}{
		{"1/2", "wide", "0.5", true, 0.5, true}, // the first of its name
		{"1/2", "note", "a, b", true, 0, false},
		{"1/2", "size", "1/2", true, 0, false},
		{"1", "wide", "1e-3", true, 0.001, true},
		{"1", "note", "-", true, 0, false},
		{"3/4", "wide", "", false, 0, false}, // the table prints none
		{"2", "wide", "", false, 0, false},
		{"", "wide", "", false, 0, false},
		{"size", "wide", "", false, 0, false}, // the head is no row
		{"1/2", "deep", "", false, 0, false},
		{"1/2", "", "", false, 0, false},
	} {
		if s, ok := tab.Cell(c.row, c.col); s != c.cell || ok != c.ok {
			t.Errorf("cell %q, %q: %q, %v", c.row, c.col, s, ok)
		}
		if v, ok := tab.Num(c.row, c.col); v != c.num || ok != c.isNum {
			t.Errorf("number %q, %q: %v, %v; want %v, %v", c.row, c.col, v, ok, c.num, c.isNum)
		}
	}
}

// No page prints a figure that is not a number, or one past all counting.
func TestNumIsFinite(t *testing.T) {
	tab, err := Parse(text(head, "size,wide\na,NaN\nb,inf\nc,-Infinity\nd,1e999\n"))
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []string{"a", "b", "c", "d"} {
		if v, ok := tab.Num(row, "wide"); ok || v != 0 {
			t.Errorf("row %s: %v, %v", row, v, ok)
		}
	}
}

func TestLazy(t *testing.T) {
	get := Lazy(text(head, body))
	if first, again := get(), get(); first == nil || first != again {
		t.Error("not parsed once")
	}
	defer func() {
		if recover() == nil {
			t.Error("a fault in the program's own table does not panic")
		}
	}()
	Lazy(body)()
}
