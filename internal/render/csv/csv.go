// Package csv writes a table as comma-separated values (RFC 4180) that a
// spreadsheet opens without running any of it.
package csv

import (
	"bufio"
	"io"
	"strings"

	"stubup/base/sheet"
	"stubup/internal/render/sign"
)

// Write writes the heads, with their units, and the rows. Lines end in CR LF.
// A text cell that a spreadsheet could take for a formula gets an apostrophe
// before it; numbers are written as they print.
func Write(w io.Writer, t sheet.Table) error {
	b := bufio.NewWriter(w)
	n := len(t.Columns)
	for _, r := range t.Rows {
		n = max(n, len(r))
	}
	row := make([]string, n)
	if len(t.Columns) > 0 {
		for j := range row {
			row[j] = ""
			if j < len(t.Columns) {
				row[j] = guard(head(t.Columns[j]))
			}
		}
		record(b, row)
	}
	for _, r := range t.Rows {
		for j := range row {
			row[j] = ""
			if j < len(r) {
				row[j] = cell(r[j])
			}
		}
		record(b, row)
	}
	return b.Flush()
}

func head(c sheet.Column) string {
	if c.Unit == "" {
		return c.Head
	}
	return c.Head + " (" + c.Unit + ")"
}

// cell prints a number as its words where they are a number and no more, so
// that the rounding of print is kept, else as the words.
func cell(c sheet.Cell) string {
	if c.IsNum && number(c.Text) {
		return c.Text
	}
	return guard(sign.Said(c.Text, c.Mark))
}

// number reports whether s is a plain decimal number: digits with at most one
// point and a leading minus.
func number(s string) bool {
	s = strings.TrimPrefix(s, "-")
	digits, points := 0, 0
	for _, r := range s {
		switch {
		case r >= '0' && r <= '9':
			digits++
		case r == '.':
			points++
		default:
			return false
		}
	}
	return digits > 0 && points <= 1
}

// signs begin a formula, and splits end a field or a line where a spreadsheet
// is told of another separator than the comma, or of none.
const (
	signs  = "=+-@\uFF1D\uFF0B\uFF0D\uFF20"
	splits = ";\t\r\n"
)

// guard puts an apostrophe before what a spreadsheet could run: at the
// beginning, and where the text could be split.
func guard(s string) string {
	var b strings.Builder
	before := ';'
	for i, r := range s {
		if strings.ContainsRune(splits, before) && strings.ContainsRune(signs, r) || i == 0 && r != ';' && strings.ContainsRune(splits, r) {
			b.WriteByte('\'')
		}
		b.WriteRune(r)
		before = r
	}
	return b.String()
}

func record(b *bufio.Writer, row []string) {
	for j, s := range row {
		if j > 0 {
			b.WriteByte(',')
		}
		// A lone empty field is quoted, so that the line is not taken for an
		// empty one.
		if strings.ContainsAny(s, ",\""+splits) || strings.TrimSpace(s) != s || (s == "" && len(row) == 1) {
			b.WriteByte('"')
			b.WriteString(strings.ReplaceAll(s, `"`, `""`))
			b.WriteByte('"')
		} else {
			b.WriteString(s)
		}
	}
	b.WriteString("\r\n")
}
