package goodpractice

import (
	"fmt"
	"strings"

	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
)

func ground() []*rule.Rule {
	return []*rule.Rule{
		of("fault-heating", "fault.heating", "the ground conductor and its joints bear the stated fault", "16 kA for half a second through 2 AWG", faultHeating),
		of("frost", "frost", "the ring lies below local frost", "depth: 30 in, frost: 3 ft", frost),
		of("gate-jumper", "gate.jumper", "every gate leaf has a flexible jumper", "two leaves and one jumper", gateJumper),
		of("gate-posts", "gate.post", "both posts of every gate are bonded", "whips to the corner posts only", gatePosts),
		of("joint-size", "measure", "the size of what a joint goes to is known before it is ordered", "a whip to a post whose diameter nobody measured", jointSize),
		of("rod-spacing", "rod.spacing", "rods stand at least two rod lengths apart", "8 ft rods 10 ft apart", rodSpacing),
		of("told-only", "told", "nothing that was only told of is relied on", "a tap onto an existing ring that nobody has seen", toldOnly),
	}
}

// rodSpacing is advice: closer rods share the soil between them and buy less.
func rodSpacing(v rule.View) []rule.Finding {
	if len(v.Plan.Rods) == 0 {
		if w := v.Site.Ground.Rods; w != nil {
			f := rule.Finding{Path: "ground.rods", Span: w.Span, Required: "at least two rod lengths apart"}
			what := "where the rods stand"
			if !w.Length.Set {
				what = "the length of the rods"
			}
			return one(rule.Lacks(f, what))
		}
		return one(rule.Outside("ground.rods", "no rod is wanted"))
	}
	var l unit.Metre
	for _, r := range v.Plan.Rods {
		l = max(l, r.Length)
	}
	f := rule.ClosestRods(v, figures.Num("rod.spacing")*float64(l), "move one of them: closer rods share the soil between them and buy less")
	if f.Required != "" {
		f.Required += ", twice the length of a rod"
	}
	return one(f)
}

// jointSize cannot tell what mold a joint takes while its item is unmeasured.
func jointSize(v rule.View) []rule.Finding {
	if f, ok := v.NoRing(); !ok {
		return one(f)
	}
	var out []rule.Finding
	n := 0
	req := "measured, since the mold is made for it"
	for _, j := range v.Plan.Joints {
		if !j.Kind.Welded() {
			continue
		}
		n++
		f := rule.Finding{Path: "joint " + j.ID, Points: []string{j.ID}, At: []geom.Point{j.At}, Required: req}
		switch {
		case j.Unknown:
			f.Mend = "measure " + strings.Join(j.Ties[1:], ", ") + " before ordering and write its diameter"
			out = append(out, rule.Lacks(f, "the size of the "+j.Item+" at joint "+j.ID+": measure before ordering"))
		case j.ItemSize == "":
			f.Mend = "write the size of the " + j.Item + " before ordering"
			out = append(out, rule.YesNo(f, false, req, "the "+j.Item+" has no size"))
		}
	}
	if len(out) > 0 {
		return out
	}
	f := v.RingFinding()
	if n == 0 {
		return one(rule.Outside("ground", "there is no welded joint"))
	}
	found := fmt.Sprintf("all %d items are known", n)
	told := 0
	for _, j := range v.Plan.Welded() {
		if j.ToldOnly {
			told++
		}
	}
	if told > 0 {
		found = fmt.Sprintf("%d items are known, %d more are told only: see and measure those before their mold is ordered", n-told, told)
	}
	return one(rule.YesNo(f, true, req, found))
}

// toldOnly looks at every existing thing that the design ties to.
func toldOnly(v rule.View) []rule.Finding {
	var out []rule.Finding
	for i := range v.Site.Objects {
		o := &v.Site.Objects[i]
		if o.Existing == site.New || o.Existing == site.Removed {
			continue
		}
		used, points := "", []string(nil)
		for _, w := range v.Plan.Whips {
			if w.Object == o.ID {
				used = "a whip"
				points = append(points, w.ID)
			}
		}
		for _, j := range v.Plan.Joints {
			for _, w := range points {
				if len(j.Ties) > 1 && j.Ties[0] == w && j.ToldOnly {
					points = append(points, j.ID)
					break
				}
			}
		}
		for k := range v.Plan.Runs {
			for _, q := range v.Plan.Runs[k].Pulls {
				if q.Object == o.ID {
					used = "run " + v.Plan.Runs[k].ID
				}
			}
		}
		if g := v.Site.Ground.Ring; g != nil && g.Along == o.ID {
			used = "the ring"
		}
		if used == "" {
			continue
		}
		f := rule.Finding{Path: "objects." + o.ID, Span: o.Span, Points: points, At: append([]geom.Point{}, o.Outline...)}
		switch o.Existing {
		case site.ToldOnly:
			f.Mend = "uncover " + rule.Words(o) + ", measure its conductor, and write \"existing: seen today\"; the mold depends on it"
			f = rule.YesNo(f, false, "seen and measured", "told only, and used by "+used)
			if o.Conductor.Set() {
				f.Found += "; told to be " + o.Conductor.Text
			}
		case site.Abandoned:
			f.Mend = "say whether " + rule.Words(o) + " is whole and bonded; an abandoned thing is not relied on"
			f.Required = "seen and measured"
			f = rule.Lacks(f, "whether "+rule.Words(o)+", abandoned in place, is still whole")
		default:
			f = rule.YesNo(f, true, "seen and measured", "seen")
		}
		out = append(out, f)
	}
	if len(out) == 0 {
		return one(rule.Outside("objects", "the design relies on nothing that was there before"))
	}
	return out
}

func fences(v rule.View, look func(*site.Object) rule.Finding) []rule.Finding {
	var out []rule.Finding
	for i := range v.Site.Objects {
		if o := &v.Site.Objects[i]; o.Kind == site.Fence && o.Existing != site.Removed {
			out = append(out, look(o))
		}
	}
	if len(out) == 0 {
		return one(rule.Outside("objects", "there is no fence"))
	}
	return out
}

// gateJumper counts the jumpers at the posts of every gate.
func gateJumper(v rule.View) []rule.Finding {
	return fences(v, func(o *site.Object) rule.Finding {
		f := rule.Finding{Path: "objects." + o.ID + ".gates", Span: o.Span}
		gates := gatesOf(v, o)
		if len(o.Gates) == 0 {
			return rule.Outside(f.Path, "the fence has no gate")
		}
		if len(gates) < len(o.Gates) {
			f.Required = "a jumper at every leaf"
			return rule.Lacks(f, "where the gates of "+rule.Words(o)+" stand on the fence")
		}
		leaves, have := 0, 0
		for _, g := range gates {
			leaves += g.Leaves
			f.At = append(f.At, g.From, g.To)
			n := 0
			for _, j := range v.Plan.Jumpers {
				if j.At.Dist(g.From) < 0.05 || j.At.Dist(g.To) < 0.05 {
					n++
				}
			}
			have += min(n, g.Leaves)
		}
		f.Mend = "add \"jumpers: - gates of: " + o.ID + "\""
		f = rule.AtLeast(f, float64(have), float64(leaves)*figures.Num("gate.jumper"), func(n float64) string { return unit.Fixed(n, 0) + " flexible jumpers" })
		f.Required += ", one for each leaf"
		return f
	})
}

func gatesOf(v rule.View, o *site.Object) []plan.Gate {
	var out []plan.Gate
	for _, g := range v.Plan.Gates {
		if g.Fence == o.ID {
			out = append(out, g)
		}
	}
	return out
}

func gatePosts(v rule.View) []rule.Finding {
	return fences(v, func(o *site.Object) rule.Finding {
		f := rule.Finding{Path: "objects." + o.ID + ".gates", Span: o.Span, Required: "a bond at both posts of every gate"}
		if len(o.Gates) == 0 {
			return rule.Outside(f.Path, "the fence has no gate")
		}
		if len(gatesOf(v, o)) < len(o.Gates) {
			return rule.Lacks(f, "where the gates of "+rule.Words(o)+" stand on the fence")
		}
		b := rule.BondsOf(v.Plan, o.ID)
		var bare []string
		n := 0
		for i, q := range b.Posts {
			if q.Kind != "gate" {
				continue
			}
			if n++; !b.Bonded[i] {
				bare = append(bare, q.ID)
				f.At = append(f.At, q.At)
			}
		}
		f.Mend = "add a whip: \"to: " + o.ID + " gate posts, end: pipe\""
		if len(bare) > 0 {
			f.Points = bare
			return rule.YesNo(f, false, f.Required, "no bond at "+strings.Join(bare, ", "))
		}
		return rule.YesNo(f, true, f.Required, fmt.Sprintf("all %d gate posts are bonded", n))
	})
}

// faultHeating holds the conductor to the fault that somebody stated. Where
// nobody stated one there is nothing to hold it to.
func faultHeating(v rule.View) []rule.Finding {
	if v.Site.Fault == nil {
		return one(rule.Outside("fault", "no ground fault is stated"))
	}
	var out []rule.Finding
	for _, h := range v.Answer.FaultHeating() {
		f := rule.Finding{Path: "fault", Span: v.Site.Fault.Span, At: v.RingAt(), Mend: "a larger conductor, or the fault cleared sooner; the fault is the utility's or an engineer's to state"}
		if !h.OK() {
			f.Mend = "ask the utility or the engineer who stated the fault, and write it under fault: \"current: 5 kA\", \"duration: 0.5 s\""
			out = append(out, rule.Lacks(f, h.Missing))
			continue
		}
		f.Value, f.Note = h.Value, h.Outside
		out = append(out, rule.YesNo(f, h.Holds, "at least "+h.Value.Text+" for "+h.Joints, fmt.Sprintf("%s, %s kcmil, bears %s", h.Conductor.Text, unit.Figures(h.Has, 3), h.Bears.Text)))
	}
	if len(out) == 0 {
		return one(rule.Outside("fault", "the plan has no joint"))
	}
	return out
}

func frost(v rule.View) []rule.Finding {
	f, ok := v.NoRing()
	if !ok {
		return one(f)
	}
	f = v.RingFinding()
	f.Required = "below local frost"
	if !v.Site.Soil.Frost.Set {
		f.Mend = "ask the building department and write what it says as \"frost\" under soil"
		return one(rule.Lacks(f, "the local frost depth"))
	}
	f.Mend = "lay the ring deeper: frost below it adds more than half to its resistance, rods below it take that back"
	limit := float64(v.Site.Soil.Frost.SI)
	f = rule.AtLeast(f, float64(v.Plan.Ring.Depth), limit, v.Short)
	return one(f)
}
