// Package nfpa70 holds the rules of NFPA 70 that a small compound meets: its
// ground electrodes, its raceways and boxes, its feeders and its generator.
// They bind where somebody said that NFPA 70 governs. They give quantities and
// citations, not permission: local code, the authority having jurisdiction and
// a licensed person decide.
package nfpa70

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

// of returns a rule of this work.
func of(id, figure string, force rule.Force, title, example string, look func(rule.View) []rule.Finding) *rule.Rule {
	return &rule.Rule{ID: "nfpa70." + id, Work: rule.NFPA70, Title: title, Force: force, Cite: figures.Cite(figure), Figure: figure, Example: example, Look: look}
}

// Rules lists the rules, in the order of the work.
var Rules = sync.OnceValue(func() []*rule.Rule {
	var out []*rule.Rule
	for _, family := range []func() []*rule.Rule{feeders, transfer, rings, rods, electrodes, fences, raceways, buried, expansion, boxes, workspaces} {
		out = append(out, family()...)
	}
	return out
})

func one(f rule.Finding) []rule.Finding { return []rule.Finding{f} }
