package wire

import (
	"errors"
	"fmt"

	"stubup"
	"stubup/base/sheet"
	"stubup/base/trace"
	"stubup/sums"
)

// SumResult is the answer of a pocket calculation. Values holds the inputs,
// the figures used and the rows by path; the lists name them in the order in
// which they are read.
type SumResult struct {
	Format   int               `json:"format"`
	Engine   string            `json:"engine"`
	Sum      string            `json:"sum"`
	What     string            `json:"what"`
	Given    []string          `json:"given"`
	Figures  []string          `json:"figures"`
	Rows     []string          `json:"rows"`
	Values   map[string]Value  `json:"values"`
	Verdicts map[string]string `json:"verdicts"` // rows that hold a limit: "holds" or "broken"
	Outside  []string          `json:"outside"`
	Notes    []string          `json:"notes"`
	Cautions []string          `json:"cautions"`
}

// SumEntries reads the inputs of a pocket calculation from a JSON object:
// texts with their unit, numbers in SI, true and false, and lists of texts.
func SumEntries(in []byte) ([]sums.Entry, error) {
	o, err := parse(in)
	if err != nil {
		return nil, err
	}
	var out []sums.Entry
	for _, name := range o.order {
		if err := entry(&out, name, name, o.members[name], true); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func entry(out *[]sums.Entry, name, path string, v any, list bool) error {
	switch v := v.(type) {
	case string:
		*out = append(*out, sums.Entry{Name: name, Text: v})
		return nil
	case bool:
		text := "no"
		if v {
			text = "yes"
		}
		*out = append(*out, sums.Entry{Name: name, Text: text})
		return nil
	case []any:
		if !list || len(v) == 0 || len(v) > maxPlaces {
			break
		}
		for i, w := range v {
			if err := entry(out, name, fmt.Sprintf("%s[%d]", path, i), w, false); err != nil {
				return err
			}
		}
		return nil
	}
	if f, ok := finite(v); ok {
		*out = append(*out, sums.Entry{Name: name, SI: f, IsSI: true})
		return nil
	}
	return &InputError{path, "must be a text with its unit, a number in SI, true or false, or a list of texts"}
}

// SumJSON prints a result for machines.
func SumJSON(r *sums.Result) ([]byte, error) { return line(SumOf(r)) }

// SumOf returns a result as machines read it.
func SumOf(r *sums.Result) SumResult {
	out := SumResult{
		Format: stubup.Format, Engine: stubup.Version, Sum: r.Sum.Name, What: r.Sum.What, Given: []string{}, Figures: []string{}, Rows: []string{},
		Values: map[string]Value{}, Verdicts: map[string]string{}, Outside: append([]string{}, r.Outside...), Notes: append([]string{}, r.Notes...), Cautions: append([]string{}, r.Cautions...),
	}
	var l trace.Ledger
	add := func(list *[]string, v *trace.Value) {
		l.Add(v)
		*list = append(*list, v.Path)
	}
	for _, v := range r.Given {
		add(&out.Given, v)
	}
	for _, v := range r.Figures {
		add(&out.Figures, v)
	}
	for _, row := range r.Rows {
		add(&out.Rows, row.Value)
		switch row.Mark {
		case sheet.Holds:
			out.Verdicts[row.Path] = "holds"
		case sheet.Broken:
			out.Verdicts[row.Path] = "broken"
		}
	}
	for _, v := range l.All() {
		out.Values[v.Path] = ValueOf(v)
	}
	return out
}

// CalcSum answers a pocket calculation: JSON in, JSON out.
func CalcSum(s *sums.Sum, in []byte) ([]byte, error) {
	entries, err := SumEntries(in)
	if err != nil {
		return nil, err
	}
	r, err := s.Run(entries)
	if err != nil {
		var fs sums.Faults
		if errors.As(err, &fs) && len(fs) == 1 {
			f := fs[0]
			what := f.What
			if f.Mend != "" {
				what += "\n  mend: " + f.Mend
			}
			return nil, &InputError{f.Input, what}
		}
		return nil, err
	}
	return SumJSON(r)
}
