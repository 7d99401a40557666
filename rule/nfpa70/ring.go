package nfpa70

import (
	"stubup/rule"
)

func rings() []*rule.Rule {
	return []*rule.Rule{
		of("250.52.ring-length", "ring.length", rule.Shall, "a ring is at least 20 ft of conductor in the soil", "ring: {points: [[0, 0], [5, 0], [5, 4], [0, 4]]}  # 18 ft", ringLength),
		of("250.52.ring-size", "ring.size", rule.Shall, "a ring is bare copper, 2 AWG or larger", "conductor: 4 AWG solid bare copper", ringSize),
		of("250.53.ring-depth", "ring.depth", rule.Shall, "a ring lies at least 30 in deep", "depth: 24 in", ringDepth),
	}
}

func ringLength(v rule.View) []rule.Finding {
	f, ok := v.NoRing()
	if !ok {
		return one(f)
	}
	f = v.RingFinding()
	f.Mend = "make the ring longer: only one that is long enough is an electrode"
	// What lies in the soil is the ring with its corners bent.
	return one(rule.AtLeast(f, float64(v.Plan.Ring.Built), figures.Num("ring.length"), v.RunLength))
}

func ringSize(v rule.View) []rule.Finding {
	f, ok := v.NoRing()
	if !ok {
		return one(f)
	}
	f = v.RingFinding()
	least := figures.Wire("ring.size")
	w := v.Plan.Wire()
	f.Required = "bare copper, at least " + least.String()
	if !w.Set() {
		return one(rule.Lacks(f, "the ground conductor, for instance \"conductor: 2 AWG solid tinned copper\""))
	}
	f.Mend = "lay " + least.String() + " or larger"
	f = rule.YesNo(f, w.Size >= least, f.Required, w.Text)
	if w.Text == "" {
		f.Found = w.Size.String()
	}
	return one(f)
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
	f.Mend = "lay the ring deeper, below " + figures.Text("ring.depth") + " of finished grade"
	return one(rule.AtLeast(f, float64(v.Plan.Ring.Depth), figures.Num("ring.depth"), v.Short))
}
