// Package table reads the figure tables of standards: CSV in printed-page
// order and unit, headed by lines that say which work, edition and place they
// are from, how well they are known, and how they were checked.
//
//	# work: NFPA 70
//	# edition: 2011-2023
//	# place: Chapter 9 Table 2
//	# seen: yes
//	# status: whole table read in a public copy
//	# check: radius grows with trade size
//	# unit: in
//	trade,one_shot,other
//	1/2,4,4
//
// Figures live in such files beside the package that reads them and never as
// literals in code.
package table

import (
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"

	"stubup/base/cite"
)

// Table is one table of figures.
type Table struct {
	Cite   cite.Ref
	Status string
	Check  string
	Unit   string
	Cols   []string
	Rows   [][]string
	index  map[string]int
	col    map[string]int
}

// Parse reads a table. Every head line is required, and the work is named: a
// figure of no work would print without a citation.
func Parse(text string) (*Table, error) {
	head := map[string]string{}
	body := text
	for strings.HasPrefix(body, "#") {
		line, rest, _ := strings.Cut(body, "\n")
		body = rest
		k, v, ok := strings.Cut(strings.TrimSpace(strings.TrimPrefix(line, "#")), ":")
		if !ok {
			return nil, fmt.Errorf("table: head line %q has no key", line)
		}
		head[strings.TrimSpace(k)] = strings.TrimSpace(v)
	}
	for _, k := range []string{"work", "edition", "place", "seen", "status", "check", "unit"} {
		if _, ok := head[k]; !ok {
			return nil, fmt.Errorf("table: no %q in the head", k)
		}
	}
	if head["work"] == "" {
		return nil, fmt.Errorf("table: the work is not named")
	}
	rows, err := csv.NewReader(strings.NewReader(body)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("table %s %s: %w", head["work"], head["place"], err)
	}
	if len(rows) < 2 {
		return nil, fmt.Errorf("table %s %s: no rows", head["work"], head["place"])
	}
	seen := cite.FromMemory
	switch head["seen"] {
	case "yes":
		seen = cite.Read
	case "derived":
		seen = cite.Derived
	case "memory":
	default:
		return nil, fmt.Errorf("table %s %s: seen must be yes, derived or memory", head["work"], head["place"])
	}
	t := &Table{
		Cite:   cite.Ref{Work: head["work"], Edition: head["edition"], Place: head["place"], Seen: seen, Note: head["note"]},
		Status: head["status"], Check: head["check"], Unit: head["unit"],
		Cols: rows[0], Rows: rows[1:], index: map[string]int{}, col: map[string]int{},
	}
	for i, c := range t.Cols {
		t.col[c] = i
	}
	for i, r := range t.Rows {
		if _, ok := t.index[r[0]]; !ok {
			t.index[r[0]] = i
		}
	}
	return t, nil
}

// Lazy returns a function that parses the text once, on first use. The text
// is part of the program, so a fault in it is a programmer's error and panics.
func Lazy(text string) func() *Table {
	return sync.OnceValue(func() *Table {
		t, err := Parse(text)
		if err != nil {
			panic(err)
		}
		return t
	})
}

// Cell returns the words in a row, named by its first column, under a head.
func (t *Table) Cell(row, col string) (string, bool) {
	i, ok := t.index[row]
	if !ok {
		return "", false
	}
	j, ok := t.col[col]
	if !ok || j >= len(t.Rows[i]) || t.Rows[i][j] == "" {
		return "", false
	}
	return t.Rows[i][j], true
}

// Num returns the number in a row under a head; ok is false where the table
// prints none or words.
func (t *Table) Num(row, col string) (v float64, ok bool) {
	s, ok := t.Cell(row, col)
	if !ok {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, false
	}
	return v, true
}
