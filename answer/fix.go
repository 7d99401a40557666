package answer

import (
	"fmt"
	"math"
	"slices"

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
	Chosen   bool // it stands in the cheapest set found
}

// Fixes are the ways to reach a resistance limit that a design misses.
type Fixes struct {
	Singles []Fix // the most ohms by foot first
	Set     []string
	Reached Answer // resistance with the set
	Feet    float64
	Joints  float64
	Exact   bool   // no cheaper set of these exists
	Missing string // why there is none
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
		add := func(words string, feet, joints float64, ws ...ground.Wire) {
			all = append(all, named{words, ground.Candidate{ID: words, Wires: ws, Cost: ground.Cost{Feet: ground.Known(feet), Joints: ground.Known(joints)}}})
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
				add(fmt.Sprintf("%s rods in all %d places", u.Length(l), len(ws)), feet, 0, ws...)
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
			feet, joints := radialLength.Ft(), 1.0
			words := fmt.Sprintf("%s radial out from corner %d", u.Length(radialLength), i+1)
			if rodR > 0 && depth+rodL <= rock {
				end = ground.Section{Length: rodL, Radius: rodR}
				feet, joints = feet+unit.Metre(rodL).Ft(), 2
				words += " with a rod at its end"
			}
			add(words, feet, joints, ground.Radial([3]float64{c.X, c.Y, depth}, math.Atan2(out.Y, out.X), float64(radialLength), radius, end)...)
		}
		if rodR > 0 && depth+rodL <= rock {
			for i, s := range p.Ring.Straights() {
				mid := s.A.Add(s.B).Scale(0.5)
				taken := slices.ContainsFunc(p.Rods, func(r plan.Rod) bool { return r.At.Dist(mid) < rodL })
				if taken || len(all) >= maxFixes {
					continue
				}
				add(fmt.Sprintf("a rod in the middle of side %d", i+1), unit.Metre(rodL).Ft(), 1, ground.Rod([3]float64{mid.X, mid.Y, depth}, rodL, rodR, 0, 0))
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
		var res Fixes
		ranked, _, _ := fx.Rank(ground.ByFeet)
		for _, s := range ranked {
			f := Fix{Words: s.ID, R: unit.Ohm(s.Resistance), Drop: unit.Ohm(s.Drop), Feet: s.Cost.Feet.Value, Joints: s.Cost.Joints.Value}
			if f.Feet > 0 {
				f.OhmPerFt = float64(f.Drop) / f.Feet
			}
			if f.Joints > 0 {
				f.OhmPerJt = float64(f.Drop) / f.Joints
			}
			res.Singles = append(res.Singles, f)
		}
		choice, err := fx.Greedy(b.ctx, unit.Ohm(limit), ground.ByFeet)
		if err == nil && len(cs) <= exactMost {
			if best, e := fx.Exact(b.ctx, unit.Ohm(limit), ground.ByFeet); e == nil {
				choice = best
			}
		}
		if err != nil {
			res.Missing = err.Error()
			return res
		}
		res.Set, res.Exact, res.Feet, res.Joints = choice.IDs, choice.Optimal, choice.Cost.Feet.Value, choice.Cost.Joints.Value
		for i := range res.Singles {
			res.Singles[i].Chosen = slices.Contains(choice.IDs, res.Singles[i].Words)
		}
		r := float64(choice.Resistance)
		res.Reached = b.keep(trace.Derive("ground.fixes.resistance", "resistance with the cheapest set of additions", r, "ohm", unit.Ohms(unit.Ohm(r)),
			trace.By{ID: "ground.fixes", Equation: "least feet of conductor and rod with R at most the limit", Put: fmt.Sprintf("%d of %d additions", len(choice.IDs), len(cs)), Cite: FieldSolution}, d.Value, g.Value))
		return res
	})
}

// fixElement is the longest element while additions are compared, m: it moves
// R by less than 0.05 %, and differences by less.
const fixElement = 0.4

// exactMost is how many candidates are searched exactly while a person waits.
const exactMost = 12
