// Package diag holds what is wrong with a document: where it is, what it is,
// and how to mend it.
//
// Three families of trouble are kept apart and never mixed. A diag says that
// the document is wrong; it is collected, positioned, and never stops the
// rest from being evaluated. A finding (package rule) says that the design
// breaks a rule. A Go error says that the world failed.
package diag

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"stubup/base/stable"
)

// Level says whether a diag spoils the document or only warns.
type Level int

// Levels.
const (
	Error Level = iota
	Warning
)

func (l Level) String() string {
	if l == Warning {
		return "warning"
	}
	return "error"
}

// Span is a place in a document. Line and Col count from 1; Col and End count
// runes, and End is the column after the last one. A zero Line means that the
// place is not known (a document built in memory).
type Span struct {
	Path string // "ground.ring.depth", as a person would say it
	Line int
	Col  int
	End  int
}

// Diag is one thing that is wrong.
type Diag struct {
	Code  Code
	Level Level
	File  string
	Span  Span
	What  string // plain, short, quotes the text it is about
	Mend  string // what to write or do instead; never empty
}

// String returns the one-line form, "file:line:col: path: what".
func (d Diag) String() string {
	var b strings.Builder
	file := d.File
	if file == "" {
		file = "site"
	}
	fmt.Fprintf(&b, "%s:%d:%d: ", file, d.Span.Line, d.Span.Col)
	if d.Level == Warning {
		b.WriteString("warning: ")
	}
	if d.Span.Path != "" {
		b.WriteString(d.Span.Path + ": ")
	}
	b.WriteString(d.What)
	return b.String()
}

// Show returns the diag with its source line, a caret below the place, and
// the mend:
//
//	quarry-hill.yaml:31:14: ring.depth: "30" has no unit
//	    31 |   depth: 30
//	       |          ^^
//	  mend: write "30 in" or "762 mm"  [unit-missing]
func (d Diag) Show(src []byte) string {
	var b strings.Builder
	b.WriteString(d.String())
	b.WriteByte('\n')
	if line, ok := lineAt(src, d.Span.Line); ok {
		// A line far longer than a terminal is cut around the place.
		runes := []rune(strings.ReplaceAll(line, "\t", " "))
		// A place past the end of its line is shown just after the line.
		col := min(max(d.Span.Col, 1), len(runes)+1)
		end := max(d.Span.End, col+1)
		from := 0
		if col > 90 {
			from = col - 40
		}
		to := min(len(runes), from+110)
		num := fmt.Sprintf("%6d", d.Span.Line)
		fmt.Fprintf(&b, "%s | %s\n", num, string(runes[from:to]))
		carets := max(1, min(end, to+1)-col)
		fmt.Fprintf(&b, "%6s | %s%s\n", "", strings.Repeat(" ", max(0, col-1-from)), strings.Repeat("^", carets))
	}
	fmt.Fprintf(&b, "  mend: %s  [%s]\n", d.Mend, d.Code)
	return b.String()
}

func lineAt(src []byte, n int) (string, bool) {
	if n < 1 || len(src) == 0 {
		return "", false
	}
	rest := string(src)
	for i := 1; i < n; i++ {
		_, after, ok := strings.Cut(rest, "\n")
		if !ok {
			return "", false
		}
		rest = after
	}
	line, _, _ := strings.Cut(rest, "\n")
	return strings.TrimSuffix(line, "\r"), true
}

// List collects diags.
type List []Diag

// Add appends one. The zero level is Error.
func (l *List) Add(d Diag) { *l = append(*l, d) }

// HasError reports whether any diag spoils the document.
func (l List) HasError() bool {
	return slices.ContainsFunc(l, func(d Diag) bool { return d.Level == Error })
}

// Sort orders by place, then by code, so that the same document always prints
// the same list.
func (l List) Sort() {
	stable.Sort(l, func(a, b Diag) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Span.Line, b.Span.Line),
			cmp.Compare(a.Span.Col, b.Span.Col), cmp.Compare(a.Code, b.Code), cmp.Compare(a.What, b.What))
	})
}

// Nearest returns the candidate closest to word by edit distance, if one is
// within three edits and in fewer than the word has letters; a word of one
// letter may differ by one.
func Nearest(word string, candidates []string) (string, bool) {
	letters := utf8.RuneCountInString(word)
	if letters == 0 {
		return "", false
	}
	best, bestD := "", 4
	for _, c := range candidates {
		if d := editDistance(strings.ToLower(word), strings.ToLower(c)); d < bestD && d < max(2, letters) {
			best, bestD = c, d
		}
	}
	return best, best != ""
}

// editDistance is the optimal string alignment distance: insertions,
// deletions, substitutions and swaps of neighbours.
func editDistance(a, b string) int {
	ra, rb := []rune(a), []rune(b)
	if len(ra) > 64 || len(rb) > 64 {
		return 99
	}
	prev2 := make([]int, len(rb)+1)
	prev := make([]int, len(rb)+1)
	cur := make([]int, len(rb)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(ra); i++ {
		cur[0] = i
		for j := 1; j <= len(rb); j++ {
			cost := 1
			if ra[i-1] == rb[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && ra[i-1] == rb[j-2] && ra[i-2] == rb[j-1] {
				cur[j] = min(cur[j], prev2[j-2]+1)
			}
		}
		prev2, prev, cur = prev, cur, prev2
	}
	return prev[len(rb)]
}
