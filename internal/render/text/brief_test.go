package text

import (
	"strings"
	"testing"

	"stubup/base/sheet"
)

// A table whose rows would stand many lines tall is set as one paragraph a
// row; nothing of a row is lost, and a table that fits stays a table.
func TestBriefs(t *testing.T) {
	long := "2'-9 15/16\" from post 1, 7'-3 3/8\" from post 14, on the right going from post 1 to post 14"
	tb := sheet.Table{Title: "Points", Columns: []sheet.Column{{Head: "id"}, {Head: "what"}, {Head: "place"}, {Head: "mold"}, {Head: "notes"}}}
	for _, id := range []string{"R1", "R2", "R3"} {
		tb.Rows = append(tb.Rows, sheet.Row{sheet.T(id), sheet.T("cable-to-rod, ring to " + id), sheet.T(long), sheet.T("1, shot 1, 90 g by its tag"), sheet.T("dry the mold first, upwind, paint back")})
	}
	var b strings.Builder
	if err := Table(&b, tb, Style{}); err != nil {
		t.Fatal(err)
	}
	flat := strings.Join(strings.Fields(b.String()), " ")
	for _, want := range []string{"(id; what; place; mold; notes)", "- R2; cable-to-rod, ring to R2; " + strings.Join(strings.Fields(long), " ") + "; 1, shot 1, 90 g by its tag; dry the mold first, upwind, paint back"} {
		if !strings.Contains(flat, want) {
			t.Errorf("%q is lost:\n%s", want, b.String())
		}
	}
	for _, l := range strings.Split(b.String(), "\n") {
		if Width(l) > 80 {
			t.Errorf("%q is wider than 80", l)
		}
	}
	tb.Rows = tb.Rows[:1]
	tb.Rows[0] = sheet.Row{sheet.T("R1"), sheet.T("rod"), sheet.T("at post 1"), sheet.T("1"), sheet.T("")}
	b.Reset()
	if err := Table(&b, tb, Style{}); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), ";") {
		t.Errorf("a table that fits is not set as one:\n%s", b.String())
	}
}
