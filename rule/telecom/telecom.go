// Package telecom holds what the telecom pathway standard asks of runs for
// fiber and communication cable. All its figures are from memory and say so.
package telecom

import (
	_ "embed" // the figures beside this file
	"fmt"
	"sync"

	"stubup/base/geom"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
	"stubup/trade/raceway"
)

//go:embed figures.csv
var figuresCSV string

var figures = rule.FiguresOf(figuresCSV)

// Figures returns the figures that the rules lean on.
func Figures() rule.Figures { return figures }

func of(id, figure string, force rule.Force, title, example string, look func(rule.View, *plan.Run) []rule.Finding) *rule.Rule {
	return &rule.Rule{
		ID: "tia569." + id, Work: rule.TIA569, Title: title, Force: force, Cite: figures.Cite(figure), Figure: figure, Example: example,
		Look: func(v rule.View) []rule.Finding { return each(v, look) },
	}
}

// Rules lists the rules.
var Rules = sync.OnceValue(func() []*rule.Rule {
	return []*rule.Rule{
		of("bend-radius", "radius", rule.Shall, "a bend has 6 inside diameters, 10 above 2 in and for a fiber backbone", "a 2 in fiber run with a 12 in bend", radius),
		of("bend-sum", "bend.sum", rule.Shall, "at most 180 degrees of bend between pull points", "90, offset 30/30, 90 without a pull box", sum),
		of("box-size", "box", rule.Shall, "a pull box has the size of its raceways", "a 12 x 4 in box on a 2 in run", size),
		of("box-turn", "turn", rule.Shall, "a pull box stands in a straight and the cable does not turn in it", "a box where the run turns left", turn),
		of("fill", "fill", rule.Should, "cables fill no more than 40 % of a pathway, 53 % for one, 31 % for two", "six 0.6 in cables in 1-1/2 in", fill),
		of("length", "length", rule.Shall, "at most 100 ft between pull points", "a 130 ft section", length),
	}
})

// each calls look for every telecom run that was drawn to its end.
func each(v rule.View, look func(rule.View, *plan.Run) []rule.Finding) []rule.Finding {
	var out []rule.Finding
	for i := range v.Plan.Runs {
		r := &v.Plan.Runs[i]
		switch {
		case !rule.Telecom(r):
			continue
		case !r.OK:
			out = append(out, rule.UndrawnRun(r))
		default:
			out = append(out, look(v, r)...)
		}
	}
	if len(out) == 0 {
		return []rule.Finding{rule.Outside("runs", "no run carries fiber or communication cable")}
	}
	return out
}

func sum(v rule.View, r *plan.Run) []rule.Finding {
	var out []rule.Finding
	for i := range r.Sections {
		out = append(out, rule.BendSum(v, r, i, figures.Num("bend.sum")))
	}
	return out
}

func length(v rule.View, r *plan.Run) []rule.Finding {
	var out []rule.Finding
	for i := range r.Sections {
		out = append(out, rule.Length(v, r, i, figures.Num("length")))
	}
	return out
}

func radius(v rule.View, r *plan.Run) []rule.Finding {
	if r.Trade == 0 {
		f := rule.Finding{Path: rule.RunPath(r), Span: r.Run.Span, Required: "the radius of its inside diameter"}
		return []rule.Finding{rule.Lacks(f, "the trade size of run "+r.ID)}
	}
	least, _ := raceway.TelecomRadius(r.Trade, r.Service == site.Fiber)
	return rule.InsideRadius(v, r, float64(least), fmt.Sprintf("use a sweep with an inside radius of at least %s", v.Short(float64(least))))
}

func fill(v rule.View, r *plan.Run) []rule.Finding {
	f := rule.Finding{Path: rule.RunPath(r), Span: r.Run.Span}
	a := v.Answer.Fill(r)
	if !a.OK() {
		f.Required = "no fuller than the pathway standard advises"
		return []rule.Finding{rule.Lacks(f, a.Missing)}
	}
	f.Value = a.Value
	f.Mend = "use a larger raceway, or a second one"
	// Cables of a pathway are judged by area: counts that round up are for
	// building wire.
	return []rule.Finding{rule.AtMost(f, float64(a.Fill.Found), float64(a.Fill.Share), rule.Percent)}
}

func boxes(r *plan.Run, look func(int, plan.Pull, rule.Finding) rule.Finding) []rule.Finding {
	var out []rule.Finding
	for i, q := range r.Pulls {
		if q.Kind != plan.PullBox && q.Kind != plan.PullHandhole {
			continue
		}
		f := rule.Finding{Path: rule.RunPath(r) + ", " + q.Words(), Span: q.Span, At: []geom.Point{q.At.Plan()}}
		if q.ID != "" {
			f.Path, f.Points = rule.RunPath(r)+", "+q.ID, []string{q.ID}
		}
		out = append(out, look(i, q, f))
	}
	if len(out) == 0 {
		return []rule.Finding{rule.Outside(rule.RunPath(r), "it has no pull box")}
	}
	return out
}

// straight is how far a run may turn in a box and still be drawn straight
// through it, degrees: the rounding of a drawing.
const straight = 1

func turn(_ rule.View, r *plan.Run) []rule.Finding {
	return boxes(r, func(_ int, q plan.Pull, f rule.Finding) rule.Finding {
		f.Mend = "turn with a sweep before or after, and set the box in a straight"
		f.Required = "straight through the box"
		if q.In.Norm() == 0 || q.Out.Norm() == 0 {
			return rule.Lacks(f, "how run "+r.ID+" goes through the box")
		}
		found := "the run goes straight through"
		if q.Angle() > straight {
			found = "the run turns " + rule.Degrees(q.Angle()) + " in it"
		}
		return rule.YesNo(f, q.Angle() <= straight, f.Required, found)
	})
}

func size(v rule.View, r *plan.Run) []rule.Finding {
	return boxes(r, func(_ int, q plan.Pull, f rule.Finding) rule.Finding {
		f.Required = "the box of the table for its raceways"
		n := meeting(v, r, q)
		w, l, d, _, err := raceway.TelecomBox(r.Trade, n)
		if err != nil {
			return rule.Lacks(f, err.Error())
		}
		f.Required = fmt.Sprintf("at least %s x %s x %s deep for %d of %s", v.Short(float64(l)), v.Short(float64(w)), v.Short(float64(d)), n, r.Trade)
		if !q.Size[0].Set || !q.Size[1].Set || !q.Size[2].Set {
			f.Mend = "write its inside size, \"size: [36 in, 8 in, 8 in]\""
			return rule.Lacks(f, "the inside size of "+q.Words())
		}
		long, short := max(q.Size[0].SI, q.Size[1].SI), min(q.Size[0].SI, q.Size[1].SI)
		required := f.Required
		f.Mend = "use a box of " + required
		g := rule.AtLeast(f, float64(long), float64(l), v.Short)
		for _, side := range [][2]float64{{float64(short), float64(w)}, {float64(q.Size[2].SI), float64(d)}} {
			h := rule.AtLeast(f, side[0], side[1], v.Short)
			if h.Outcome < g.Outcome {
				g = h
			}
		}
		g.Required = required
		g.Found = fmt.Sprintf("%s x %s x %s deep", v.Short(float64(long)), v.Short(float64(short)), v.Short(float64(q.Size[2].SI)))
		return g
	})
}

// meeting counts the telecom runs that go through the same box.
func meeting(v rule.View, r *plan.Run, q plan.Pull) int {
	n := 1
	if q.Object == "" {
		return n
	}
	for i := range v.Plan.Runs {
		o := &v.Plan.Runs[i]
		if o.ID == r.ID || !rule.Telecom(o) {
			continue
		}
		for _, u := range o.Pulls {
			if u.Object == q.Object && (u.Kind == plan.PullBox || u.Kind == plan.PullHandhole) {
				n++
				break
			}
		}
	}
	return n
}
