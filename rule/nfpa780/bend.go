package nfpa780

import (
	"fmt"
	"math"

	"stubup/base/geom"
	"stubup/rule"
)

func bends() []*rule.Rule {
	return []*rule.Rule{
		of("bend-angle", "bend.angle", rule.Shall, "no bend of a conductor has an included angle under 90 degrees", "a ring corner that turns 120 degrees", bendAngle),
		of("bend-radius", "bend.radius", rule.Shall, "a conductor is bent to at least 8 in", "corner-radius: 6 in", bendRadius),
	}
}

func bendRadius(v rule.View) []rule.Finding {
	f, ok := v.NoRing()
	if !ok {
		return one(f)
	}
	f = v.RingFinding()
	w := v.Site.Ground.Ring
	if w == nil || !w.Corner.Set {
		if len(v.Plan.Ring.Bends()) > 0 {
			f.Required = "bent to at least " + figures.Text("bend.radius")
			f.Mend = "write \"corner-radius: " + figures.Text("bend.radius") + "\" for the ring"
			return one(rule.Lacks(f, "the bend radius at the ring's corners"))
		}
	}
	least := math.Inf(1)
	at := f.At
	for _, b := range v.Plan.Ring.Bends() {
		if b.Radius < least {
			least, at = b.Radius, []geom.Point{b.Corner}
		}
	}
	if math.IsInf(least, 1) {
		return one(rule.Outside("ground.ring", "the ring has no sharp corner: it is drawn with arcs"))
	}
	f.At = at
	f.Mend = "bend every corner to at least " + figures.Text("bend.radius") + ", round a former, never round the edge of a spade"
	// Radii are worked back from tangents, so a hair under the figure is the
	// figure.
	if math.Abs(least-figures.Num("bend.radius")) < geom.Eps {
		least = figures.Num("bend.radius")
	}
	return one(rule.AtLeast(f, least, figures.Num("bend.radius"), v.Short))
}

// bendAngle looks at the included angle: a corner that turns by t includes
// 180 - t.
func bendAngle(v rule.View) []rule.Finding {
	f, ok := v.NoRing()
	if !ok {
		return one(f)
	}
	limit := figures.Num("bend.angle")
	var fs []rule.Finding
	var room []float64
	for i, turn := range v.Plan.Ring.CornerAngle {
		g := v.RingFinding()
		g.Path = fmt.Sprintf("ground.ring, corner %d", i+1)
		g.At = []geom.Point{v.Plan.Ring.Corners[i]}
		g.Mend = "turn in two bends of half the angle with a straight between them"
		a := 180 - turn
		if math.Abs(a-limit) < 1e-6 {
			a = limit
		}
		g = rule.AtLeast(g, a, limit, rule.Degrees)
		fs, room = append(fs, g), append(room, a)
	}
	if len(fs) == 0 {
		return one(rule.Outside("ground.ring", "the ring has no corner"))
	}
	return rule.Tightest(fs, room)
}
