package desk

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/internal/wire"
	"stubup/site"
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

type fault struct {
	Input string `json:"input"`
	What  string `json:"what"`
	Mend  string `json:"mend"`
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

// Filled is one calculation with what the document says of a thing put in.
type Filled struct {
	Name   string  `json:"name"`
	Fields []Field `json:"fields"`
}

// Fills are the calculations that a rod, the ring or a run can be opened in,
// each with what the document says. What nobody said stays empty.
func (d *Desk) Fills(id string) []Filled {
	out := []Filled{}
	p, s := d.res.Plan, d.res.Document.Site
	add := func(name string, kv ...string) {
		f := Filled{Name: name, Fields: []Field{}}
		for i := 0; i+1 < len(kv); i += 2 {
			if kv[i+1] != "" {
				f.Fields = append(f.Fields, Field{kv[i], kv[i+1]})
			}
		}
		out = append(out, f)
	}
	length := s.Units.Length
	soil := ""
	if len(s.Soil.Layers) == 1 {
		soil = s.Soil.Layers[0].Resistivity.Text
	}
	limit := ""
	for i, r := range s.Owner.Rules {
		if r.Key == "resistance-limit" {
			limit = d.Get(fmt.Sprintf("owner.rules[%d].resistance-limit", i))
		}
	}
	for i := range p.Rods {
		if r := &p.Rods[i]; r.ID == id {
			diameter := ""
			if g := s.Ground.Rods; g != nil {
				diameter = g.Diameter.Text
			}
			add("rod", "soil", soil, "length", length(r.Length), "diameter", diameter, "top", length(r.Top), "limit", limit)
		}
	}
	if r := p.Ring; r != nil && id == "ring" {
		depth, long, wide := "", "", ""
		if g := s.Ground.Ring; g != nil {
			depth = g.Depth.Text
		}
		if pts := r.Polyline(0.05); len(pts) > 0 {
			x0, y0, x1, y1 := pts[0].X, pts[0].Y, pts[0].X, pts[0].Y
			for _, q := range pts {
				x0, y0, x1, y1 = min(x0, q.X), min(y0, q.Y), max(x1, q.X), max(y1, q.Y)
			}
			// Only a rectangle has two sides that say it.
			if a, b := x1-x0, y1-y0; math.Abs(math.Abs(geom.Outline(pts).Area())-a*b) < 0.02*a*b {
				long, wide = length(unit.Metre(max(a, b))), length(unit.Metre(min(a, b)))
			}
		}
		add("ring", "soil", soil, "long", long, "wide", wide, "conductor", p.Wire().Text, "depth", depth, "limit", limit)
	}
	for i := range p.Runs {
		r := &p.Runs[i]
		if r.ID != id {
			continue
		}
		kind, trade := string(r.Kind), r.Trade.String()
		var wires, cables []string
		one := site.Cable{}
		for _, c := range r.Carries {
			n := strconv.Itoa(max(1, c.Count))
			if c.OD.Set {
				cables = append(cables, n+" x "+c.OD.Text)
			} else {
				wires = append(wires, n+" x "+c.Size.String()+" "+c.Insulation)
			}
			one = c
		}
		add("fill", "kind", kind, "trade", trade, "wires", strings.Join(wires, " + "), "cables", strings.Join(cables, " + "))
		add("expansion", "kind", kind, "length", length(r.Length), "cold", r.Cold.Text, "hot", r.Hot.Text, "set", r.Install.Text)
		pull := []string{"kind", kind, "trade", trade}
		if len(r.Carries) == 1 {
			pull = append(pull, "weight", one.Weight.Text, "od", one.OD.Text, "count", strconv.Itoa(max(1, one.Count)), "limit", one.Tension.Text, "sidewall", one.Sidewall.Text)
		}
		add("pull", pull...)
		for _, f := range s.Feeders {
			if f.Run != r.ID {
				continue
			}
			current := map[int]string{1: "single", 3: "three"}[f.Phases]
			conduit := map[string]string{"EMT": "steel", "IMC": "steel", "RMC": "steel"}[kind]
			if strings.HasPrefix(kind, "PVC") {
				conduit = "pvc"
			}
			of := length(r.Length)
			if f.Length.Set {
				of = f.Length.Text
			}
			material := ""
			if f.Aluminum {
				material = "aluminum"
			}
			add("drop", "material", material, "size", f.Size.String(), "current", current, "conduit", conduit, "volts", f.Volts.Text, "amps", f.Amps.Text, "length", of)
		}
	}
	return out
}
