package work

import (
	"fmt"
	"strings"

	"stubup/answer"
	"stubup/base/sheet"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/trade/pull"
)

// pullCards returns the card of every section through which a cable is pulled:
// what goes in, where it is fed and pulled from, and the tension to watch for at
// every bend.
func pullCards(v rule.View) []sheet.Table {
	var out []sheet.Table
	for i := range v.Plan.Runs {
		r := &v.Plan.Runs[i]
		for k := range r.Sections {
			if p := v.Answer.PullCard(r, k); p.Card != nil {
				out = append(out, pullCard(v, r, k, p))
			}
		}
	}
	return out
}

func pullCard(v rule.View, r *plan.Run, k int, p answer.PullCard) sheet.Table {
	c := p.Card
	sys := v.Site.Units
	s := r.Sections[k]
	t := sheet.Table{
		ID: fmt.Sprintf("work.pull.%s.%d", sheet.Key(r.ID), k+1), Title: fmt.Sprintf("Pull card: %s, %s", r.ID, s.Name()),
		Columns: []sheet.Column{{Head: "At", Width: 0.22}, {Head: "Length or bend", Align: sheet.Right, Width: 0.14}, {Head: "Tension after it, best way", Align: sheet.Right, Width: 0.22}, {Head: "On the bend", Align: sheet.Right, Width: 0.20}, {Head: "Tension, the other way", Align: sheet.Right, Width: 0.22}},
	}
	say := func(f string, args ...any) { t.Notes = append(t.Notes, fmt.Sprintf(f, args...)) }
	var in []string
	for _, x := range c.Cables {
		w := fmt.Sprintf("%d x %s", x.Count, x.Name)
		if strings.HasPrefix(x.Name, fmt.Sprint(x.Count)+" x ") {
			w = x.Name
		}
		in = append(in, w)
	}
	if c.Best < 0 {
		t.Empty = "Cannot tell: " + strings.Join(c.Missing, ", ") + "."
		return t
	}
	best, other := c.Directions[c.Best], c.Directions[1-c.Best]
	// The other way walks the same elements from the other end, after its own
	// turn at the reel.
	back := other.Steps[len(other.Steps)-min(len(other.Steps), len(s.Pieces)):]
	for i, a := range best.Steps {
		what := sys.Run(a.Length)
		if a.Angle != 0 {
			what = unit.Trim(float64(a.Angle), 1) + " deg"
		}
		wall := sheet.T("")
		if a.Angle != 0 {
			wall = sheet.N(float64(a.Sidewall.High), unit.Between(sys.Side(min(a.Sidewall.Low, a.Sidewall.High)), sys.Side(max(a.Sidewall.Low, a.Sidewall.High))))
		}
		row := sheet.Row{sheet.T(a.Name), sheet.T(what), sheet.N(float64(a.Out.High), answer.ForceRange(sys, a.Out)), wall}
		o := sheet.T("")
		if j := len(best.Steps) - 1 - i; j < len(back) {
			o = sheet.N(float64(back[j].Out.High), answer.ForceRange(sys, back[j].Out))
		}
		t.Rows = append(t.Rows, append(row, o))
	}
	say("Feed at %s, pull from %s: at most %s. The other way: at most %s.", best.Feed, best.Pull, sys.Force(best.Greatest.High), sys.Force(other.Greatest.High))
	switch {
	case c.Outcome == pull.Over:
		say("OVER: %s.", strings.Join(append(append([]string(nil), c.Over...), best.Over...), "; "))
	case c.Outcome == pull.CannotTell && len(c.Missing) > 0:
		say("Cannot tell: %s.", strings.Join(c.Missing, ", "))
	case c.Outcome == pull.CannotTell:
		say("Holds only up to a friction of %s: %s.", unit.Trim(best.HoldsTo, 2), strings.Join(best.Over, "; "))
	default:
		say("Holds: %s %% of the tightest limit.", unit.Trim(100*best.Use, 0))
	}
	say("Pull: %s, %s in all, %s of bends over %s.", strings.Join(in, ", "), sys.Weight(c.Weight), unit.Trim(float64(c.Bends), 1)+" deg", sys.Run(c.Length))
	var bounds []string
	for _, b := range c.Bounds {
		bounds = append(bounds, fmt.Sprintf("%s %s (%s)", b.Name, sys.Force(b.Force), b.Cite.Full()))
	}
	say("Limits: %s.", strings.Join(bounds, "; "))
	if c.Sidewall.Force > 0 {
		say("On a bend at most %s (%s).", sys.Side(unit.NewtonPerM(c.Sidewall.Force)), c.Sidewall.Cite.Full())
	}
	say("Friction %s to %s, %s (%s).", unit.Trim(c.Friction.Low, 2), unit.Trim(c.Friction.High, 2), c.Friction.Name, c.Friction.Cite.Full())
	for _, x := range c.Radii {
		w := "holds"
		if !x.Holds {
			w = "TOO TIGHT"
		}
		say("Inside of the tightest bend (%s) %s, %s asks %s: %s.", x.At, sys.Short(x.Found), x.Cable, sys.Short(x.Least), w)
	}
	if c.Jam != nil {
		say("Jam ratio %s by one rule (%s), %s by the other (%s).", unit.Trim(c.Jam.Grown, 2), c.Jam.GrownBand, unit.Trim(c.Jam.Plain, 2), c.Jam.PlainBand)
	}
	if c.Clearance != nil {
		say("Clearance over the cables %s.", sys.Short(c.Clearance.Least))
	}
	for _, w := range p.Say {
		say("%s.", capital(w))
	}
	t.Notes = append(t.Notes, c.Cautions...)
	t.Notes = append(t.Notes, "Reels: two people. Nobody in line with the line; hands off cable and sheave while it moves.")
	return t
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
