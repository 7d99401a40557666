// Package xlsx writes tables as one Office Open XML workbook, one worksheet a
// table: numbers as numbers, words as words and nothing as a formula. The
// same tables give the same bytes.
package xlsx

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"math"
	"regexp"
	"sort"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"stubup/base/sheet"
	"stubup/internal/render/sign"
)

// fixed stands where the format wants a time: nothing here knows one.
var fixed = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// Limits of the format: ECMA-376 worksheets as general-purpose programs read
// them (from memory).
const (
	maxName = 31
	maxCell = 32767
)

// Write writes the workbook.
func Write(w io.Writer, tables []sheet.Table, title string) error {
	f := excelize.NewFile()
	defer f.Close()
	s, err := newStyles(f)
	if err != nil {
		return fmt.Errorf("xlsx: %w", err)
	}
	if len(tables) == 0 {
		tables = []sheet.Table{{ID: "empty", Title: title, Empty: "no tables"}}
	}
	used := map[string]bool{}
	for i, t := range tables {
		name := sheetName(t, used)
		if i == 0 {
			err = f.SetSheetName("Sheet1", name)
		} else {
			_, err = f.NewSheet(name)
		}
		if err == nil {
			err = fill(f, name, t, s)
		}
		if err != nil {
			return fmt.Errorf("xlsx: table %q: %w", t.ID, err)
		}
	}
	stamp := fixed.Format(time.RFC3339)
	if err := f.SetDocProps(&excelize.DocProperties{
		Title: clean(title), Creator: "Stubup", LastModifiedBy: "Stubup",
		Created: stamp, Modified: stamp,
	}); err != nil {
		return fmt.Errorf("xlsx: %w", err)
	}
	if err := f.SetAppProps(&excelize.AppProperties{Application: "Stubup"}); err != nil {
		return fmt.Errorf("xlsx: %w", err)
	}
	var buf bytes.Buffer
	if err := f.Write(&buf); err != nil {
		return fmt.Errorf("xlsx: %w", err)
	}
	return repack(w, buf.Bytes())
}

// repack writes the parts in the order of their names with one fixed time, so
// that the bytes depend on nothing but the tables.
func repack(w io.Writer, data []byte) error {
	in, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return fmt.Errorf("xlsx: %w", err)
	}
	parts := in.File
	// The list of content types comes first, as readers expect.
	sort.Slice(parts, func(i, j int) bool {
		a, b := parts[i].Name, parts[j].Name
		if (a == "[Content_Types].xml") != (b == "[Content_Types].xml") {
			return a == "[Content_Types].xml"
		}
		return a < b
	})
	out := zip.NewWriter(w)
	for _, p := range parts {
		to, err := out.CreateHeader(&zip.FileHeader{Name: p.Name, Method: zip.Deflate, Modified: fixed})
		if err != nil {
			return fmt.Errorf("xlsx: %w", err)
		}
		from, err := p.Open()
		if err != nil {
			return fmt.Errorf("xlsx: %w", err)
		}
		_, err = io.Copy(to, from)
		from.Close()
		if err != nil {
			return fmt.Errorf("xlsx: %w", err)
		}
	}
	return out.Close()
}

type styles struct {
	head, text, bold, hand, note int
	f                            *excelize.File
	numbers                      map[numberStyle]int
}

// numberStyle is how a number shows: as many places as it prints with.
type numberStyle struct {
	format string
	bold   bool
}

var plainNumber = regexp.MustCompile(`^-?[0-9][0-9,]*(\.[0-9]+)?$`)

// format returns the number format that shows a value as its words do.
func format(text string) string {
	m := plainNumber.FindStringSubmatch(text)
	if m == nil {
		return "General"
	}
	out := "0"
	if strings.Contains(text, ",") {
		out = "#,##0"
	}
	if m[1] != "" {
		out += "." + strings.Repeat("0", len(m[1])-1)
	}
	return out
}

func (s *styles) number(c sheet.Cell) (int, error) {
	key := numberStyle{format(c.Text), c.Bold}
	if id, ok := s.numbers[key]; ok {
		return id, nil
	}
	id, err := s.f.NewStyle(&excelize.Style{
		Font: font(c.Bold), CustomNumFmt: &key.format,
		Alignment: &excelize.Alignment{Horizontal: "right", Vertical: "top"},
	})
	s.numbers[key] = id
	return id, err
}

func font(bold bool) *excelize.Font {
	return &excelize.Font{Family: "DejaVu Sans Condensed", Size: 10, Bold: bold, Color: "14202B"}
}

func newStyles(f *excelize.File) (s *styles, err error) {
	s = &styles{f: f, numbers: map[numberStyle]int{}}
	line := []excelize.Border{{Type: "bottom", Color: "14202B", Style: 1}}
	for _, d := range []struct {
		to *int
		st excelize.Style
	}{
		{&s.head, excelize.Style{Font: font(true), Border: line, Alignment: &excelize.Alignment{WrapText: true, Vertical: "bottom"}}},
		{&s.text, excelize.Style{Font: font(false), NumFmt: 49, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}},
		{&s.bold, excelize.Style{Font: font(true), NumFmt: 49, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}},
		{&s.hand, excelize.Style{Font: font(false), Border: line}},
		{&s.note, excelize.Style{Font: font(false)}},
	} {
		if *d.to, err = f.NewStyle(&d.st); err != nil {
			return s, err
		}
	}
	return s, nil
}

// fill writes one worksheet: the heads in row 1, the rows under them, then
// blank ruled rows and notes. The title is in the print head, so that the
// heads stay in the first row for whoever sorts.
func fill(f *excelize.File, name string, t sheet.Table, s *styles) error {
	n := len(t.Columns)
	for _, r := range t.Rows {
		n = max(n, len(r))
	}
	n = max(n, 1)
	width := make([]float64, n)
	set := func(col, row int, v any, style int) error {
		at, err := excelize.CoordinatesToCellName(col, row)
		if err != nil {
			return err
		}
		if v != nil {
			// A string value is always written as a string; only
			// SetCellFormula makes a formula, and nothing here calls it.
			if err := f.SetCellValue(name, at, v); err != nil {
				return err
			}
		}
		return f.SetCellStyle(name, at, at, style)
	}
	row := 1
	if len(t.Columns) > 0 {
		for j, c := range t.Columns {
			head := c.Head
			if c.Unit != "" {
				head += " (" + c.Unit + ")"
			}
			width[j] = max(width[j], min(float64(utf8.RuneCountInString(head)), 18))
			if err := set(j+1, row, clean(head), s.head); err != nil {
				return err
			}
		}
		if err := f.SetPanes(name, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
			return err
		}
		row++
	}
	for _, r := range t.Rows {
		for j, c := range r {
			text := sign.Said(c.Text, c.Mark)
			width[j] = max(width[j], float64(utf8.RuneCountInString(text)))
			var err error
			switch {
			case c.IsNum && !math.IsNaN(c.Num) && !math.IsInf(c.Num, 0):
				var style int
				if style, err = s.number(c); err == nil {
					err = set(j+1, row, c.Num, style)
				}
			case c.Bold:
				err = set(j+1, row, clean(text), s.bold)
			default:
				err = set(j+1, row, clean(text), s.text)
			}
			if err != nil {
				return err
			}
		}
		row++
	}
	if len(t.Rows) == 0 && t.Blank == 0 && t.Empty != "" {
		if err := set(1, row, clean(t.Empty), s.note); err != nil {
			return err
		}
		row++
	}
	for range t.Blank {
		for j := range n {
			if err := set(j+1, row, nil, s.hand); err != nil {
				return err
			}
		}
		if err := f.SetRowHeight(name, row, 26); err != nil {
			return err
		}
		row++
	}
	if len(t.Notes) > 0 {
		row++
	}
	for _, note := range t.Notes {
		if err := set(1, row, clean(note), s.note); err != nil {
			return err
		}
		row++
	}
	for j, w := range width {
		col, err := excelize.ColumnNumberToName(j + 1)
		if err != nil {
			return err
		}
		if err := f.SetColWidth(name, col, col, min(max(w+2, 8), 60)); err != nil {
			return err
		}
	}
	return printSetup(f, name, t)
}

// printSetup makes a letter page, one page wide and as many tall as it takes,
// the heads again on each.
func printSetup(f *excelize.File, name string, t sheet.Table) error {
	letter, tall, wide := 1, 0, 1
	orientation := "portrait"
	if len(t.Columns) > 7 {
		orientation = "landscape"
	}
	if err := f.SetPageLayout(name, &excelize.PageLayoutOptions{
		Size: &letter, Orientation: &orientation,
		FitToHeight: &tall, FitToWidth: &wide,
	}); err != nil {
		return err
	}
	fit := true
	if err := f.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &fit}); err != nil {
		return err
	}
	// An ampersand starts a code in a print head, so it is doubled.
	title := []rune(strings.ReplaceAll(clean(t.Title), "&", "&&"))
	head := string(title[:min(len(title), 200)])
	if err := f.SetHeaderFooter(name, &excelize.HeaderFooterOptions{OddHeader: "&L" + head, OddFooter: "&Rpage &P of &N"}); err != nil {
		return err
	}
	if len(t.Columns) == 0 {
		return nil
	}
	return f.SetDefinedName(&excelize.DefinedName{
		Name:     "_xlnm.Print_Titles",
		RefersTo: "'" + strings.ReplaceAll(name, "'", "''") + "'!$1:$1", Scope: name,
	})
}

// sheetName returns a name the format takes that no earlier table has.
func sheetName(t sheet.Table, used map[string]bool) string {
	name := t.ID
	if name == "" {
		name = t.Title
	}
	name = strings.Map(func(r rune) rune {
		if r < ' ' || strings.ContainsRune(`:\/?*[]`, r) {
			return '-'
		}
		return r
	}, clean(name))
	name = strings.Trim(name, "' ")
	if name == "" {
		name = "table"
	}
	cut := func(s string, n int) string {
		// The limit counts UTF-16 units.
		units := 0
		for i, r := range s {
			units++
			if r > 0xFFFF {
				units++
			}
			if units > n {
				return strings.TrimRight(s[:i], "' ")
			}
		}
		return s
	}
	base := cut(name, maxName)
	name = base
	for i := 2; used[strings.ToLower(name)]; i++ {
		tail := fmt.Sprintf(" %d", i)
		name = cut(base, maxName-len(tail)) + tail
	}
	used[strings.ToLower(name)] = true
	return name
}

// clean leaves out what XML 1.0 cannot hold and cuts at the most a cell takes.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' && r != '\n' || r == 0xFFFE || r == 0xFFFF {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
	if utf8.RuneCountInString(s) > maxCell {
		s = string([]rune(s)[:maxCell])
	}
	return s
}
