package answer

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/trade/conductor"
	"stubup/trade/ground"
)

// Fix is one addition that would lower the resistance.
type Fix struct {
	Words    string
	R        unit.Ohm
	Drop     unit.Ohm
	Feet     float64 // of conductor and rod
	Joints   float64
	OhmPerFt float64
	OhmPerJt float64
	Hours    ground.Figure // absent where the document does not say what a part of it takes
	Money    ground.Figure // absent where a part of it has no price
	Chosen   bool          // it stands in the cheapest set found
}

// Fixes are the ways to reach a resistance limit that a design misses.
type Fixes struct {
	Singles []Fix // the most ohms by foot first
	Set     []string
	Reached Answer // resistance with the set
	Feet    float64
	Joints  float64
	Hours   ground.Figure
	Money   ground.Figure
	By      ground.By // what the set is the cheapest in
	Unsaid  []string  // what no price or time is said for, so that it does not decide
	Exact   bool      // no cheaper set of these exists
	Missing string    // why there is none
}

// What is tried. Common practice, no source: lengths that can be had and that
// two people can drive or lay.
const (
	radialLength = 20 * unit.Foot
	maxFixes     = 16 // so many additions are looked at
)

var rodLengths = []unit.Metre{10 * unit.Foot, 20 * unit.Foot, 24 * unit.Foot}

// Fixes returns what would bring a design under a limit, ranked, and the set
// that takes the fewest feet of conductor and rod. Every figure is solved in
// this site's own soil: what is best in one soil loses in another. It is empty
// where the limit is met.
func (b *Book) Fixes(limit unit.Ohm) Fixes {
	return memo(b, fmt.Sprintf("ground.fixes.%g", float64(limit)), func() Fixes {
		d, g := b.Design(), b.SoilModel()
		if !d.OK() || !g.OK() || d.Value.SI <= float64(limit) {
			return Fixes{}
		}
		p := b.Plan
		wire := p.Wire()
		radius := float64(conductor.Bare{Size: wire.Size, Solid: wire.Solid, Tinned: wire.Tinned}.Radius())
		depth := float64(p.Ring.Depth)
		u := p.Site.Units
		type named struct {
			words string
			c     ground.Candidate
		}
		var all []named
		pay := b.rates()
		add := func(words string, w work, ws ...ground.Wire) {
			all = append(all, named{words, ground.Candidate{ID: words, Wires: ws, Cost: pay.cost(w)}})
		}
		rock := math.Inf(1)
		if r := p.Site.Soil.Rock; r.Set {
			rock = float64(r.SI)
		}
		rodR, rodL := 0.0, 0.0
		// Longer rods, all of them at once: nobody drives each to another length.
		for _, l := range rodLengths {
			var ws []ground.Wire
			feet := 0.0
			for _, r := range p.Rods {
				rodR, rodL = float64(r.Radius), float64(r.Length)
				if r.Length >= l || float64(r.Top+l) > rock || r.Refused {
					continue
				}
				ws = append(ws, ground.Rod([3]float64{r.At.X, r.At.Y, float64(r.Top)}, float64(l), float64(r.Radius), 0, 0))
				feet += (l - r.Length).Ft()
			}
			if len(ws) > 0 {
				add(fmt.Sprintf("%s rods in all %d places", u.Length(l), len(ws)), work{rod: feet}, ws...)
			}
		}
		if w := p.Site.Ground.Rods; rodR == 0 && w != nil {
			rodR, rodL = float64(w.Diameter.SI/2), float64(w.Length.SI)
		}
		for i, c := range p.Ring.Corners {
			out := p.Outward(c)
			if out.Norm() == 0 || len(all) >= maxFixes-4 {
				continue
			}
			end := ground.Section{}
			w := work{wire: radialLength.Ft(), trench: radialLength.Ft(), joints: 1}
			words := fmt.Sprintf("%s radial out from corner %d", u.Length(radialLength), i+1)
			if rodR > 0 && depth+rodL <= rock {
				end = ground.Section{Length: rodL, Radius: rodR}
				w.rod, w.joints = unit.Metre(rodL).Ft(), 2
				words += " with a rod at its end"
			}
			add(words, w, ground.Radial([3]float64{c.X, c.Y, depth}, math.Atan2(out.Y, out.X), float64(radialLength), radius, end)...)
		}
		if rodR > 0 && depth+rodL <= rock {
			for i, s := range p.Ring.Straights() {
				mid := s.A.Add(s.B).Scale(0.5)
				taken := slices.ContainsFunc(p.Rods, func(r plan.Rod) bool { return r.At.Dist(mid) < rodL })
				if taken || len(all) >= maxFixes {
					continue
				}
				add(fmt.Sprintf("a rod in the middle of side %d", i+1), work{rod: unit.Metre(rodL).Ft(), joints: 1}, ground.Rod([3]float64{mid.X, mid.Y, depth}, rodL, rodR, 0, 0))
			}
		}
		if len(all) == 0 {
			return Fixes{Missing: "nothing left to add: no longer rod, no radial and no free side"}
		}
		cs := make([]ground.Candidate, len(all))
		for i, n := range all {
			cs[i] = n.c
		}
		fx, err := ground.Candidates(b.ctx, g.Model, Wires(p, Electrode{}), cs, ground.Options{MaxLength: fixElement})
		if err != nil {
			return Fixes{Missing: err.Error()}
		}
		res := Fixes{Unsaid: pay.unsaid}
		want := ground.ByMoney
		if pay.money(cs) != nil {
			want = ground.ByHours
		}
		ranked, by, _ := fx.Rank(want)
		res.By = by
		for _, s := range ranked {
			f := Fix{Words: s.ID, R: unit.Ohm(s.Resistance), Drop: unit.Ohm(s.Drop), Feet: s.Cost.Feet.Value, Joints: s.Cost.Joints.Value, Hours: s.Cost.Hours, Money: s.Cost.Money}
			if f.Feet > 0 {
				f.OhmPerFt = float64(f.Drop) / f.Feet
			}
			if f.Joints > 0 {
				f.OhmPerJt = float64(f.Drop) / f.Joints
			}
			res.Singles = append(res.Singles, f)
		}
		choice, err := fx.Greedy(b.ctx, unit.Ohm(limit), by)
		if err == nil && len(cs) <= exactMost {
			if best, e := fx.Exact(b.ctx, unit.Ohm(limit), by); e == nil {
				choice = best
			}
		}
		if err != nil {
			res.Missing = err.Error()
			return res
		}
		res.Hours, res.Money = choice.Cost.Hours, choice.Cost.Money
		res.Set, res.Exact, res.Feet, res.Joints = choice.IDs, choice.Optimal, choice.Cost.Feet.Value, choice.Cost.Joints.Value
		for i := range res.Singles {
			res.Singles[i].Chosen = slices.Contains(choice.IDs, res.Singles[i].Words)
		}
		r := float64(choice.Resistance)
		res.Reached = b.keep(trace.Derive("ground.fixes.resistance", "resistance with the cheapest set of additions", r, "ohm", unit.Ohms(unit.Ohm(r)),
			trace.By{ID: "ground.fixes", Equation: "least " + leastOf[by] + " with R at most the limit", Put: fmt.Sprintf("%d of %d additions", len(choice.IDs), len(cs)), Cite: FieldSolution}, d.Value, g.Value))
		return res
	})
}

// fixElement is the longest element while additions are compared, m: it moves
// R by less than 0.05 %, and differences by less.
const fixElement = 0.4

// exactMost is how many candidates are searched exactly while a person waits.
const exactMost = 12

var leastOf = map[ground.By]string{ground.ByFeet: "feet of conductor and rod", ground.ByJoints: "joints", ground.ByHours: "hours", ground.ByMoney: "money"}

// work is what an addition takes: feet of conductor, rod and trench, and welded
// joints.
type work struct{ wire, rod, trench, joints float64 }

// rates are the document's own prices and hours of such work; NaN where it does
// not say.
type rates struct {
	price, hour work
	labor       float64
	unsaid      []string
}

// rates reads them. What it looks for is in the page of the document language.
func (b *Book) rates() rates {
	s := b.Plan.Site
	price := func(item string, per ...string) float64 {
		for _, p := range s.Prices {
			if strings.EqualFold(p.Item, item) && slices.Contains(per, p.Per) {
				if p.Per == "m" {
					return p.Amount * float64(unit.Foot)
				}
				return p.Amount
			}
		}
		return math.NaN()
	}
	hour := func(what string, per ...string) float64 {
		for _, h := range s.Hours {
			if strings.EqualFold(h.Work, what) && slices.Contains(per, h.Per) {
				v := float64(h.Time) / 3600
				if h.Per == "m" {
					v *= float64(unit.Foot)
				}
				return v
			}
		}
		return math.NaN()
	}
	r := rates{
		price: work{price(b.Plan.Wire().Text, "ft", "m"), price("ground rod", "ft", "m"), price("trench", "ft", "m"), price("welded joint", "each")},
		hour:  work{0, hour("driven rod", "ft", "m"), hour("trench", "ft", "m"), hour("welded joint", "each", "joint")},
		labor: price("labor", "hour"),
	}
	for _, x := range []struct {
		v    float64
		what string
	}{
		{r.price.wire, "the price of " + b.Plan.Wire().Text + " per ft"},
		{r.price.rod, "of ground rod per ft"},
		{r.price.joints, "of a welded joint"},
		{r.labor, "of labor per hour"},
		{r.hour.rod, "hours of driven rod per ft"},
		{r.hour.trench, "of trench per ft"},
		{r.hour.joints, "of a welded joint"},
	} {
		if math.IsNaN(x.v) {
			r.unsaid = append(r.unsaid, x.what)
		}
	}
	return r
}

// of multiplies work by rates; what is not done needs no rate.
func (w work) of(r work) float64 {
	sum := 0.0
	for _, x := range [][2]float64{{w.wire, r.wire}, {w.rod, r.rod}, {w.trench, r.trench}, {w.joints, r.joints}} {
		if x[0] != 0 {
			sum += x[0] * x[1]
		}
	}
	return sum
}

// cost returns what work takes. The trench is paid by its own price where there
// is one, else by its hours; all other work by material and hours.
func (r rates) cost(w work) ground.Cost {
	c := ground.Cost{Feet: ground.Known(w.wire + w.rod), Joints: ground.Known(w.joints)}
	hours := w.of(r.hour)
	if !math.IsNaN(hours) {
		c.Hours = ground.Known(hours)
	}
	material, paid := w, hours
	if math.IsNaN(r.price.trench) {
		material.trench = 0
	} else {
		own := w
		own.trench = 0
		paid = own.of(r.hour)
	}
	if m := material.of(r.price) + paid*r.labor; !math.IsNaN(m) {
		c.Money = ground.Known(m)
	}
	return c
}

// money returns the first addition whose money is not known, nil for none.
func (rates) money(cs []ground.Candidate) *ground.Candidate {
	for i := range cs {
		if !cs[i].Cost.Money.Known {
			return &cs[i]
		}
	}
	return nil
}
