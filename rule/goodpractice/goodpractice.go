// Package goodpractice holds what the trade does where no adopted work says
// so. It has no printed source, and every finding says that.
package goodpractice

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

func of(id, figure, title, example string, look func(rule.View) []rule.Finding) *rule.Rule {
	return &rule.Rule{ID: "good-practice." + id, Work: rule.GoodPractice, Title: title, Force: rule.Custom, Cite: figures.Cite(figure), Figure: figure, Example: example, Look: look}
}

// Rules lists the rules.
var Rules = sync.OnceValue(func() []*rule.Rule { return append(ground(), pathways()...) })

func one(f rule.Finding) []rule.Finding { return []rule.Finding{f} }
