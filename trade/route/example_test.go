package route_test

import (
	"context"
	"fmt"

	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/trade/route"
)

func ft(x, y, z float64) geom.Point3 {
	return geom.Point3{X: x, Y: y, Z: z}.Scale(float64(unit.Foot))
}

// A fiber run across a yard; 40 ft of it are laid when the entry moves. The new
// run goes on from the laid end: the bends, the length and the tension of what
// is in the ground count against the first section.
func Example_goOnFromWhatIsLaid() {
	const foot, lbf = float64(unit.Foot), 4.4482216152605
	ctx := context.Background()
	ask := route.Ask{
		Space: route.Space{
			Pitch: unit.Foot,
			Surfaces: []route.Surface{
				{Name: "yard", Kind: "trench", Outline: []geom.Point3{ft(0, 0, -2), ft(60, 0, -2), ft(60, 40, -2), ft(0, 40, -2)}, Rate: 20 / foot},
			},
			Obstacles: []route.Obstacle{{Name: "pad", Min: ft(45, 12, -3), Max: ft(55, 25, 0), Clear: 2 * unit.Foot}},
		},
		From:     route.Terminal{Name: "hand-off", At: ft(0, 5, -2)},
		To:       route.Terminal{Name: "entry", At: ft(60, 5, -2)},
		Bends:    []route.Bend{{Name: "36 in sweep", Kind: "sweep", Radius: 3 * unit.Foot, Cost: 60, Angles: []unit.Degree{45, 90}}},
		Fittings: []route.Fitting{{Name: "handhole", Kind: "handhole", Takes: unit.Foot, Straight: true, Cost: 400, Resets: route.PullPoint}},
		Limits:   route.Limits{Bends: 180, Length: 100 * unit.Foot, Radius: 10 * unit.Inch, Tension: 600 * lbf},
		Drag:     route.Plain(unit.NewtonPerM(0.2*lbf/foot), 0.35),
	}
	old, err := route.Find(ctx, ask)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("old: %s built, cost %.0f\n", unit.US.Run(old.Built), old.Cost)

	laid, at, heading, err := route.Cut(old.Pieces, 40*unit.Foot)
	if err != nil {
		fmt.Println(err)
		return
	}
	ask.From = route.Terminal{Name: "hand-off", At: at, Heading: heading, Laid: laid}
	ask.To = route.Terminal{Name: "entry", At: ft(50, 38, -2), Heading: geom.Point3{Y: 1}}
	alts, err := route.Alternatives(ctx, ask, nil, []string{"handhole"})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, alt := range alts {
		if alt.Run == nil {
			fmt.Printf("without %v: %v\n", alt.Without, alt.Blocked)
			continue
		}
		fmt.Printf("without %v: %s new, cost %.0f\n", alt.Without, unit.US.Run(alt.Run.Built), alt.Run.Cost)
		for _, s := range alt.Run.Sections {
			fmt.Printf("  %s to %s: %.0f degrees, %s, pulled with %.0f or %.0f lbf\n", s.From, s.To, float64(s.Bends), unit.US.Run(s.Length), s.Forward.Tension/lbf, s.Reverse.Tension/lbf)
		}
	}
	// Without a pull point and with 90 degrees it cannot be had.
	ask.Fittings, ask.Limits.Bends = nil, 90
	_, err = route.Find(ctx, ask)
	fmt.Println(err)
	// Output:
	// old: 60.0 ft built, cost 1200
	// without []: 37.1 ft new, cost 1440
	//   hand-off to handhole: 90 degrees, 66.7 ft, pulled with 6 or 5 lbf
	//   handhole to entry: 180 degrees, 10.4 ft, pulled with 0 or 0 lbf
	// without [handhole]: no run keeps the limits without it; mend: allow it, or loosen a limit
	// no run from "hand-off" to "entry" keeps the limits; it can be done with bend sum from 90 degrees to 270 degrees
}
