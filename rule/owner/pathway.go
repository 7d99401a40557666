package owner

import (
	"fmt"
	"strings"

	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
	"stubup/trade/raceway"
)

func pathways() []*rule.Rule {
	return []*rule.Rule{
		of("bend-radius", "the least bend radius, times the inside diameter or a length", "bend-radius: 10", bendRadius),
		of("bend-sum", "the most degrees of bend between pull points", "bend-sum: 180 deg", bendSum),
		of("conduit-bodies", "whether conduit bodies are allowed", "conduit-bodies: no", bodies),
		of("pull-boxes", "where pull boxes may be", "pull-boxes: straights only", pullBoxes),
		of("run-length", "the longest run between pull points", "run-length: 100 ft", runLength),
	}
}

// runs calls look for every run that an entry is about.
func runs(v rule.View, e site.OwnerRule, look func(*plan.Run) []rule.Finding) []rule.Finding {
	var out []rule.Finding
	for i := range v.Plan.Runs {
		r := &v.Plan.Runs[i]
		switch {
		case e.Service != "" && r.Service != e.Service:
			continue
		case !r.OK:
			out = append(out, rule.UndrawnRun(r))
		default:
			out = append(out, look(r)...)
		}
	}
	if len(out) == 0 {
		return one(rule.Outside("runs", strings.TrimSpace("there is no "+e.Service+" run")))
	}
	return out
}

func bendSum(v rule.View, e site.OwnerRule) []rule.Finding {
	if !e.Angle.Set {
		return one(unread(e, "runs", "write the sum as an angle, \"180 deg\""))
	}
	return runs(v, e, func(r *plan.Run) []rule.Finding {
		var out []rule.Finding
		for i := range r.Sections {
			out = append(out, rule.BendSum(v, r, i, float64(e.Angle.SI)))
		}
		return out
	})
}

func runLength(v rule.View, e site.OwnerRule) []rule.Finding {
	if !e.Length.Set {
		return one(unread(e, "runs", "write the length, \"100 ft\""))
	}
	return runs(v, e, func(r *plan.Run) []rule.Finding {
		var out []rule.Finding
		for i := range r.Sections {
			out = append(out, rule.Length(v, r, i, float64(e.Length.SI)))
		}
		return out
	})
}

func bendRadius(v rule.View, e site.OwnerRule) []rule.Finding {
	if !e.Length.Set && e.Number <= 0 {
		return one(unread(e, "runs", "write the radius as a length, or as times the inside diameter: \"10\""))
	}
	return runs(v, e, func(r *plan.Run) []rule.Finding {
		least := e.Length.SI
		word := ""
		if !e.Length.Set {
			dim, ok := raceway.Dim(r.Kind, r.Trade)
			if !ok {
				f := rule.Finding{Path: rule.RunPath(r), Span: r.Run.Span, Required: "at least " + unit.Trim(e.Number, 1) + " x the inside diameter"}
				return one(rule.Lacks(f, fmt.Sprintf("the inside diameter of %s %s", r.Kind, r.Trade)))
			}
			least = unit.Metre(e.Number) * dim.ID
			word = ", " + unit.Trim(e.Number, 1) + " x the inside diameter"
		}
		out := rule.InsideRadius(v, r, float64(least), "use sweeps of a larger radius")
		for i := range out {
			if out[i].Required != "" {
				out[i].Required += word
			}
		}
		return out
	})
}

// bodies holds runs to the owner's word. Where bodies are allowed nothing is
// asked.
func bodies(v rule.View, e site.OwnerRule) []rule.Finding {
	w := strings.ToLower(strings.TrimSpace(e.Words))
	if !rule.SaysNo(w) {
		if w == "yes" || w == "true" {
			return one(rule.Outside("runs", "the owner allows conduit bodies"))
		}
		return one(unread(e, "runs", "write \"conduit-bodies: no\" or \"yes\""))
	}
	return runs(v, e, func(r *plan.Run) []rule.Finding {
		var out []rule.Finding
		for _, q := range r.Pulls {
			if q.Kind != plan.PullBody {
				continue
			}
			f := pullFinding(r, q)
			f.Mend = "use a sweep, or a pull box in a straight"
			out = append(out, rule.YesNo(f, false, "no conduit body", q.Words()))
		}
		if len(out) == 0 {
			f := rule.Finding{Path: rule.RunPath(r), Span: r.Run.Span}
			return one(rule.YesNo(f, true, "no conduit body", "none"))
		}
		return out
	})
}

func pullFinding(r *plan.Run, q plan.Pull) rule.Finding {
	f := rule.Finding{Path: rule.RunPath(r) + ", " + q.Words(), Span: q.Span, At: []geom.Point{q.At.Plan()}}
	if q.ID != "" {
		f.Path, f.Points = rule.RunPath(r)+", "+q.ID, []string{q.ID}
	}
	return f
}

// straight is how far a run may turn in a box and still be drawn straight
// through it, degrees: the rounding of a drawing.
const straight = 1

// pullBoxes reads where boxes may stand: in straights only, or with a turn of
// the cable where the owner lets it turn.
func pullBoxes(v rule.View, e site.OwnerRule) []rule.Finding {
	turns, ok := TurnsAllowed(e.Words)
	if !ok {
		return one(unread(e, "runs", "write \"straights only\" or \"may turn\""))
	}
	return runs(v, e, func(r *plan.Run) []rule.Finding {
		if turns {
			return one(rule.Outside(rule.RunPath(r), "the owner lets a cable turn in a box or handhole of its radius"))
		}
		var out []rule.Finding
		n := 0
		for _, q := range r.Pulls {
			if q.Kind != plan.PullBox && q.Kind != plan.PullHandhole {
				continue
			}
			n++
			if q.Turns || q.Angle() > straight {
				f := pullFinding(r, q)
				f.Mend = "turn with a sweep before or after, and set the box in a straight"
				out = append(out, rule.YesNo(f, false, "in a straight only", "the run turns "+rule.Degrees(q.Angle())+" in it"))
			}
		}
		switch {
		case n == 0:
			return one(rule.Outside(rule.RunPath(r), "it has no pull box"))
		case len(out) == 0:
			f := rule.Finding{Path: rule.RunPath(r), Span: r.Run.Span}
			return one(rule.YesNo(f, true, "in a straight only", fmt.Sprintf("%d in straights", n)))
		}
		return out
	})
}

// TurnsAllowed reads whether a cable may turn in a pull box or handhole; ok is
// false where the words say neither.
func TurnsAllowed(words string) (allowed, ok bool) {
	w := strings.ToLower(words)
	switch {
	case strings.Contains(w, "straight"), strings.Contains(w, "no turn"), strings.Contains(w, "not turn"):
		return false, true
	case strings.Contains(w, "turn"), strings.Contains(w, "at bends"), strings.Contains(w, "anywhere"):
		return true, true
	}
	return false, false
}
