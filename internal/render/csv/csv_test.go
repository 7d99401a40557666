package csv

import (
	"bytes"
	"encoding/csv"
	"errors"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/sheet"
)

func write(t interface{ Fatal(...any) }, tb sheet.Table) string {
	var b bytes.Buffer
	if err := Write(&b, tb); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// RFC 4180, section 2: lines end in CR LF; fields with commas, quotes or line
// ends are quoted, quotes doubled.
func TestRFC4180(t *testing.T) {
	got := write(t, sheet.Table{
		Columns: []sheet.Column{{Head: "Item"}, {Head: "Length", Unit: "ft"}},
		Rows:    []sheet.Row{{sheet.T(`2'-6 1/2" rod, "as dug"`), sheet.N(2.5, "2.5")}, {sheet.T("two\nlines")}},
	})
	want := "Item,Length (ft)\r\n\"2'-6 1/2\"\" rod, \"\"as dug\"\"\",2.5\r\n\"two\nlines\",\r\n"
	if got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// Signs that begin a formula in a spreadsheet: = + - @ and the tab and line
// ends that hide one (OWASP, CSV injection).
func TestFormulasAreGuarded(t *testing.T) {
	for _, s := range []string{"=1+1", "+1", "-1 ft", "@SUM(A1)", "\t=1", "\r=1", "=HYPERLINK(\"http://x\")", "\uFF1D1"} {
		got := write(t, sheet.Table{Rows: []sheet.Row{{sheet.T(s), sheet.T("b")}}})
		r := csv.NewReader(strings.NewReader(got))
		rec, err := r.Read()
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(rec[0], "'") {
			t.Errorf("%q is written as %q", s, rec[0])
		}
	}
	head := write(t, sheet.Table{Columns: []sheet.Column{{Head: "=cmd"}}})
	if head != "'=cmd\r\n" {
		t.Errorf("a head %q", head)
	}
}

func TestNumbersAreNotTouched(t *testing.T) {
	got := write(t, sheet.Table{Rows: []sheet.Row{{sheet.N(-3.5, "-3.5"), sheet.N(4.68, "4.68"), sheet.N(-1, "-1 ft"), sheet.N(-2, "=2")}}})
	if got != "-3.5,4.68,'-1 ft,'=2\r\n" {
		t.Errorf("%q", got)
	}
}

func TestMarksAreWords(t *testing.T) {
	got := write(t, sheet.Table{Rows: []sheet.Row{{{Text: "225 of 180", Mark: sheet.Broken}, {Text: "it holds", Mark: sheet.Holds}, {Mark: sheet.NotApply}}}})
	if got != "broken: 225 of 180,it holds,does not apply\r\n" {
		t.Errorf("%q", got)
	}
}

// Every table reads back, in the standard reader, with as many fields in
// each line, no field that begins a formula, and the same text.
func TestReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "columns")
		tb := sheet.Table{}
		for range n {
			tb.Columns = append(tb.Columns, sheet.Column{Head: rapid.String().Draw(t, "head")})
		}
		cell := rapid.OneOf(rapid.String(), rapid.StringMatching("[=+@\t\r\n,\" -]{1,4}[a-z]*"))
		for range rapid.IntRange(0, 5).Draw(t, "rows") {
			var r sheet.Row
			for range n {
				r = append(r, sheet.T(cell.Draw(t, "cell")))
			}
			tb.Rows = append(tb.Rows, r)
		}
		rd := csv.NewReader(strings.NewReader(write(t, tb)))
		rd.FieldsPerRecord = n
		recs, err := rd.ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if len(recs) != len(tb.Rows)+1 {
			t.Fatalf("%d records of %d rows", len(recs), len(tb.Rows))
		}
		for i, r := range tb.Rows {
			for j, c := range r {
				got := recs[i+1][j]
				if got != "" && strings.ContainsRune("=+-@\t\r", rune(got[0])) {
					t.Fatalf("%q begins a formula", got)
				}
				// The standard reader turns CR LF inside a field into LF.
				want := strings.ReplaceAll(c.Text, "\r\n", "\n")
				if loose.ReplaceAllString(got, "$1") != loose.ReplaceAllString(want, "$1") {
					t.Fatalf("%q reads back as %q", want, got)
				}
			}
		}
	})
}

// loose finds the apostrophes that stand where a field or a line could begin.
var loose = regexp.MustCompile("((?:^|[;\t\r\n]))'+")

// A reader that is told of another separator, or that takes a quote in the
// middle of a line for a letter, splits a cell: no part of it begins a formula.
func TestSplitElsewhere(t *testing.T) {
	for s, want := range map[string]string{
		"x;=1+1;y":      `"x;'=1+1;y"`,
		"x\t=1":         "\"x\t'=1\"",
		"x\n=1":         "\"x\n'=1\"",
		"a; + 10 % = 1": `"a; + 10 % = 1"`, // a blank comes first: that is no formula
		";-1":           `";'-1"`,
		"=;=":           `"'=;'="`,
	} {
		if got := write(t, sheet.Table{Rows: []sheet.Row{{sheet.T(s)}}}); got != want+"\r\n" {
			t.Errorf("%q is written as %q, want %q", s, got, want)
		}
	}
}

func TestFailureIsTold(t *testing.T) {
	full := errors.New("disk full")
	if err := Write(failing{full}, sheet.Table{Rows: []sheet.Row{{sheet.T("a")}}}); !errors.Is(err, full) {
		t.Errorf("%v", err)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }
