package goodpractice

import (
	"fmt"
	"strings"

	"stubup/answer"
	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
	"stubup/trade/pull"
)

func pathways() []*rule.Rule {
	return []*rule.Rule{
		of("cable-radius", "cable.radius", "the inside of a bend is no tighter than the cable allows while it is pulled", "a standard 2 in elbow for a 0.6 in fiber cable", cableRadius),
		of("core-slope", "core.slope", "a core through an outside wall slopes out, so that water stays out", "a core without slopes-out", coreSlope),
		of("pull", "pull", "a cable is pulled within its tension and the pressure of the bends", "a heavy cable through 360 degrees of bends", pulled),
		of("handhole-turn", "handhole.turn", "a cable turns only in a handhole of twice its radius", "a turn in a 12 x 12 in handhole", handholeTurn),
	}
}

func runs(v rule.View, look func(*plan.Run) []rule.Finding) []rule.Finding {
	var out []rule.Finding
	for i := range v.Plan.Runs {
		r := &v.Plan.Runs[i]
		if !r.OK {
			out = append(out, rule.UndrawnRun(r))
			continue
		}
		out = append(out, look(r)...)
	}
	if len(out) == 0 {
		return one(rule.Outside("runs", "there is no run"))
	}
	return out
}

// cableRadius is where a standard elbow passes power and fails fiber.
func cableRadius(v rule.View) []rule.Finding {
	return runs(v, func(r *plan.Run) []rule.Finding {
		f := rule.Finding{Path: rule.RunPath(r), Span: r.Run.Span, Required: "the inside of every bend no tighter than the cable while pulled"}
		if !asksRadius(r) {
			return one(rule.Outside(f.Path, "no cable in it asks a radius while it is pulled"))
		}
		a := v.Answer.CableRadius(r)
		if !a.OK() {
			f.Mend = "write the cable's outside diameter or its least radius by its own sheet"
			return one(rule.Lacks(f, a.Missing))
		}
		out := rule.InsideRadius(v, r, a.Value.SI, fmt.Sprintf("use sweeps with an inside radius of at least %s", a.Value.Text))
		for i := range out {
			if out[i].Outcome == rule.Broken || out[i].Outcome == rule.Holds {
				out[i].Note = a.Value.Name + ": " + a.Value.Text + ", " + a.Value.By.Equation
			}
		}
		for _, q := range r.Pulls {
			if q.Kind == plan.PullBody {
				g := f
				g.Path, g.Span, g.At = rule.RunPath(r)+", "+q.Words(), q.Span, []geom.Point{q.At.Plan()}
				g.Mend = "use a sweep; a conduit body has no radius"
				out = append(out, rule.YesNo(g, false, f.Required, "a conduit body"))
			}
		}
		return out
	})
}

func asksRadius(r *plan.Run) bool {
	if rule.Telecom(r) {
		return true
	}
	for _, c := range r.Carries {
		if c.Fiber || c.MinRadius.Set {
			return true
		}
	}
	return false
}

func coreSlope(v rule.View) []rule.Finding {
	var out []rule.Finding
	for i := range v.Plan.Runs {
		r := &v.Plan.Runs[i]
		for _, e := range r.Entries {
			f := rule.Finding{Path: rule.RunPath(r) + ", wall " + e.Wall, Span: e.Span, At: []geom.Point{e.At.Plan()}, Required: "sloped to the outside"}
			if e.Rated {
				f.Note = "the wall is fire-rated: a listed firestop as well"
			}
			if !e.Core.Set {
				f.Mend = "write \"core: 3 in\" and \"slopes-out: yes\" at this wall; scan both faces first, post-tension means stop"
				out = append(out, rule.Lacks(f, "the core at this wall"))
				continue
			}
			f.Mend = "drill it from the inside, falling to the outside, and write \"slopes-out: yes\"; scan both faces first, post-tension means stop; guard below"
			found := "not said to slope out"
			if e.SlopesOut {
				found = "slopes out"
			}
			out = append(out, rule.YesNo(f, e.SlopesOut, f.Required, found))
		}
	}
	if len(out) == 0 {
		return one(rule.Outside("runs", "no run goes through a wall"))
	}
	return out
}

// handholeTurn measures the shorter inside side of a handhole or box in which
// the cable turns.
func handholeTurn(v rule.View) []rule.Finding {
	return runs(v, func(r *plan.Run) []rule.Finding {
		if !asksRadius(r) {
			return one(rule.Outside(rule.RunPath(r), "no cable in it asks a radius"))
		}
		var out []rule.Finding
		for _, q := range r.Pulls {
			if (q.Kind != plan.PullHandhole && q.Kind != plan.PullBox) || !q.Turns {
				continue
			}
			f := rule.Finding{Path: rule.RunPath(r) + ", " + q.Words(), Span: q.Span, At: []geom.Point{q.At.Plan()}}
			if q.ID != "" {
				f.Path, f.Points = rule.RunPath(r)+", "+q.ID, []string{q.ID}
			}
			f.Required = "an inside twice the radius of the cable both ways"
			a := v.Answer.CableRadius(r)
			switch {
			case !a.OK():
				f.Mend = "write the cable's outside diameter or its least radius by its own sheet"
				out = append(out, rule.Lacks(f, a.Missing))
				continue
			case !q.Size[0].Set || !q.Size[1].Set:
				f.Mend = "write its inside size, \"size: [36 in, 24 in, 24 in]\""
				out = append(out, rule.Lacks(f, "the inside size of "+q.Words()))
				continue
			}
			f.Value = a.Value
			f.Mend = "use a larger handhole, or turn with a sweep and set the handhole in the straight"
			out = append(out, rule.AtLeast(f, float64(min(q.Size[0].SI, q.Size[1].SI)), figures.Num("handhole.turn")*a.Value.SI, v.Short))
		}
		if len(out) == 0 {
			return one(rule.Outside(rule.RunPath(r), "no cable turns in a handhole or box"))
		}
		return out
	})
}

// pulled holds the pull of every section to its limits, the better way. Where
// nothing is said of how a run is pulled there is nothing to hold.
func pulled(v rule.View) []rule.Finding {
	return runs(v, func(r *plan.Run) []rule.Finding {
		if r.Pull == (site.Pull{}) {
			return one(rule.Outside(rule.RunPath(r), "nothing is said of how its cable is pulled"))
		}
		var out []rule.Finding
		for k, s := range r.Sections {
			f := rule.Finding{Path: rule.RunPath(r) + ", " + s.Name(), Span: r.Run.Span, Required: "within the limits of cable, grip, gear and bends", Mend: "pull from the other end, lubricate, longer sweeps, or a pull point between"}
			p := v.Answer.PullCard(r, k)
			if !p.OK() {
				out = append(out, rule.Lacks(f, p.Missing))
				continue
			}
			c := p.Card
			d := c.Directions[c.Best]
			f.Value = p.Value
			f.Found = fmt.Sprintf("%s fed at %s, limit %s by the %s", answer.ForceRange(v.Site.Units, d.Greatest), d.Feed, v.Site.Units.Force(c.Tension.Force), c.Tension.Name)
			f.Note = c.Tension.Cite.Full()
			switch {
			case c.Outcome == pull.CannotTell && len(c.Missing) > 0:
				f = rule.Lacks(f, strings.Join(c.Missing, ", "))
			case c.Outcome == pull.CannotTell:
				f.Mend = "say what lubricant is used, or the friction that its maker states"
				f = rule.Lacks(f, "a friction: it holds only up to "+unit.Trim(d.HoldsTo, 2))
			case c.Outcome == pull.Over:
				f.Outcome, f.Margin = rule.Broken, strings.Join(append(append([]string(nil), c.Over...), d.Over...), "; ")
			default:
				f.Outcome = rule.Holds
			}
			out = append(out, f)
		}
		return out
	})
}
