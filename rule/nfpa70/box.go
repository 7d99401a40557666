package nfpa70

import (
	"fmt"

	"stubup/answer"
	"stubup/base/geom"
	"stubup/plan"
	"stubup/rule"
	"stubup/trade/conductor"
	"stubup/trade/raceway"
)

func boxes() []*rule.Rule {
	return []*rule.Rule{
		of("314.28.straight", "box.straight", rule.Shall, "a box for a straight pull is at least 8 trade sizes long", "a 12 in box on a 2 in run of 3/0", func(v rule.View) []rule.Finding { return pullBox(v, false) }),
		of("314.28.angle", "box.angle", rule.Shall, "a box for an angle pull has at least 6 trade sizes to the opposite wall", "a 10 x 10 in box on a 2 in run of 3/0 that turns", func(v rule.View) []rule.Finding { return pullBox(v, true) }),
		of("314.16.body", "body", rule.Shall, "a conduit body has twice the inside of its largest raceway, or the size of a pull box", "an LB of 4 sq in on a 2 in run", body),
	}
}

func isBox(q plan.Pull) bool { return q.Kind == plan.PullBox || q.Kind == plan.PullHandhole }

func pullFinding(r *plan.Run, q plan.Pull) rule.Finding {
	f := rule.Finding{Path: rule.RunPath(r) + ", " + q.Words(), Span: q.Span, At: []geom.Point{q.At.Plan()}}
	if q.ID != "" {
		f.Path = rule.RunPath(r) + ", " + q.ID
		f.Points = []string{q.ID}
	}
	return f
}

// pullBox looks at boxes and handholes for conductors of 4 AWG and larger; for
// smaller ones the volume of the box decides.
func pullBox(v rule.View, angle bool) []rule.Finding {
	return runs(v, func(r *plan.Run) []rule.Finding {
		var out []rule.Finding
		for i, q := range r.Pulls {
			if !isBox(q) || (q.Angle() > 1) != angle {
				continue
			}
			f := pullFinding(r, q)
			if rule.Telecom(r) {
				out = append(out, rule.Outside(f.Path, "it holds no power conductors"))
				continue
			}
			f.Required = "the size of 314.28 for conductors of 4 AWG and larger"
			if len(r.Carries) == 0 {
				out = append(out, rule.Lacks(f, "what run "+r.ID+" carries"))
				continue
			}
			if !raceway.InScope(r.Trade, answer.Largest(r)) {
				out = append(out, rule.Outside(f.Path, "no conductor of 4 AWG or larger in a raceway of 3/4 or larger: its volume decides, 314.16"))
				continue
			}
			out = append(out, boxSize(v, r, i, f))
		}
		if len(out) == 0 {
			what := "no straight pull in a box"
			if angle {
				what = "no angle pull in a box"
			}
			return one(rule.Outside(rule.RunPath(r), what))
		}
		return out
	})
}

// boxSize judges the two greater inside sides of a box against the least ones,
// the longer against the longer.
func boxSize(v rule.View, r *plan.Run, i int, f rule.Finding) rule.Finding {
	q := r.Pulls[i]
	need := v.Answer.BoxNeed(r, i)
	if !need.OK() {
		return rule.Lacks(f, need.Missing)
	}
	f.Value = need.Value
	f.Required = "at least " + v.Short(float64(need.Long))
	if need.Short > 0 {
		f.Required += " x " + v.Short(float64(need.Short))
	}
	if need.Depth > 0 {
		f.Required += ", " + v.Short(float64(need.Depth)) + " deep"
	}
	f.Mend = "write its inside size, \"size: [24 in, 12 in, 12 in]\""
	if !q.Size[0].Set || (need.Short > 0 && !q.Size[1].Set) || (need.Depth > 0 && !q.Size[2].Set) {
		return rule.Lacks(f, "the inside size of "+q.Words())
	}
	long, short := float64(q.Size[0].SI), float64(q.Size[1].Or(0))
	if short > long {
		long, short = short, long
	}
	required := f.Required
	f.Mend = "use a box of " + required
	g := rule.AtLeast(f, long, float64(need.Long), v.Short)
	if need.Short > 0 {
		if h := rule.AtLeast(f, short, float64(need.Short), v.Short); h.Outcome == rule.Broken || (g.Outcome == rule.Holds && short/float64(need.Short) < long/float64(need.Long)) {
			h.Outcome = urgent(g.Outcome, h.Outcome)
			g = h
		}
	}
	if need.Depth > 0 && g.Outcome == rule.Holds {
		if h := rule.AtLeast(f, float64(q.Size[2].SI), float64(need.Depth), v.Short); h.Outcome == rule.Broken {
			g = h
		}
	}
	g.Required = required
	g.Found = v.Short(long)
	if short > 0 {
		g.Found += " x " + v.Short(short)
	}
	for _, w := range need.Box.Spacing {
		g.Note = fmt.Sprintf("keep the two entries of the same conductors at least %s apart, edge to edge", v.Short(float64(w.Least)))
	}
	return g
}

// urgent returns the more urgent of two outcomes.
func urgent(a, b rule.Outcome) rule.Outcome { return min(a, b) }

// body looks at conduit bodies. Those for larger conductors are pull boxes
// unless they are marked with the conductors they take.
func body(v rule.View) []rule.Finding {
	return runs(v, func(r *plan.Run) []rule.Finding {
		var out []rule.Finding
		for i, q := range r.Pulls {
			if q.Kind != plan.PullBody {
				continue
			}
			f := pullFinding(r, q)
			if rule.Telecom(r) {
				out = append(out, rule.Outside(f.Path, "it holds no power conductors; its radius is looked at apart"))
				continue
			}
			if len(r.Carries) == 0 {
				f.Required = "twice the inside of the raceway, or the size of a pull box"
				out = append(out, rule.Lacks(f, "what run "+r.ID+" carries"))
				continue
			}
			if raceway.InScope(r.Trade, answer.Largest(r)) {
				f = boxSize(v, r, i, f)
				if f.Outcome == rule.CannotTell {
					f.Mend = "read the marking in it: one marked for these conductors is enough; else write its inside size"
				}
				out = append(out, f)
				continue
			}
			a := v.Answer.BodyArea(r, i)
			if !a.OK() {
				f.Required = "twice the inside of the raceway"
				out = append(out, rule.Lacks(f, a.Missing))
				continue
			}
			f.Value = a.Value
			print := func(m2 float64) string {
				return fmt.Sprintf("%.2f sq in", conductor.Area(m2).In2())
			}
			if !q.Size[1].Set || !q.Size[2].Set {
				f.Required = "an inside cross-section of at least " + print(a.Value.SI)
				f.Mend = "measure its inside across and down, or order one that is marked for the trade size"
				out = append(out, rule.Lacks(f, "the inside cross-section of "+q.Words()))
				continue
			}
			f.Mend = "use a larger conduit body"
			out = append(out, rule.AtLeast(f, float64(q.Size[1].SI*q.Size[2].SI), a.Value.SI, print))
		}
		if len(out) == 0 {
			return one(rule.Outside(rule.RunPath(r), "it has no conduit body"))
		}
		return out
	})
}
