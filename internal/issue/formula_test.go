package issue_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"stubup"
	"stubup/internal/desk"
	"stubup/internal/issue"
	"stubup/site"
)

// fields are the places of a document where a person writes what he likes, as
// site.Shapes has them, each with its mark in testdata/free.yaml. Those at the
// end are keys that are the person's own.
var fields = []string{
	"document name", "document revision", "document by", "governs note", "owner name", "owner.rules[] source", "owner.rules[] pull-boxes", "owner.rules[] trench-along",
	"soil source", "soil.readings[] line", "objects.* name", "objects.* service", "objects.*.openings[] id", "runs.* from", "runs.* to", "runs.*.carries[] cable",
	"runs.*.path[] wall firestop", "benders[] name", "state.ticket number", "tests[] id", "tests[] around", "fault source", "transfer bond-found", "transfer bond-left",
	"supplies.packs[] item", "waivers[] who", "waivers[] why", "waivers[] authority",
	"objects", "runs", "feeders", "prices",
}

// tabled are those of them that tables print; the others stand on paper alone.
var tabled = []string{
	"document name", "document revision", "owner.rules[] source", "owner.rules[] pull-boxes", "soil.readings[] line", "objects.* name", "runs.* from", "runs.* to",
	"runs.*.carries[] cable", "runs.*.path[] wall firestop", "benders[] name", "tests[] id", "tests[] around", "objects", "runs", "feeders",
}

// A key of the document that takes free words stands in the list above.
func TestEveryFreeTextIsTried(t *testing.T) {
	free := []string{"text", "text or id", "words"}
	for _, s := range site.Shapes() {
		for _, k := range s.Keys {
			if slices.Contains(free, k.Value) && !slices.Contains(fields, s.Name+" "+k.Name) {
				t.Errorf("%s %s takes %s and is not tried", s.Name, k.Name, k.Value)
			}
		}
	}
	src := read(t, "testdata/free.yaml")
	for i := range fields {
		if !strings.Contains(src, mark(i)) {
			t.Errorf("%s (%s) is not in the document", fields[i], mark(i))
		}
	}
}

func mark(i int) string { return fmt.Sprintf("<%02d>", i) }

func read(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// told is how a field is found again in what was written.
func told(i int) string { return fmt.Sprintf("f%02d", i) }

// bad are the beginnings that a spreadsheet takes for a formula or that hide
// one (OWASP, CSV injection), and what splits a field or a line.
var bad = []string{
	`=HYPERLINK("http://x.example/","%s")`,
	`=cmd|' /C calc'!A0 %s`,
	"+1+cmd %s",
	"-2+3+cmd %s",
	"@SUM(1+1)*cmd %s",
	"\t=1+1 %s",
	"\r=1+1 %s",
	"\n=1+1 %s",
	"plain %s\n=1+1\r\n+1",
	`x,=1+1,"y %s`,
	`"",=1+1,"%s`,
	"x;=1+1;%s",
	"x\t=1+1\t%s",
	"＝1+1 %s",
	"-%s",
}

// free is the document with a bad text in every field, the next one in the
// next field; from says with which of them it begins.
func free(t *testing.T, from int) []byte {
	src := read(t, "testdata/free.yaml")
	for i := range fields {
		src = strings.ReplaceAll(src, mark(i), strconv.Quote(fmt.Sprintf(bad[(from+i)%len(bad)], told(i))))
	}
	return []byte(src)
}

var plain = regexp.MustCompile(`^-?[0-9]+(\.[0-9]+)?$`)

// runs names the first cell of a CSV file that a spreadsheet could run, split
// at commas as it is written, and at semicolons and tabs as others split it.
func runs(t *testing.T, name string, text string) {
	t.Helper()
	begins := func(s string) bool {
		return s != "" && strings.ContainsRune("=+-@\t\r\n＝＋－＠", []rune(s)[0]) && !plain.MatchString(s)
	}
	recs, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Errorf("%s does not read back: %v", name, err)
	}
	for n, r := range recs {
		for _, c := range r {
			if begins(c) {
				t.Errorf("%s, row %d: %q is run", name, n+1, c)
			}
		}
	}
	for _, sep := range []rune{';', '\t'} {
		rd := csv.NewReader(strings.NewReader(text))
		rd.Comma, rd.LazyQuotes, rd.FieldsPerRecord = sep, true, -1
		recs, err := rd.ReadAll()
		if err != nil {
			t.Errorf("%s, split at %q: %v", name, sep, err)
		}
		for n, r := range recs {
			for k, c := range r {
				if begins(c) && !(k == 0 && c == text) {
					t.Errorf("%s, split at %q, row %d: %q is run", name, sep, n+1, c)
				}
			}
		}
	}
}

func workbook(t *testing.T, name string, b []byte) (all string) {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(b))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	defer f.Close()
	for _, s := range f.GetSheetList() {
		rows, err := f.GetRows(s)
		if err != nil {
			t.Fatal(err)
		}
		for y, r := range rows {
			for x, c := range r {
				at, _ := excelize.CoordinatesToCellName(x+1, y+1)
				if fx, _ := f.GetCellFormula(s, at); fx != "" {
					t.Errorf("%s, %s %s: the formula %q", name, s, at, fx)
				}
				kind, _ := f.GetCellType(s, at)
				// Words are shared or inline text; a number has no type of its own.
				if c != "" && kind != excelize.CellTypeSharedString && kind != excelize.CellTypeInlineString && !regexp.MustCompile(`^[+-]?[0-9][0-9,.]*$`).MatchString(c) {
					t.Errorf("%s, %s %s: %q is of kind %v", name, s, at, c, kind)
				}
				if link, _, _ := f.GetCellHyperLink(s, at); link {
					t.Errorf("%s, %s %s is a link", name, s, at)
				}
				all += c + "\n"
			}
		}
	}
	return all
}

// What a person wrote comes out of every door as text, whatever it begins
// with: the files of every stage as the command, the server and the pages write
// them, and those of a change to and from such a site.
func TestNothingIsRunBySpreadsheets(t *testing.T) {
	clean := evaluate(t, []byte(read(t, "../../examples/fiber-entry.yaml")))
	reached := map[string]bool{}
	for _, from := range []int{0, 4, 9} {
		t.Run(fmt.Sprint("from ", from), func(t *testing.T) {
			src := free(t, from)
			r := evaluate(t, src)
			see := func(name, kind string, b []byte) {
				all := string(b)
				switch kind {
				case issue.CSV:
					runs(t, name, all)
				case issue.XLSX:
					all = workbook(t, name, b)
				default:
					return
				}
				for i := range fields {
					if strings.Contains(all, told(i)) {
						reached[fields[i]] = true
					}
				}
			}
			files := 0
			hand := func(from string, s issue.Stage) {
				for _, f := range s.Files {
					if strings.ContainsAny(f.Name, "/\\:;=\"'\t\r\n") {
						t.Errorf("%s hands out a file named %q", from, f.Name)
					}
					var b bytes.Buffer
					if f.Type == issue.CSV || f.Type == issue.XLSX {
						if err := f.Write(&b); err != nil {
							t.Fatalf("%s: %v", f.Name, err)
						}
						files++
						see(from+" "+f.Name, f.Type, b.Bytes())
					}
				}
			}
			for _, v := range issue.Verbs {
				if s, ok := issue.Of(r, v); ok {
					hand(v, s)
				}
			}
			hand("change to", issue.Change(clean, r))
			hand("change from", issue.Change(r, clean))
			if files < 50 {
				t.Errorf("only %d files were looked into", files)
			}
			if from > 0 {
				return
			}
			// And the pages, which list their files by stage.
			files = 0
			var d desk.Desk
			d.Open("free.yaml", src, asOf)
			d.Compare("a.yaml", clean.Input.Site)
			for _, st := range desk.Stages {
				p, err := d.Stage(st, true)
				if err != nil {
					t.Fatal(err)
				}
				for _, name := range p.Files {
					if strings.ContainsAny(name, "/\\:;=\"'\t\r\n") {
						t.Errorf("%s lists a file named %q", st, name)
					}
					f, err := d.File(name)
					if err != nil {
						t.Errorf("%s lists %s: %v", st, name, err)
						continue
					}
					kind := issue.CSV
					if f["type"] != "text/csv" {
						kind = f["type"]
					}
					files++
					see("page "+name, kind, []byte(f["text"]))
				}
			}
			if files < 50 {
				t.Errorf("only %d files were looked into", files)
			}
		})
	}
	for _, f := range tabled {
		if !reached[f] {
			t.Errorf("%s is in no table: nothing was tried", f)
		}
	}
}

const asOf = "2026-01-05T07:00:00Z"

func evaluate(t testing.TB, src []byte) *stubup.Result {
	t.Helper()
	return stubup.Evaluate(context.Background(), stubup.Input{Name: "site.yaml", Site: src, AsOf: asOf})
}
