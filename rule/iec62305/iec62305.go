// Package iec62305 holds what IEC 62305-3 asks of a ring earth electrode, the
// type B arrangement. Its figures were read in a secondary source and are
// marked as from memory.
package iec62305

import (
	_ "embed" // the figures beside this file
	"sync"

	"stubup/base/geom"
	"stubup/rule"
	"stubup/site"
)

//go:embed figures.csv
var figuresCSV string

var figures = rule.FiguresOf(figuresCSV)

// Figures returns the figures that the rules lean on.
func Figures() rule.Figures { return figures }

// Rules lists the rules.
var Rules = sync.OnceValue(func() []*rule.Rule {
	return []*rule.Rule{
		{ID: "iec62305.type-b.depth", Work: rule.IEC62305, Title: "a ring earth electrode lies at least 0.5 m deep", Force: rule.Shall, Cite: figures.Cite("ring.depth"), Figure: "ring.depth", Example: "depth: 400 mm", Look: depth},
		{ID: "iec62305.type-b.wall", Work: rule.IEC62305, Title: "a ring earth electrode lies about 1 m from the outer walls", Force: rule.Should, Cite: figures.Cite("wall"), Figure: "wall", Example: "a ring 0.5 m from the shelter", Look: wall},
	}
})

func depth(v rule.View) []rule.Finding {
	if w := v.Site.Ground.Ring; w != nil && !w.Depth.Set {
		return []rule.Finding{rule.Lacks(v.RingFinding(), "the depth of the ring")}
	}
	f, ok := v.NoRing()
	if ok {
		f = v.RingFinding()
		f.Mend = "lay the ring deeper"
		f = rule.AtLeast(f, float64(v.Plan.Ring.Depth), figures.Num("ring.depth"), v.Short)
	}
	return []rule.Finding{f}
}

func wall(v rule.View) []rule.Finding {
	if f, ok := v.NoRing(); !ok {
		return []rule.Finding{f}
	}
	var fs []rule.Finding
	var room []float64
	for i := range v.Site.Objects {
		o := &v.Site.Objects[i]
		if o.Kind != site.Shelter || o.Existing == site.Removed {
			continue
		}
		f := v.RingFinding()
		f.Path = "ground.ring and " + rule.Words(o)
		f.At = append([]geom.Point{}, o.Outline...)
		f.Mend = "move the ring away from the wall"
		f.Note = "the standard says about"
		if len(o.Outline) < 3 {
			f.Required = "at least " + figures.Text("wall")
			fs, room = append(fs, rule.Lacks(f, "the corners of "+rule.Words(o))), append(room, 0)
			continue
		}
		d := v.RingTo(o)
		fs, room = append(fs, rule.AtLeast(f, d, figures.Num("wall"), v.Long)), append(room, d)
	}
	if len(fs) == 0 {
		return []rule.Finding{rule.Outside("objects", "there is no shelter with walls")}
	}
	return rule.Tightest(fs, room)
}
