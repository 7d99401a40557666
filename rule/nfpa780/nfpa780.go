// Package nfpa780 holds what the lightning protection standard asks of buried
// conductors: bends, depth, and distance from foundations. All its figures
// are from memory and say so beside every finding.
package nfpa780

import (
	_ "embed" // the figures beside this file
	"sync"

	"stubup/rule"
)

//go:embed figures.csv
var figuresCSV string

var figures = rule.FiguresOf(figuresCSV)

// Figures returns the figures that the rules lean on.
func Figures() rule.Figures { return figures }

func of(id, figure string, force rule.Force, title, example string, look func(rule.View) []rule.Finding) *rule.Rule {
	return &rule.Rule{ID: "nfpa780." + id, Work: rule.NFPA780, Title: title, Force: force, Cite: figures.Cite(figure), Figure: figure, Example: example, Look: look}
}

// Rules lists the rules.
var Rules = sync.OnceValue(func() []*rule.Rule { return append(bends(), electrodes()...) })

func one(f rule.Finding) []rule.Finding { return []rule.Finding{f} }
