package nfpa780

import (
	"stubup/base/geom"
	"stubup/rule"
	"stubup/site"
)

func electrodes() []*rule.Rule {
	return []*rule.Rule{
		of("foundation", "foundation", rule.Should, "the ring lies at least 2 ft from a foundation", "a ring 1 ft from the shelter", foundation),
		of("ring-depth", "ring.depth", rule.Shall, "a ring lies at least 18 in deep", "depth: 12 in", ringDepth),
	}
}

func ringDepth(v rule.View) []rule.Finding {
	if w := v.Site.Ground.Ring; w != nil && !w.Depth.Set {
		return one(rule.Lacks(v.RingFinding(), "the depth of the ring"))
	}
	f, ok := v.NoRing()
	if !ok {
		return one(f)
	}
	f = v.RingFinding()
	f.Mend = "lay the ring deeper; where NFPA 70 applies as well its 30 in govern"
	return one(rule.AtLeast(f, float64(v.Plan.Ring.Depth), figures.Num("ring.depth"), v.Short))
}

func foundation(v rule.View) []rule.Finding {
	if f, ok := v.NoRing(); !ok {
		return one(f)
	}
	var fs []rule.Finding
	var room []float64
	for i := range v.Site.Objects {
		o := &v.Site.Objects[i]
		if (o.Kind != site.Pad && o.Kind != site.Shelter) || o.Existing == site.Removed {
			continue
		}
		f := v.RingFinding()
		f.Path = "ground.ring and " + rule.Words(o)
		f.At = append([]geom.Point{}, o.Outline...)
		f.Mend = "move the ring away from the foundation"
		if len(o.Outline) < 3 {
			f.Required = "at least " + figures.Text("foundation")
			fs, room = append(fs, rule.Lacks(f, "the corners of "+rule.Words(o))), append(room, 0)
			continue
		}
		d := v.RingTo(o)
		fs, room = append(fs, rule.AtLeast(f, d, figures.Num("foundation"), v.Long)), append(room, d)
	}
	if len(fs) == 0 {
		return one(rule.Outside("objects", "there is no foundation"))
	}
	return rule.Tightest(fs, room)
}
