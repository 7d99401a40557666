// Package sheet holds what goes on paper and on the terminal as data: headed
// tables, paragraphs, calculation sheets and drawings, on named pages. The
// same lists make the text, CSV, XLSX and PDF forms, so that no two of them
// can disagree.
package sheet

import (
	"stubup/base/draw"
	"stubup/base/trace"
)

// Align places the text of a column.
type Align int

// Alignments.
const (
	Left Align = iota
	Right
	Centre
)

// Column heads one column of a table.
type Column struct {
	_ [0]func() // never compared: no equality is compiled for it

	Head  string
	Align Align
	Width float64 // share of the page width; 0 means by content
	Unit  string  // printed under the head where given
}

// Cell is one cell: words for people and, where it is a number, the number
// for spreadsheets.
type Cell struct {
	_ [0]func() // never compared: no equality is compiled for it

	Text  string
	Num   float64
	IsNum bool
	Bold  bool
	Mark  Mark
}

// Mark is a sign set beside a cell; the words carry the meaning too.
type Mark int

// Marks.
const (
	Plain      Mark = iota
	Holds           // a rule that holds
	Broken          // a rule that is broken, or a value over its limit
	CannotTell      // an input is missing
	NotApply        // the rule has no scope here
	Hold            // a hold point
)

// T returns a text cell.
func T(s string) Cell { return Cell{Text: s} }

// N returns a number cell with the words it prints as.
func N(v float64, text string) Cell { return Cell{Text: text, Num: v, IsNum: true} }

// Row is one row of cells.
type Row []Cell

// Table is a headed table.
type Table struct {
	ID      string // "order.bill": file name and sheet name
	Title   string
	Columns []Column
	Rows    []Row
	Notes   []string // printed under it
	Empty   string   // what to say when there are no rows
	Blank   int      // blank ruled rows to be filled by hand
}

// Calc is one calculation sheet: equation, numbers put in, result, source.
type Calc struct {
	Value *trace.Value
}

// Para is a paragraph. Lead is set bold before it.
type Para struct {
	Lead string
	Text string
	Mark Mark
}

// List is a list of short lines.
type List struct {
	Title string
	Lines []string
}

// Figure is a drawing on the page, at its own scale.
type Figure struct {
	Drawing *draw.Drawing
}

// Block is one of Table, Calc, Para, List, Figure.
type Block interface{ block() }

func (Table) block()  {}
func (Calc) block()   {}
func (Para) block()   {}
func (List) block()   {}
func (Figure) block() {}

// Page is one headed page; a long one runs over onto further sheets with the
// same head.
type Page struct {
	Title   string
	Purpose string // one sentence: what this page is for
	Wide    bool   // landscape
	Blocks  []Block
}

// Book is a set of pages with what is printed on every one of them.
type Book struct {
	Title   string // "Quarry Hill, revision C"
	Sub     string // "closeout package, draft"
	Foot    string // as-of time, site hash, engine version
	Draft   bool
	Metric  bool // printed on A4, and a large drawing on A3 to A0
	Pages   []Page
	Attach  []Attachment
	Created string // RFC 3339, for a file that is the same every time
}

// Attachment is a file carried inside the book.
type Attachment struct {
	Name string
	Data []byte
	What string
}
