package all_test

import (
	"context"

	"stubup/answer"
	"stubup/base/unit"
	"stubup/rule"
)

// scaleSoil sets the soil so that the design value is exactly at r: in uniform
// soil R is proportional to resistivity, so the soil is scaled by r over what
// it gives now.
func scaleSoil(r float64) func(*rule.View) {
	return func(v *rule.View) {
		now := answer.New(context.Background(), v.Plan).Design()
		if !now.OK() {
			panic(now.Missing)
		}
		l := &v.Site.Soil.Layers[0].Resistivity
		l.SI *= unit.OhmMetre(r / now.Value.SI)
	}
}

// dropAtLimit lengthens the feeder until it drops 3 %: the drop is
// proportional to the length.
func dropAtLimit(v *rule.View) {
	f := &v.Site.Feeders[0]
	now := answer.New(context.Background(), v.Plan).Drop(f)
	if !now.OK() {
		panic(now.Missing)
	}
	f.Length.SI *= unit.Metre(0.03 / now.Value.SI)
}

// loneAtLimit leaves one rod and scales the soil until it reads 25 ohm.
func loneAtLimit(v *rule.View) {
	lone(1)(v)
	now := answer.New(context.Background(), v.Plan).RodsAlone()
	if !now.OK() {
		panic(now.Missing)
	}
	v.Site.Soil.Layers[0].Resistivity.SI *= unit.OhmMetre(25 / now.Value.SI)
}
