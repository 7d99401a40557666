package sums

import (
	"fmt"
	"strings"

	"stubup/base/cite"
	"stubup/base/sheet"
	"stubup/base/trace"
)

// Blocks returns a result as tables and lists. Sources are numbered and
// listed once; inline puts each beside its row instead, for one fact a line.
func (r *Result) Blocks(inline bool) []sheet.Block {
	var sources []string
	starred := false
	source := func(v *trace.Value) string {
		s := Source(v)
		if s == "" {
			return ""
		}
		if inline {
			if Leans(v) {
				s += "; " + onMemory
			}
			return s
		}
		i := 0
		for i < len(sources) && sources[i] != s {
			i++
		}
		if i == len(sources) {
			sources = append(sources, s)
		}
		n := fmt.Sprintf("[%d]", i+1)
		if Leans(v) {
			n += " *"
			starred = true
		}
		return n
	}
	given := sheet.Table{ID: "given", Title: "told", Columns: []sheet.Column{{Head: "input"}, {Head: "as read"}, {Head: "how"}}}
	for _, v := range r.Given {
		how := "given"
		if v.Standing == trace.Default {
			how = "default"
		}
		given.Rows = append(given.Rows, sheet.Row{sheet.T(v.Name), sheet.T(v.Text), sheet.T(how)})
	}
	res := sheet.Table{ID: "result", Title: "it comes to", Columns: []sheet.Column{{Head: "what"}, {Head: "value"}, {Head: "source"}}}
	for _, row := range r.Rows {
		cell := sheet.N(row.SI, row.Text)
		cell.Mark = row.Mark
		res.Rows = append(res.Rows, sheet.Row{sheet.T(row.Name), cell, sheet.T(source(row.Value))})
	}
	fig := sheet.Table{ID: "figures", Title: "figures used", Columns: []sheet.Column{{Head: "figure"}, {Head: "value"}, {Head: "source"}}}
	for _, v := range r.Figures {
		fig.Rows = append(fig.Rows, sheet.Row{sheet.T(v.Name), sheet.N(v.SI, v.Text), sheet.T(source(v))})
	}
	if starred {
		res.Notes = append(res.Notes, "* "+onMemory)
	}
	out := []sheet.Block{given, res}
	list := func(title string, lines []string) {
		if len(lines) > 0 {
			out = append(out, sheet.List{Title: title, Lines: lines})
		}
	}
	list("outside the range", r.Outside)
	list("caution", r.Cautions)
	list("mind", r.Notes)
	if len(fig.Rows) > 0 {
		out = append(out, fig)
	}
	var lines []string
	for i, s := range sources {
		lines = append(lines, fmt.Sprintf("[%d] %s", i+1, s))
	}
	list("whose figures and equations", lines)
	return out
}

const onMemory = "leans on a figure from memory: confirm it against print"

// Leans reports whether a value that is itself of a known source was made of
// one from memory.
func Leans(v *trace.Value) bool {
	return v.By.Cite.Seen != cite.FromMemory && v.Seen() == cite.FromMemory
}

// Source returns where a value comes from and how well that is known, with
// its equation.
func Source(v *trace.Value) string {
	s := v.By.Cite.String()
	if s != "" && v.By.Cite.Work != "arithmetic" {
		s += " (" + v.By.Cite.Seen.String() + ")"
	}
	if v.By.Cite.Note != "" {
		s += "; " + v.By.Cite.Note
	}
	if v.By.Equation != "" {
		s = strings.TrimPrefix(s+": "+v.By.Equation, ": ")
	}
	return s
}
