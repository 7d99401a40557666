package answer

import (
	"fmt"
	"math"
	"strings"

	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
	"stubup/trade/conductor"
	"stubup/trade/pull"
	"stubup/trade/raceway"
)

// PullCard is the pull of one section of a run.
type PullCard struct {
	Answer // tension the best way, at high friction, against its limit; Missing where it cannot be told
	Card   *pull.Card
	Limit  *trace.Value
	Say    []string // what was taken because nobody said
}

// PullCard returns what pulling the cable of a run through one of its sections
// takes, in both directions.
func (b *Book) PullCard(r *plan.Run, section int) PullCard {
	path := fmt.Sprintf("%s[%d].pull", runPath(r, "section"), section+1)
	return memo(b, path, func() PullCard {
		if len(r.Carries) == 0 {
			return PullCard{Answer: cannot("what run " + r.ID + " carries")}
		}
		sec := r.Sections[section]
		var ps []pull.Piece
		for _, q := range sec.Pieces {
			ps = append(ps, pull.Piece{Name: pieceWords(q), Arc: q.Arc, A: q.A, B: q.B, Dir: q.Dir, Center: q.Centre, Angle: q.Angle})
		}
		es, err := pull.FromPieces(ps)
		if err != nil {
			return PullCard{Answer: cannot("a path to pull through: " + err.Error())}
		}
		s := pull.Section{Units: b.Plan.Site.Units, Name: r.ID + ", " + sec.Name(), Path: es, A: pull.End{Name: pullEnd(sec.From, r.From)}, B: pull.End{Name: pullEnd(sec.To, r.To)}}
		if sec.From.Kind == sec.To.Kind && s.A.Name == s.B.Name {
			s.A.Name, s.B.Name = "its start", "its end"
		}
		w := r.Pull
		s.A.Back, s.B.Back = w.Back.Or(0), w.Back.Or(0)
		s.A.Turn, s.A.TurnRadius, s.B.Turn, s.B.TurnRadius = w.ReelTurn.Or(0), w.ReelRadius.Or(0), w.ReelTurn.Or(0), w.ReelRadius.Or(0)
		s.Duct, err = duct(r)
		if err != nil {
			return PullCard{Answer: cannot(err.Error())}
		}
		s.Device, s.GroupShare, s.Attach = w.Gear.Or(0), w.GroupShare.Or(0), pull.Attachment(w.HeldBy)
		var say []string
		s.Friction, say = friction(w)
		for _, c := range r.Carries {
			k, words := b.pulled(c)
			s.Cables = append(s.Cables, k)
			if words != "" {
				say = append(say, words)
			}
		}
		card, err := pull.Evaluate(s)
		if err != nil {
			return PullCard{Answer: cannot("a sound pull of " + s.Name + ": " + err.Error())}
		}
		out := PullCard{Card: &card, Say: say}
		if card.Best < 0 {
			out.Answer = cannot(strings.Join(card.Missing, ", "))
			return out
		}
		d := card.Directions[card.Best]
		lim := trace.Input(path+".limit", "limit of the "+card.Tension.Name, float64(card.Tension.Force), "N", b.Plan.Site.Units.Force(card.Tension.Force), trace.Default, card.Tension.Cite)
		l := input(path+".length", s.Name+": length", float64(card.Length), "m", b.Plan.Site.Units.Run(card.Length))
		deg := input(path+".bends", s.Name+": bends", float64(card.Bends), "deg", unit.Trim(float64(card.Bends), 1)+" deg")
		mu := trace.Input(path+".friction", "friction of the cable, least to most", card.Friction.High, "", unit.Trim(card.Friction.Low, 2)+" to "+unit.Trim(card.Friction.High, 2), trace.Default, card.Friction.Cite)
		v := trace.Derive(path, s.Name+": greatest tension at high friction, fed at "+d.Feed, float64(d.Greatest.High), "N", b.Plan.Site.Units.Force(d.Greatest.High),
			trace.By{ID: "pull.bend.level", Equation: "T2 = T1 cosh(K a) + sinh(K a) sqrt(T1^2 + (W R)^2), straights T2 = T1 + W L (K cos(s) + sin(s))", Put: fmt.Sprintf("%d elements, weight correction %s, from %s", len(es), unit.Trim(card.Factor, 3), b.Plan.Site.Units.Force(d.Entering.High)), Cite: refs(card.Cite...)},
			l, deg, mu)
		out.Limit = lim
		out.Answer = b.keep(v)
		return out
	})
}

// ForceRange prints what friction leaves open. Where the cable runs downhill
// more friction is less tension.
func ForceRange(u unit.System, r pull.Range[unit.Newton]) string {
	return unit.Between(u.Force(min(r.Low, r.High)), u.Force(max(r.Low, r.High)))
}

func pieceWords(q plan.Piece) string {
	if q.What != "" {
		return q.What
	}
	if q.Where != "" {
		return "straight in " + q.Where
	}
	return "straight"
}

// pullEnd names an end of a section as the crew knows it.
func pullEnd(q plan.Pull, run string) string {
	switch {
	case q.ID != "":
		return q.ID + ", " + q.Words()
	case run != "":
		return run
	}
	return string(q.Kind)
}

func duct(r *plan.Run) (pull.Duct, error) {
	if r.Pull.Innerduct.Set {
		return pull.Duct{Name: "innerduct of " + r.Pull.Innerduct.Text, ID: r.Pull.Innerduct.SI, Innerduct: true}, nil
	}
	d, ok := raceway.Dim(r.Kind, r.Trade)
	if !ok {
		return pull.Duct{}, fmt.Errorf("the inside of the raceway of run %s", r.ID)
	}
	return pull.Duct{Name: r.RacewayText, ID: d.ID}, nil
}

// friction returns the range that is counted with. Where nobody said whether a
// lubricant is used, the range is the whole of both.
func friction(w site.Pull) (pull.Friction, []string) {
	if w.Friction > 0 {
		return pull.Friction{Name: "as entered", Low: w.Friction, Nominal: w.Friction, High: w.Friction, Cite: cite.Ref{Work: "as entered", Seen: cite.Derived}}, nil
	}
	wet, dry := "lubricated", "dry"
	if w.Innerduct.Set {
		wet, dry = "innerduct", "innerduct dry"
	}
	switch w.Lubricant {
	case "yes":
		f, _ := pull.FrictionOf(wet)
		return f, nil
	case "no":
		f, _ := pull.FrictionOf(dry)
		return f, nil
	}
	lo, _ := pull.FrictionOf(wet)
	hi, _ := pull.FrictionOf(dry)
	f := lo
	f.Name, f.High = "lubricated to dry", hi.High
	return f, []string{"whether a lubricant is used is not said: the friction runs from that of lubricated to that of dry cable"}
}

// pulled returns a cable as the pull knows it, and what was taken for it.
func (b *Book) pulled(c site.Cable) (pull.Cable, string) {
	k := pull.Cable{Name: c.Text, Count: max(1, c.Count), OD: c.OD.Or(0), Mass: c.Weight.Or(0), Tension: c.Tension.Or(0), Sidewall: c.Sidewall.Or(0), Radius: c.MinRadius.Or(0)}
	if c.Fiber {
		k.Class = pull.FiberOutside
	}
	if c.Size == 0 {
		return k, ""
	}
	k.Class, k.Metal, k.CMil = pull.Wire600, pull.Copper, conductor.CircularMils(c.Size)
	if strings.EqualFold(c.Insulation, "bare") {
		if p, ok := conductor.Table8(c.Size, false); ok {
			k.OD, k.Mass = p.Diameter, conductor.Bare{Size: c.Size}.Mass()
		}
		return k, ""
	}
	ins, err := conductor.ParseInsulation(c.Insulation)
	if err != nil {
		return k, ""
	}
	w := conductor.Insulated{Size: c.Size, Insulation: ins}
	if d, _, _, ok := w.Dimensions(); ok {
		k.OD = d
	}
	if k.Mass == 0 {
		if m, _, ok := w.Mass(conductor.Copper); ok {
			k.Mass = m
			return k, fmt.Sprintf("the weight of %s is estimated, %s: its sheet replaces it", c.Text, b.Plan.Site.Units.Weight(unit.NewtonPerM(m*9.80665)))
		}
	}
	return k, ""
}

// Tightest returns the largest share of any limit of a card pulled its best
// way, at high friction; 0 where there is none.
func (c PullCard) Tightest() float64 {
	if c.Card == nil || c.Card.Best < 0 {
		return 0
	}
	u := c.Card.Directions[c.Card.Best].Use
	if math.IsNaN(u) || math.IsInf(u, 0) {
		return 0
	}
	return u
}
