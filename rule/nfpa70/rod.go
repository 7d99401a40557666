package nfpa70

import (
	"fmt"

	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
)

func rods() []*rule.Rule {
	return []*rule.Rule{
		of("250.52.rod-diameter", "rod.diameter", rule.Shall, "a rod is at least 5/8 in across unless it is listed", "diameter: 3/8 in", rodDiameter),
		of("250.53.rod-contact", "rod.contact", rule.Shall, "a rod has at least 8 ft in contact with soil", "rods: {length: 6 ft}", rodContact),
		of("250.53.rod-refused", "rod.refused", rule.Shall, "a rod that refuses is driven at 45 degrees, then laid flat", "{rod: R1, refused: yes, lies: flat}  # 45 was not tried", rodRefused),
		of("250.53.rod-spacing", "rod.spacing", rule.Shall, "rods stand at least 6 ft apart", "places: [[20, 2], [24, 2]]", rodSpacing),
		of("250.53.single-rod", "rod.single", rule.Shall, "one rod alone needs a second, unless it reads 25 ohm or less", "one rod, no ring, 40 ohm", singleRod),
	}
}

// noRods returns the finding of a rule about rods where there are none to look
// at; ok is true where there are.
func noRods(v rule.View) (rule.Finding, bool) {
	if len(v.Plan.Rods) > 0 {
		return rule.Finding{}, true
	}
	w := v.Site.Ground.Rods
	if w == nil {
		return rule.Outside("ground.rods", "no rod is wanted"), false
	}
	f := rule.Finding{Path: "ground.rods", Span: w.Span}
	switch {
	case !w.Length.Set:
		return rule.Lacks(f, "the length of the rods"), false
	case !w.Diameter.Set:
		return rule.Lacks(f, "the diameter of the rods"), false
	}
	f.Outcome, f.Found = rule.CannotTell, "no rod could be placed"
	f.Mend = "say where the rods stand, and mend the ring if it could not be drawn"
	return f, false
}

func rodFinding(r *plan.Rod) rule.Finding {
	return rule.Finding{Path: "rod " + r.ID, Span: r.Span, Points: []string{r.ID}, At: []geom.Point{r.At}}
}

// rodContact looks at what is in the soil. A rod that stopped short is no
// electrode by itself; leaving it so needs acceptance in writing.
func rodContact(v rule.View) []rule.Finding {
	if f, ok := noRods(v); !ok {
		return one(f)
	}
	least := figures.Num("rod.contact")
	var out []rule.Finding
	var good *rule.Finding
	n := 0
	for i := range v.Plan.Rods {
		r := &v.Plan.Rods[i]
		f := rodFinding(r)
		f.Mend = "order rods of " + figures.Text("rod.contact") + " or longer"
		if r.Refused {
			f.Mend = "move it a foot or two and drive again, or drive it at 45 degrees; only if that refuses lay it flat; never cut it off. Left as it is it needs acceptance in writing"
			if v.Plan.Ring != nil {
				f.Note = "the rod is not an electrode by itself; the ring stands"
			}
		}
		f = rule.AtLeast(f, float64(r.Driven), least, v.Long)
		if f.Outcome == rule.Broken {
			out = append(out, f)
			continue
		}
		n++
		if good == nil || r.Driven < unit.Metre(good.Value.SI) {
			g := f
			g.Value = v.Input("rods."+r.ID+".driven", "rod "+r.ID+": in the soil", float64(r.Driven), "m", f.Found)
			good = &g
		}
	}
	if good != nil && len(out) == 0 {
		good.Path, good.Points = "ground.rods", nil
		good.Found += fmt.Sprintf(" of each of %d rods, or more", n)
		good.At = rodPlaces(v)
		out = append(out, *good)
	}
	return out
}

func rodPlaces(v rule.View) []geom.Point {
	var out []geom.Point
	for _, r := range v.Plan.Rods {
		out = append(out, r.At)
	}
	return out
}

func rodDiameter(v rule.View) []rule.Finding {
	if f, ok := noRods(v); !ok {
		return one(f)
	}
	f := rule.Finding{Path: "ground.rods", At: rodPlaces(v)}
	if w := v.Site.Ground.Rods; w != nil {
		f.Span = w.Span
	}
	d := 2 * float64(v.Plan.Rods[0].Radius)
	for _, r := range v.Plan.Rods {
		d = min(d, 2*float64(r.Radius))
	}
	full, listed := figures.Num("rod.diameter"), figures.Num("rod.diameter.listed")
	f.Mend = "order rods of " + figures.Text("rod.diameter") + ", or listed ones of at least " + figures.Text("rod.diameter.listed")
	g := rule.AtLeast(f, d, full, v.Short)
	if g.Outcome == rule.Broken && rule.AtLeast(f, d, listed, v.Short).Outcome == rule.Holds {
		f.Required = g.Required + ", or listed"
		f.Mend = "look for the listing mark on the rod and write it down; else order " + figures.Text("rod.diameter")
		f = rule.Lacks(f, "whether the rods of "+g.Found+" are listed")
		return one(f)
	}
	return one(g)
}

func rodSpacing(v rule.View) []rule.Finding {
	if f, ok := noRods(v); !ok {
		return one(f)
	}
	return one(rule.ClosestRods(v, figures.Num("rod.spacing"), "move one of them; closer rods act as one"))
}

// singleRod is out of place wherever a ring is the electrode.
func singleRod(v rule.View) []rule.Finding {
	if v.Site.Ground.Ring != nil || v.Plan.Ring != nil {
		return one(rule.Outside("ground.rods", "the 25 ohm rule is for a single rod alone; here the ring is the electrode"))
	}
	if f, ok := noRods(v); !ok {
		return one(f)
	}
	f := rule.Finding{Path: "ground.rods", At: rodPlaces(v)}
	if n := len(v.Plan.Rods); n > 1 {
		return one(rule.YesNo(f, true, "a second electrode, or at most "+figures.Text("rod.single"), fmt.Sprintf("%d rods", n)))
	}
	f.Points = []string{v.Plan.Rods[0].ID}
	f.Mend = "drive a second rod at least " + figures.Text("rod.spacing") + " away: then no resistance is asked"
	r := v.Answer.RodsAlone()
	if !r.OK() {
		f.Required = "a second rod, or at most " + figures.Text("rod.single")
		return one(rule.Lacks(f, r.Missing))
	}
	f.Value = r.Value
	return one(rule.AtMost(f, r.Value.SI, figures.Num("rod.single"), rule.Ohms))
}

// rodRefused looks at the order of what was tried: 45 degrees first, flat only
// after that refused.
func rodRefused(v rule.View) []rule.Finding {
	if f, ok := noRods(v); !ok {
		return one(f)
	}
	var out []rule.Finding
	for i := range v.Plan.Rods {
		r := &v.Plan.Rods[i]
		if !r.Refused {
			continue
		}
		var st site.RodState
		for _, s := range v.Site.State.Rods {
			if s.Rod == r.ID {
				st = s
			}
		}
		f := rodFinding(r)
		f.Span = st.Span
		f.Required = "driven at no more than " + figures.Text("rod.refused") + " from upright; only if that refuses, flat at least " + figures.Text("rod.flat.depth") + " deep"
		deep := float64(r.Top) >= figures.Num("rod.flat.depth")-geom.Eps
		switch {
		case r.Lies == "45":
			f = rule.YesNo(f, true, f.Required, "driven at 45 degrees")
		case r.Lies == "flat" && !st.Tried45:
			f.Mend = "try " + figures.Text("rod.refused") + " outward first and log it; lay it flat only if that refuses too"
			f = rule.YesNo(f, false, f.Required, "laid flat, no try at 45 degrees is logged")
		case r.Lies == "flat":
			f.Mend = "lay it at least " + figures.Text("rod.flat.depth") + " deep"
			f = rule.YesNo(f, deep, f.Required, "laid flat "+v.Short(float64(r.Top))+" deep after 45 degrees refused")
		default:
			f.Mend = "move it a foot or two, clear of any located utility's band, and drive again; else drive it at 45 degrees outward; write down how it lies. Never cut it off"
			f = rule.Lacks(f, "what became of rod "+r.ID+" after it refused with "+v.Long(float64(r.Driven))+" driven")
		}
		out = append(out, f)
	}
	if len(out) == 0 {
		out = one(rule.Outside("ground.rods", "no rod has refused"))
	}
	return out
}
