package xlsx

import (
	"archive/zip"
	"bytes"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"stubup/base/sheet"
)

func tables() []sheet.Table {
	return []sheet.Table{
		{
			ID: "order.bill", Title: "To order & pay", Columns: []sheet.Column{{Head: "Item"}, {Head: "Length", Unit: "ft"}, {Head: "State"}},
			Rows: []sheet.Row{
				{sheet.T("2 AWG solid tinned"), sheet.N(387.2, "387.20"), {Text: "56 over 50", Mark: sheet.Broken}},
				{sheet.T("=HYPERLINK(\"http://x\")"), sheet.N(1234.5, "1,234.5"), sheet.T("+1")},
				{{Text: "<b> & \x01 \u65e5", Bold: true}, sheet.N(-1, "-1 ft"), sheet.T("0012")},
			}, Notes: []string{"-1 is no formula"},
		},
		{ID: "a/b:c*d?[e] a very long name that goes past the limit", Columns: []sheet.Column{{Head: "x"}}, Empty: "Nothing to buy."},
		{ID: "a/b:c*d?[e] a very long name that goes past the other limit", Columns: []sheet.Column{{Head: "x"}}, Blank: 3},
	}
}

func written(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, tables(), "Quarry Hill, revision C"); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestReadsBack(t *testing.T) {
	f, err := excelize.OpenReader(bytes.NewReader(written(t)))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	names := f.GetSheetList()
	if len(names) != 3 || names[0] != "order.bill" || names[1] == names[2] {
		t.Fatalf("sheets %q", names)
	}
	for _, n := range names {
		if len(n) > 31 {
			t.Errorf("name %q is too long", n)
		}
	}
	want := map[string]string{
		"A1": "Item", "B1": "Length (ft)", "C1": "State",
		"A2": "2 AWG solid tinned", "B2": "387.20", "C2": "broken: 56 over 50",
		"A3": `=HYPERLINK("http://x")`, "B3": "1,234.5", "C3": "+1",
		"A4": "<b> &  \u65e5", "B4": "-1", "C4": "0012", "A6": "-1 is no formula",
	}
	for at, w := range want {
		if got, err := f.GetCellValue("order.bill", at); err != nil || got != w {
			t.Errorf("%s shows %q, want %q (%v)", at, got, w, err)
		}
		if form, _ := f.GetCellFormula("order.bill", at); form != "" {
			t.Errorf("%s holds a formula %q", at, form)
		}
	}
	for at, w := range map[string]float64{"B2": 387.2, "B3": 1234.5, "B4": -1} {
		raw, err := f.GetCellValue("order.bill", at, excelize.Options{RawCellValue: true})
		if v, e := strconv.ParseFloat(raw, 64); err != nil || e != nil || v != w {
			t.Errorf("%s is %q, want the number %g", at, raw, w)
		}
		kind, _ := f.GetCellType("order.bill", at)
		if kind != excelize.CellTypeUnset && kind != excelize.CellTypeNumber {
			t.Errorf("%s is of type %d, not a number", at, kind)
		}
	}
	if kind, _ := f.GetCellType("order.bill", "C4"); kind != excelize.CellTypeSharedString && kind != excelize.CellTypeInlineString {
		t.Errorf("0012 is of type %d, not text", kind)
	}
	if got, _ := f.GetCellValue(names[1], "A2"); got != "Nothing to buy." {
		t.Errorf("empty table says %q", got)
	}
}

func TestHeadsAndPrint(t *testing.T) {
	f, err := excelize.OpenReader(bytes.NewReader(written(t)))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	id, err := f.GetCellStyle("order.bill", "A1")
	if err != nil {
		t.Fatal(err)
	}
	st, err := f.GetStyle(id)
	if err != nil || st.Font == nil || !st.Font.Bold {
		t.Errorf("the head is not bold: %v %v", st, err)
	}
	panes, err := f.GetPanes("order.bill")
	if err != nil || !panes.Freeze || panes.YSplit != 1 {
		t.Errorf("the head is not frozen: %+v %v", panes, err)
	}
	props, err := f.GetSheetProps("order.bill")
	if err != nil || props.FitToPage == nil || !*props.FitToPage {
		t.Errorf("not fitted to the page: %v", err)
	}
	lay, err := f.GetPageLayout("order.bill")
	if err != nil || lay.FitToWidth == nil || *lay.FitToWidth != 1 || lay.FitToHeight == nil || *lay.FitToHeight != 0 {
		t.Errorf("page layout %+v %v", lay, err)
	}
	doc, err := f.GetDocProps()
	if err != nil || doc.Title != "Quarry Hill, revision C" || doc.Created != "2000-01-01T00:00:00Z" {
		t.Errorf("properties %+v %v", doc, err)
	}
	w, err := f.GetColWidth("order.bill", "A")
	if err != nil || w < 18 {
		t.Errorf("column A is %g wide", w)
	}
}

func TestSameTablesSameBytes(t *testing.T) {
	first := written(t)
	for range 5 {
		if !bytes.Equal(first, written(t)) {
			t.Fatal("two files of the same tables differ")
		}
	}
	z, err := zip.NewReader(bytes.NewReader(first), int64(len(first)))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range z.File {
		r, err := p.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(b), "<f>") {
			t.Errorf("%s holds a formula", p.Name)
		}
	}
}

func TestNoTables(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, nil, "nothing"); err != nil {
		t.Fatal(err)
	}
	nan := sheet.Table{ID: "n", Rows: []sheet.Row{{sheet.N(math.NaN(), "cannot tell")}}}
	if err := Write(&b, []sheet.Table{nan}, ""); err != nil {
		t.Fatal(err)
	}
}

func TestFormat(t *testing.T) {
	for text, want := range map[string]string{"30": "0", "4.68": "0.00", "1,234.5": "#,##0.0", "5 ohm": "General", "": "General", "-0.125": "0.000"} {
		if got := format(text); got != want {
			t.Errorf("format(%q) = %q, want %q", text, got, want)
		}
	}
}
