package desk

import (
	"errors"
	"strings"

	"stubup/internal/wire"
	"stubup/sums"
)

// The pocket calculations know no site: they are answered whether a document
// is open or not.

type sumPart struct {
	Name     string      `json:"name"`
	What     string      `json:"what"`
	Inputs   []inputPart `json:"inputs"`
	Cautions []string    `json:"cautions"`
}

type inputPart struct {
	Name     string     `json:"name"`
	Meaning  string     `json:"meaning"`
	Unit     string     `json:"unit"`
	Write    string     `json:"write"` // how it is written
	Choices  []wordPart `json:"choices"`
	Required bool       `json:"required"`
	Or       string     `json:"or"`
	Default  string     `json:"default"`
	Many     bool       `json:"many"`
	Example  string     `json:"example"`
}

type wordPart struct {
	Name  string `json:"name"`
	Means string `json:"means"`
}

// pocket lists the calculations with what each is told.
func pocket() []sumPart {
	out := []sumPart{}
	for _, s := range sums.All() {
		p := sumPart{Name: s.Name, What: s.What, Inputs: []inputPart{}, Cautions: append([]string{}, s.Cautions...)}
		for _, in := range s.Inputs {
			q := inputPart{
				Name: in.Name, Meaning: in.Meaning, Unit: in.Unit(), Write: in.Write(), Choices: []wordPart{}, Required: in.Required,
				Or: in.Or, Default: in.Default, Many: in.Many, Example: in.Example,
			}
			for _, c := range in.Choices {
				q.Choices = append(q.Choices, wordPart{c.Name, c.Means})
			}
			if in.Kind == sums.YesNo {
				q.Choices = append(q.Choices, wordPart{Name: "yes"}, wordPart{Name: "no"})
			}
			p.Inputs = append(p.Inputs, q)
		}
		out = append(out, p)
	}
	return out
}

// calculate answers one calculation, or says of every input what is wrong.
// An input that may be given several times has them line by line.
func calculate(name string, fields []Field) (any, error) {
	s, ok := sums.Find(name)
	if !ok {
		return nil, problem("pick one of the list", "no calculation is named %q", name)
	}
	var entries []sums.Entry
	for _, f := range fields {
		in, known := s.Input(f.Key)
		texts := []string{f.Text}
		if known && in.Many {
			texts = strings.Split(f.Text, "\n")
		}
		for _, t := range texts {
			if t = strings.TrimSpace(t); t != "" {
				entries = append(entries, sums.Entry{Name: f.Key, Text: t})
			}
		}
	}
	r, err := s.Run(entries)
	var fs sums.Faults
	if errors.As(err, &fs) {
		type fault struct {
			Input string `json:"input"`
			What  string `json:"what"`
			Mend  string `json:"mend"`
		}
		out := []fault{}
		for _, f := range fs {
			out = append(out, fault{f.Input, f.What, f.Mend})
		}
		return map[string]any{"faults": out}, nil
	}
	if err != nil {
		return nil, err
	}
	return map[string]any{"answer": wire.SumOf(r)}, nil
}
