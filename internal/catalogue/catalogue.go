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
