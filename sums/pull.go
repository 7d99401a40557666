package sums

import (
	"fmt"
	"math"
	"strings"

	"stubup/base/unit"
	"stubup/trade/pull"
)

var pullSum = Sum{
	Name: "pull", What: "tension and sidewall pressure of a cable pulled through a route, both ways",
	Inputs: []Input{
		{Name: "route", Meaning: "straights and bends in order: a bend goes left, right, up or down, with its radius to the centerline", Kind: Route, Required: true, Many: true, Example: "100 ft, 90 left 36 in, 50 ft"},
		{Name: "weight", Meaning: "weight of one cable", Kind: Quantity, Dim: unit.MassPerLength, Required: true, Example: "0.2 lb/ft"},
		{Name: "od", Meaning: "outside diameter of one cable", Kind: Quantity, Dim: unit.Length, Required: true, Example: "0.5 in"},
		{Name: "count", Meaning: "cables pulled together", Kind: Count, Default: "1"},
		{Name: "kind", Meaning: "kind of raceway", Kind: RacewayKind, Required: true, Example: "PVC-40"},
		{Name: "trade", Meaning: "its trade size", Kind: TradeSize, Required: true, Example: "2"},
		{Name: "friction", Meaning: "of the cable in the raceway, where it is known; else the range of the surface below", Kind: Number, Most: 2},
		{Name: "surface", Meaning: "without a friction: how the cable runs", Kind: Choice, Choices: []Word{{"lubricated", "with a lubricant that suits the jacket"}, {"dry", "without one, or not known"}}, Default: "lubricated"},
		{Name: "back", Meaning: "tension off the reel", Kind: Quantity, Dim: unit.Force, Zero: true, Default: "0 lbf"},
		{Name: "limit", Meaning: "the most that the cable may be pulled with, by its sheet", Kind: Quantity, Dim: unit.Force},
		{Name: "sidewall", Meaning: "the most that a bend may press on it, by its sheet", Kind: Quantity, Dim: unit.ForcePerLength},
	},
	Cautions: []string{
		permission,
		"Keep clear of the line and of its reach while it is under tension; agree on a stop signal; pull with a gauge in sight. Reels: two people.",
	},
	run: pullThrough,
}

func pounds(f unit.Newton) number {
	return number{float64(f), "N", unit.Figures(float64(f/pull.PoundForce), 3) + " lbf"}
}

func pressed(p unit.NewtonPerM) number {
	return number{float64(p), "N/m", unit.Figures(float64(p/pull.PoundForcePerFoot), 3) + " lbf/ft"}
}

func pullThrough(c *call) {
	d, ok := c.dim("kind", "trade")
	if !ok {
		return
	}
	var path []pull.Element
	for i, it := range c.data["route"].items {
		e := it.element
		e.Name = fmt.Sprintf("%d: %s", i+1, it.text)
		path = append(path, e)
	}
	friction, found := pull.FrictionOf(c.data["surface"].word)
	if c.has("friction") {
		mu := c.data["friction"].si
		friction = pull.Friction{Name: "as given", Low: mu, Nominal: mu, High: mu}
	} else if !found {
		c.fail("surface", "is not known", "write lubricated or dry")
		return
	}
	cable := pull.Cable{
		Name: "cable", Count: max(1, c.data["count"].n), OD: c.metre("od"), Mass: unit.KgPerM(c.data["weight"].si), Class: pull.MakersCable,
		Tension: unit.Newton(c.data["limit"].si), Sidewall: unit.NewtonPerM(c.data["sidewall"].si),
	}
	s := pull.Section{
		Name: "route", A: pull.End{Name: "the start", Back: unit.Newton(c.data["back"].si)}, B: pull.End{Name: "the end", Back: unit.Newton(c.data["back"].si)},
		Path: path, Duct: pull.Duct{ID: d.ID}, Cables: []pull.Cable{cable}, Friction: friction, Attach: pull.Eye,
	}
	card, err := pull.Evaluate(s)
	if err != nil {
		c.fail("route", err.Error(), "look at its lengths and radii")
		return
	}
	if card.Best < 0 {
		c.fail("od", strings.Join(append(card.Over, card.Missing...), ", "), "a larger raceway, or fewer cables")
		return
	}
	in := c.in("route", "weight", "od", "count", "kind", "trade", "friction", "surface", "back")
	form := by("pull.bend.level")
	if !c.has("friction") {
		c.figure("friction", "friction, "+friction.Name+", least to most", number{friction.High, "", unit.Trim(friction.Low, 2) + " to " + unit.Trim(friction.High, 2)}, friction.Cite)
	}
	for i, dir := range card.Directions {
		key := [2]string{"from-start", "from-end"}[i]
		lo, hi := min(dir.Greatest.Low, dir.Greatest.High), max(dir.Greatest.Low, dir.Greatest.High)
		t := pounds(hi)
		if hi-lo > 1e-9 {
			t.text = strings.TrimSuffix(pounds(lo).text, " lbf") + " to " + t.text
		}
		v := c.row(key, "fed at "+dir.Feed+": greatest tension", t, form, in...)
		if c.has("limit") {
			c.verdict(key+".limit", "limit of "+c.data["limit"].text, hi <= cable.Tension, unit.Trim(100*float64(hi/cable.Tension), 0)+" % of it", from(card.Tension.Cite), append(c.in("limit"), v)...)
		}
		if dir.WorstBend >= 0 {
			p := pressed(max(dir.Sidewall.Low, dir.Sidewall.High))
			w := c.row(key+".sidewall", "greatest pressure of a bend, "+dir.Steps[dir.WorstBend].Name, p, by("pull.sidewall"), in...)
			if c.has("sidewall") {
				c.verdict(key+".sidewall.limit", "limit of "+c.data["sidewall"].text, unit.NewtonPerM(p.si) <= cable.Sidewall, unit.Trim(100*p.si/float64(cable.Sidewall), 0)+" % of it", from(card.Sidewall.Cite), append(c.in("sidewall"), w)...)
			}
		}
		if h := dir.HoldBack.High; h > 0 {
			c.note("fed at %s the cable runs ahead by its own weight: brake the reel with %s or more", dir.Feed, pounds(h).text)
		}
	}
	best := card.Directions[card.Best]
	c.row("best", "better", words("feed at "+best.Feed+", pull from "+best.Pull), plain("the lesser share of its limits, then the lesser tension"), in...)
	if card.Jam != nil && card.Jam.Risk {
		c.note("three cables may jam here: ratio %s by one rule, %s by the other", unit.Trim(card.Jam.Grown, 2), unit.Trim(card.Jam.Plain, 2))
	}
	c.note("equal cables, %s; the cable's, the grip's and the gear's own limits are on their sheets, and the smallest decides", card.Arrangement)
}

// readRoute reads the parts of a route: "100 ft", "90 left 36 in", "45 up 3 ft".
// slope is where the part begins, degrees above level; it returns where it ends.
func readRoute(part string, slope float64) (it item, end float64, what, mend string) {
	mend = "write a straight as \"100 ft\" and a bend as \"90 left 36 in\": its degrees, its side and its radius"
	side := ""
	ws := strings.Fields(part)
	for i, w := range ws {
		switch w = strings.ToLower(w); w {
		case "left", "right", "up", "down", "level":
			side = w
			angle := strings.TrimSuffix(strings.TrimSuffix(strings.Join(ws[:i], " "), " deg"), "deg")
			a, err := unit.Parse(strings.TrimSpace(angle)+" deg", unit.Angle)
			if err != nil || !(a > 0 && a <= 180) {
				return it, slope, fmt.Sprintf("%q has no angle up to 180 degrees", part), mend
			}
			r, err := unit.Parse(strings.Join(ws[i+1:], " "), unit.Length)
			if err != nil || !(r > 0 && r <= maxSI) {
				return it, slope, fmt.Sprintf("%q has no radius", part), mend
			}
			it.text = fmt.Sprintf("%s %s %s", unit.Trim(a, 2), side, unit.Inches(unit.Metre(r)))
			level := math.Abs(slope) < 1e-9
			switch {
			case side == "up" || side == "down":
				end = slope + a
				if side == "down" {
					end = slope - a
				}
				if end > 90+1e-9 || end < -90-1e-9 {
					return it, slope, fmt.Sprintf("%q goes past upright", part), "a raceway that stands turns level first: \"90 level 36 in\""
				}
				it.element = pull.VerticalBend(unit.Degree(slope), unit.Degree(end), unit.Metre(r))
			case side == "level" && !level:
				it.element = pull.VerticalBend(unit.Degree(slope), 0, unit.Metre(r))
				if math.Abs(a-math.Abs(slope)) > 1e-6 {
					return it, slope, fmt.Sprintf("%q does not come out level: the raceway stands %s degrees", part, unit.Trim(math.Abs(slope), 1)), "write that angle"
				}
				end = 0
			case !level:
				return it, slope, fmt.Sprintf("%q turns to a side while the raceway rises or falls", part), "come level first: \"" + unit.Trim(math.Abs(slope), 1) + " level 36 in\""
			default:
				it.element = pull.LevelBend(unit.Degree(a), unit.Metre(r))
			}
			return it, end, "", ""
		}
	}
	l, err := unit.Parse(part, unit.Length)
	if err != nil || !(l > 0 && l <= maxSI) {
		return it, slope, fmt.Sprintf("%q is neither a straight nor a bend", part), mend
	}
	it.element, it.text = pull.Straight(unit.Metre(l), unit.Degree(slope)), unit.FeetInches(unit.Metre(l))
	return it, slope, "", ""
}
