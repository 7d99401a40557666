// Package owner holds the rules of the owner's profile. Their values come from
// the document, each with its own source; nothing here has a figure of its
// own.
package owner

import (
	_ "embed" // where the values come from
	"sync"

	"stubup/rule"
	"stubup/site"
)

//go:embed figures.csv
var figuresCSV string

var figures = rule.FiguresOf(figuresCSV)

// Figures returns the table that says where the values come from.
func Figures() rule.Figures { return figures }

// of returns a rule that looks once for every entry of the profile under its
// key. Its findings carry the entry's own source.
func of(key, title, example string, look func(rule.View, site.OwnerRule) []rule.Finding) *rule.Rule {
	return &rule.Rule{
		ID: "owner." + key, Work: rule.Owner, Title: title, Force: rule.Custom, Cite: figures.Cite("entry"), Figure: "entry", Example: example,
		Look: func(v rule.View) []rule.Finding {
			var out []rule.Finding
			for _, e := range v.OwnerRules(key) {
				for _, f := range look(v, e) {
					f.Cite = v.OwnerCite(e)
					out = append(out, f)
				}
			}
			return out // an owner who asks nothing has no line at all
		},
	}
}

// Rules lists the rules.
var Rules = sync.OnceValue(func() []*rule.Rule { return append(ground(), pathways()...) })

func one(f rule.Finding) []rule.Finding { return []rule.Finding{f} }

// unread is the finding about an entry whose words are not understood.
func unread(e site.OwnerRule, path, ask string) rule.Finding {
	f := rule.Finding{Path: path, Span: e.Span, Mend: ask, Required: e.Words}
	return rule.Lacks(f, "what the owner means by \""+e.Words+"\"")
}
