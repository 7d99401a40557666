// Package catalogue is the explicit list of everything that can be looked up:
// formulas and rules. It serves tests and the generated pages of docs/ only;
// nothing registers itself, so that a program links what it uses.
package catalogue

import (
	"fmt"
	"slices"
	"strings"

	"stubup/answer"
	"stubup/base/trace"
	"stubup/rule"
	"stubup/rule/all"
	"stubup/sums"
	"stubup/trade/bond"
	"stubup/trade/conductor"
	"stubup/trade/earthtest"
	"stubup/trade/feeder"
	"stubup/trade/ground"
	"stubup/trade/pull"
	"stubup/trade/raceway"
	"stubup/trade/route"
	"stubup/trade/shock"
	"stubup/trade/soil"
	"stubup/trade/stock"
	"stubup/trade/surge"
)

// Group is the formulas of one package.
type Group struct {
	Package  string
	Formulas []trace.Formula
}

// Formulas lists every formula, by package.
func Formulas() []Group {
	return []Group{
		{"trade/soil", soil.Formulas},
		{"trade/ground", ground.Formulas},
		{"trade/conductor", conductor.Formulas},
		{"trade/raceway", raceway.Formulas},
		{"trade/earthtest", earthtest.Formulas},
		{"trade/bond", bond.Formulas},
		{"trade/shock", shock.Formulas},
		{"trade/surge", surge.Formulas},
		{"trade/stock", stock.Formulas},
		{"trade/pull", pull.Formulas},
		{"trade/feeder", feeder.Formulas},
		{"trade/route", route.Formulas},
		{"answer", answer.Formulas},
	}
}

// FormulaPage prints docs/formulas.md.
func FormulaPage() string {
	var b strings.Builder
	b.WriteString("# Formulas\n\nGenerated from the code; every formula with its symbols, range, source and known answers. Quantities are in SI inside the engine.\n")
	for _, g := range Formulas() {
		fmt.Fprintf(&b, "\n## %s\n", g.Package)
		for _, f := range g.Formulas {
			fmt.Fprintf(&b, "\n### %s\n\n`%s`\n\n    %s\n\n", f.Name, f.ID, f.Equation)
			for _, s := range f.Symbols {
				unit := s.Unit
				if unit == "-" {
					unit = "no unit"
				}
				fmt.Fprintf(&b, "- %s: %s (%s)\n", s.Sym, s.Meaning, unit)
			}
			if f.Range != "" {
				fmt.Fprintf(&b, "- holds: %s\n", f.Range)
			}
			fmt.Fprintf(&b, "- source: %s\n", f.Cite.Full())
			for _, c := range f.Checks {
				kind := "%"
				tol := c.Tol * 100
				if c.Abs {
					kind, tol = "in its unit", c.Tol
				}
				fmt.Fprintf(&b, "- check: %s = %v within %.3g %s (%s)\n", c.Name, c.Want, tol, kind, c.Source.Full())
			}
		}
	}
	return b.String()
}

// RulePage prints docs/rules.md.
func RulePage() string {
	var b strings.Builder
	b.WriteString("# Rules\n\nGenerated from the code. Every rule answers in one of four ways: holds, broken, does not apply, cannot tell. A source marked \"from memory\" is to be\nconfirmed against print. Local code, the AHJ and a licensed person decide.\n\n")
	rs := slices.Clone(all.Rules())
	slices.SortStableFunc(rs, func(a, b *rule.Rule) int { return strings.Compare(a.Work, b.Work) })
	work := ""
	for _, r := range rs {
		if r.Work != work {
			work = r.Work
			fmt.Fprintf(&b, "\n## %s\n\n| id | rule | force | source | an example that breaks it |\n|---|---|---|---|---|\n", work)
		}
		cell := func(s string) string { return strings.ReplaceAll(strings.ReplaceAll(s, "|", "\\|"), "\n", " ") }
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s | %s |\n", r.ID, cell(r.Title), r.Force, cell(r.Cite.Full()), cell(r.Example))
	}
	return b.String()
}

// SumPage prints docs/sums.md.
func SumPage() string {
	var b strings.Builder
	b.WriteString("# Pocket calculations\n\nGenerated from the code. `stubup calc NAME --INPUT VALUE ...` answers a person, `--json` a machine; JSON on standard input has the same names, with texts as they are\nwritten here or numbers in SI. A value runs to the next flag, so that a quantity needs no quotes. Local code, the AHJ and a licensed person decide.\n")
	cell := func(s string) string { return strings.ReplaceAll(s, "|", "\\|") }
	for _, s := range sums.All() {
		fmt.Fprintf(&b, "\n## %s\n\n%s.\n\n    stubup calc %s %s\n\n| input | what | unit | written as | when not given |\n|---|---|---|---|---|\n", s.Name, upper(s.What), s.Name, sums.Line(s.Example()))
		for _, in := range s.Inputs {
			without := "may be left out"
			switch {
			case in.Required:
				without = "needed"
			case in.Or != "":
				without = "needed unless `" + in.Or + "` is given"
			case in.Default != "":
				without = "default: " + in.Default
			}
			fmt.Fprintf(&b, "| `%s` | %s | %s | %s | %s |\n", in.Name, cell(in.Meaning), cell(in.Unit()), cell(in.Write()), cell(without))
		}
		for _, in := range s.Inputs {
			for i, w := range in.Choices {
				if i == 0 {
					fmt.Fprintf(&b, "\nChoices of `%s`:\n\n", in.Name)
				}
				fmt.Fprintf(&b, "- `%s`: %s\n", w.Name, w.Means)
			}
		}
		r, err := s.Run(s.Example())
		if err != nil {
			fmt.Fprintf(&b, "\nThe example fails: %v\n", err)
			continue
		}
		b.WriteString("\nThe example comes to:\n\n| what | path | value | source |\n|---|---|---|---|\n")
		for _, row := range r.Rows {
			source := sums.Source(row.Value)
			if sums.Leans(row.Value) {
				source += "; leans on a figure from memory"
			}
			fmt.Fprintf(&b, "| %s | `%s` | %s | %s |\n", cell(row.Name), row.Path, cell(row.Text), cell(source))
		}
		if len(r.Cautions) > 0 {
			b.WriteString("\nCautions:\n\n")
			for _, c := range r.Cautions {
				fmt.Fprintf(&b, "- %s\n", c)
			}
		}
	}
	return b.String()
}

func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
