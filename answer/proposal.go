package answer

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/diag"
	"stubup/base/geom"
	"stubup/base/stable"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
	"stubup/trade/pull"
	"stubup/trade/raceway"
	"stubup/trade/route"
)

// Proposal is one way to bring a run within the limits that it is held to.
type Proposal struct {
	Words    string // "handhole in the straight at 98.0 ft"
	Points   []ProposedPull
	Degrees  []unit.Degree // of the sections, in order
	Length   unit.Metre    // of the whole run, what is laid with it
	New      unit.Metre    // of it, what is still to be laid
	Tension  unit.Newton   // greatest of any section, the better way; 0 where it cannot be told
	Needs    string        // what must be allowed or asked first
	Blocked  string        // why there is no such way
	Cost     float64
	Priced   bool // Cost is money
	Straight bool // pull points in straights only

	// Way is what another way through the yard is built of from what is laid
	// to the run's end, each piece with its ends and its directions; nil where
	// the run stays as drawn.
	Way []route.Piece
}

// ProposedPull is a pull point that a proposal sets.
type ProposedPull struct {
	What    string
	Station unit.Metre  // along the run as drawn, where its bend begins for one at a turn; 0 on another way
	At      geom.Point3 // where it stands
	Turn    unit.Degree // that the cable makes in it
	Span    diag.Span   // the bend whose place it takes
}

// What the ways are weighed by where the user gives no prices, in feet of
// trench: a handhole or a box is dug, set and sealed in what twenty feet take.
// Common practice, no source.
const (
	pointFeet = 20.0
	sweepFeet = 3.0
)

// BendLimits returns what limits the bends between two pull points of a run:
// the owner's strictest for its service, 0 where there is none, and the code's.
func BendLimits(s *site.Site, r *plan.Run) (owner, code unit.Degree) {
	code, _ = raceway.BendLimit()
	for _, o := range s.Owner.Rules {
		if o.Key != "bend-sum" || !o.Angle.Set || o.Service != "" && r.Run != nil && o.Service != r.Service {
			continue
		}
		if owner == 0 || o.Angle.SI < owner {
			owner = o.Angle.SI
		}
	}
	return owner, code
}

// BendLimit is one limit of the bends between two pull points, and who sets it.
type BendLimit struct {
	Who   string // "owner's", "code's"
	Limit unit.Degree
}

// EveryBendLimit returns all limits of the bends of a run, the tightest first:
// each that the owner asks for its service, and the code's. The same figure
// asked twice stands once.
func EveryBendLimit(s *site.Site, r *plan.Run) []BendLimit {
	_, code := BendLimits(s, r)
	out := []BendLimit{{"code's", code}}
	for _, o := range s.Owner.Rules {
		if o.Key != "bend-sum" || !o.Angle.Set || o.Service != "" && r.Run != nil && o.Service != r.Service {
			continue
		}
		if !slices.ContainsFunc(out, func(l BendLimit) bool { return l.Who == "owner's" && l.Limit == o.Angle.SI }) {
			out = append(out, BendLimit{"owner's", o.Angle.SI})
		}
	}
	stable.Sort(out, func(a, b BendLimit) int {
		switch {
		case a.Limit < b.Limit || a.Limit == b.Limit && a.Who > b.Who:
			return -1
		case a.Limit == b.Limit && a.Who == b.Who:
			return 0
		}
		return 1
	})
	return out
}

// BendTally writes a running sum of bends against all its limits, "135 of 180 |
// 360", and reports whether it passes one of them.
func BendTally(sum unit.Degree, limits []BendLimit) (text string, over bool) {
	var all []string
	for _, l := range limits {
		all = append(all, unit.Trim(float64(l.Limit), 1))
		over = over || sum > l.Limit+1e-9
	}
	return unit.Trim(float64(sum), 1) + " of " + strings.Join(all, " | "), over
}

// RunLimits are what every section of a run is held to: the code's, and the
// strictest of the owner's.
func (b *Book) RunLimits(r *plan.Run) route.Limits {
	owner, code := BendLimits(b.Plan.Site, r)
	l := route.Limits{Bends: code}
	if owner > 0 {
		l.Bends = min(l.Bends, owner)
	}
	for _, o := range b.Plan.Site.Owner.Rules {
		if o.Service != "" && o.Service != r.Service {
			continue
		}
		if o.Key == "run-length" && o.Length.Set && (l.Length == 0 || o.Length.SI < l.Length) {
			l.Length = o.Length.SI
		}
	}
	if a := b.CableRadius(r); a.OK() {
		l.Radius = unit.Metre(a.Value.SI)
	}
	return l
}

// drag returns the pull of a run's cable as the search counts it, with its
// limit; nothing where a weight is not known.
func (b *Book) drag(r *plan.Run, l *route.Limits) route.Drag {
	// Every section pulls the same cable.
	c := b.PullCard(r, 0).Card
	if c == nil || c.Best < 0 || c.Weight == 0 {
		return route.Drag{}
	}
	l.Tension = c.Tension.Force
	l.Reel = r.Pull.Back.Or(0)
	return route.Plain(c.Weight, c.Friction.High*c.Factor)
}

func (b *Book) owner(key, service string) (site.OwnerRule, bool) {
	for _, o := range b.Plan.Site.Owner.Rules {
		if o.Key == key && (o.Service == "" || o.Service == service) {
			return o, true
		}
	}
	return site.OwnerRule{}, false
}

// straightsOnly reports whether the owner takes pull points in straights only.
func (b *Book) straightsOnly(r *plan.Run) bool {
	o, ok := b.owner("pull-boxes", r.Service)
	return ok && strings.Contains(strings.ToLower(o.Words), "straight")
}

// priceOf returns what the user pays for one of an item.
func (b *Book) priceOf(item, per string) (float64, bool) {
	for _, p := range b.Plan.Site.Prices {
		if strings.EqualFold(p.Item, item) && p.Per == per {
			return p.Amount, true
		}
	}
	return 0, false
}

// point returns the pull point that is set where a raceway lies.
func (b *Book) point(where string, count bool) (route.Fitting, bool) {
	name := "pull box"
	if buried(where) {
		name = "handhole"
	}
	cost, priced := b.priceOf(name, "each")
	if !priced {
		cost = pointFeet
		if count {
			cost = 1
		}
	}
	return route.Fitting{Name: name, Kind: name, Straight: true, Cost: cost, Resets: route.PullPoint}, priced
}

// over reports whether a run passes a limit of its own in some section.
func (b *Book) overLimit(r *plan.Run, l route.Limits) bool {
	for _, s := range r.Sections {
		if s.Degrees > l.Bends+1e-9 || l.Length > 0 && s.Length > l.Length+1e-9 {
			return true
		}
	}
	for k := range r.Sections {
		if c := b.PullCard(r, k).Card; c != nil && c.Outcome == pull.Over {
			return true
		}
	}
	return false
}

// Proposals returns the ways to bring a run that passes its limits back within
// them: the fewest pull points on the way as it is drawn, in straights and with
// turns in them; and, from what is laid, other ways to the same end. It is
// empty where the run keeps its limits.
func (b *Book) Proposals(r *plan.Run) []Proposal {
	return memo(b, runPath(r, "proposals"), func() []Proposal {
		l := b.RunLimits(r)
		if !r.OK || len(r.Sections) == 0 || !b.overLimit(r, l) {
			return nil
		}
		out := []Proposal{b.placed(r, l, false)}
		if p := b.placed(r, l, true); p.Blocked == "" && !slices.Equal(p.Degrees, out[0].Degrees) {
			p.Needs = "only where the owner lets a cable turn in a handhole or box sized for its radius"
			if b.straightsOnly(r) {
				p.Needs = "the owner takes pull points in straights only: ask first"
			}
			out = append(out, p)
		}
		return append(out, b.rerouted(r, l)...)
	})
}

// placed sets the fewest, or the cheapest, pull points on a run as drawn.
func (b *Book) placed(r *plan.Run, l route.Limits, turns bool) Proposal {
	drag := b.drag(r, &l)
	p := Proposal{Straight: !turns, Priced: true}
	var words []string
	for _, s := range r.Sections {
		path, starts, priced := b.fixed(r, s, turns)
		p.Priced = p.Priced && priced
		got, err := route.Place(b.ctx, path, l, drag)
		var blocked *route.Blocked
		switch {
		case errors.As(err, &blocked):
			p.Blocked = blocked.Error()
			p.Words = "no set of pull points in straights"
			if turns {
				p.Words = "no set of pull points"
			}
			return p
		case err != nil:
			p.Blocked, p.Words = err.Error(), "the run as drawn"
			return p
		}
		p.Cost += got.Cost
		// Stations are those of the run as drawn: a turn in a pull point uses up
		// the arc that it takes the place of.
		at := unit.Metre(0)
		arcs := slices.DeleteFunc(slices.Clone(s.Pieces), func(q plan.Piece) bool { return !q.Arc })
		for _, q := range got.Pieces {
			var arc plan.Piece
			if q.Angle > 0 && len(arcs) > 0 {
				arc, arcs = arcs[0], arcs[1:]
			}
			if q.What == route.Fitted {
				pp := ProposedPull{What: q.Name, Station: starts + at, Turn: q.Angle}
				pp.At = place(r, pp.Station)
				if q.Angle > 0 {
					pp.Span, pp.At = arc.Span, arc.A.Add(arc.Dir.Scale(float64(raceway.Tangent(arc.Radius, arc.Angle))))
				}
				p.Points = append(p.Points, pp)
				if q.Angle > 0 {
					words = append(words, fmt.Sprintf("%s at the turn of %s deg, %s along", q.Name, unit.Trim(float64(q.Angle), 0), b.Plan.Site.Units.Run(pp.Station)))
				} else {
					words = append(words, fmt.Sprintf("%s in the straight at %s", q.Name, b.Plan.Site.Units.Run(pp.Station)))
				}
			}
			at += q.Length
			if q.What == route.Fitted {
				at += arc.Length
			}
		}
		for _, x := range got.Sections {
			p.Degrees = append(p.Degrees, x.Bends)
			p.Length += x.Length
			if t := min(x.Forward.Tension, x.Reverse.Tension); drag.Straight != nil {
				p.Tension = max(p.Tension, t)
			}
		}
	}
	p.New = p.Length - r.Laid
	p.Words = strings.Join(words, ", ")
	return p
}

// place returns where a station of a run is.
func place(r *plan.Run, s unit.Metre) geom.Point3 {
	for _, q := range r.Pieces {
		if s <= q.Station+q.Length+1e-6 {
			return q.At(float64(max(0, s-q.Station)))
		}
	}
	return r.Pieces[len(r.Pieces)-1].B
}

// spotApart is how finely places in a straight are tried.
const spotApart = 5 * unit.Foot

// fixed turns a section of a run into a path of legs with the places where pull
// points may stand: not in what is laid, not between the bends of an offset, not
// in what a crew cannot reach.
func (b *Book) fixed(r *plan.Run, s plan.Section, turns bool) (route.Path, unit.Metre, bool) {
	path := route.Path{From: s.From.Words(), To: s.To.Words()}
	start := s.Pieces[0].Station
	room, _ := raceway.StraightPull(r.Trade)
	priced := true
	half := unit.Metre(0)
	if d, ok := raceway.Dim(r.Kind, r.Trade); ok {
		half = d.ID / 2
	}
	leg := route.Leg{}
	before := unit.Metre(0) // tangent of the corner before, in front of the first piece of the leg
	offer := func(q plan.Piece) {
		// Corner to corner, the piece begins after the tangent and what came before.
		lo, hi := leg.Length, leg.Length+q.Length
		if q.Part == "" && q.Length >= room && open(q.Where) || q.Part == "" && q.Length >= room && buried(q.Where) {
			f, known := b.point(q.Where, true)
			priced = priced && known
			for x := room / 2; x <= q.Length-room/2+1e-9; x += max(spotApart, (q.Length-room)/12) {
				if q.Station+x >= r.Laid+room/2 {
					leg.Spots = append(leg.Spots, route.Spot{At: lo + x, Fittings: []route.Fitting{f}})
				}
			}
			if mid := (lo + hi) / 2; q.Station+q.Length/2 >= r.Laid+room/2 {
				leg.Spots = append(leg.Spots, route.Spot{At: mid, Fittings: []route.Fitting{f}})
			}
		}
		leg.Length = hi
	}
	flush := func() {
		stable.Sort(leg.Spots, func(a, b route.Spot) int {
			switch {
			case a.At < b.At:
				return -1
			case a.At > b.At:
				return 1
			}
			return 0
		})
		leg.Spots = slices.CompactFunc(leg.Spots, func(a, b route.Spot) bool { return math.Abs(float64(a.At-b.At)) < 1e-6 })
		path.Legs = append(path.Legs, leg)
	}
	for _, q := range s.Pieces {
		if !q.Arc {
			leg.Heading = q.Dir
			offer(q)
			continue
		}
		t := raceway.Tangent(q.Radius, q.Angle)
		leg.Length += t
		if leg.Heading == (geom.Point3{}) {
			leg.Heading = q.Dir
		}
		leg.Turn = q.Angle
		leg.Bends = []route.Bend{{Name: q.What, Kind: "bend", Radius: q.Radius, Inside: q.Radius - half}}
		level := math.Abs(q.Dir.Z) < 1e-6 && math.Abs(q.Out.Z) < 1e-6
		if turns && q.Part == "" && level && q.Station >= r.Laid {
			f, known := b.point(q.Where, true)
			priced = priced && known
			f.Straight, f.Takes, f.Radius, f.AnyTurn = false, t, q.Radius, true
			leg.Fittings = []route.Fitting{f}
		}
		flush()
		before = t
		leg = route.Leg{Length: before}
	}
	if leg.Length > 0 {
		if leg.Heading == (geom.Point3{}) {
			leg.Heading = s.Pieces[len(s.Pieces)-1].Out
		}
		flush()
	}
	return path, start, priced
}

// yardBeyond is how far past everything that is drawn a new way may go, and
// yardPitch how finely it is looked for.
const (
	yardBeyond = 15 * unit.Foot
	yardPitch  = 2 * unit.Foot
	yardClear  = 2 * unit.Foot // kept from what stands there. Common practice, no source.
)

// rerouted looks for other ways through the yard, from where a run is laid to
// its end. They keep clear of what is drawn; what is not drawn they cannot see.
func (b *Book) rerouted(r *plan.Run, l route.Limits) []Proposal {
	ask, laid, why := b.yard(r, l)
	if why != "" {
		return nil
	}
	alts, err := route.Alternatives(b.ctx, ask, nil, []string{"handhole"})
	if err != nil {
		return []Proposal{{Words: "another way from what is laid", Blocked: err.Error()}}
	}
	// Where the best way would go through what is laid already it is looked for
	// again round that.
	stands := make([]string, len(alts))
	for i, a := range alts {
		if a.Run != nil {
			stands[i] = b.standsInWay(r, a.Run.Pieces)
		}
	}
	if strings.Join(stands, "") != "" {
		round := ask
		round.Space.Surfaces = slices.Clone(ask.Space.Surfaces)
		round.Space.Surfaces[0].Holes = append(slices.Clone(ask.Space.Surfaces[0].Holes), b.laidHoles(r, ask)...)
		if again, err := route.Alternatives(b.ctx, round, nil, []string{"handhole"}); err == nil {
			for i, a := range again {
				if stands[i] != "" && a.Run != nil && b.standsInWay(r, a.Run.Pieces) == "" {
					alts[i], stands[i] = a, ""
				}
			}
		}
	}
	var out []Proposal
	for i, a := range alts {
		p := Proposal{Words: "another way through the yard, from what is laid", Needs: "the ground along it is not known: locate, and widen the dig ticket"}
		if i == 1 {
			p.Words += ", without a handhole"
		}
		if a.Run == nil {
			if i == 0 {
				p.Blocked = a.Blocked.Error()
				out = append(out, p)
			}
			continue
		}
		if stands[i] != "" {
			p.Blocked = stands[i]
			out = append(out, p)
			continue
		}
		p.Cost, p.New, p.Length = a.Run.Cost, a.Run.Built, a.Run.Built+laid
		p.Way = a.Run.Pieces
		for _, q := range a.Run.Fittings() {
			p.Points = append(p.Points, ProposedPull{What: q.Name, At: q.From, Turn: q.Angle})
		}
		for _, s := range a.Run.Sections {
			p.Degrees = append(p.Degrees, s.Bends)
			if ask.Drag.Straight != nil {
				p.Tension = max(p.Tension, min(s.Forward.Tension, s.Reverse.Tension))
			}
		}
		var via []string
		for _, c := range a.Run.Corners {
			w := fmt.Sprintf("(%s, %s)", b.coordinate(c.X), b.coordinate(c.Y))
			if len(via) == 0 || via[len(via)-1] != w { // a riser's foot and its corner are one place
				via = append(via, w)
			}
		}
		if len(via) > 0 {
			p.Words += ": corners at " + strings.Join(via, ", ")
		}
		if i == 1 && len(out) > 0 && slices.Equal(out[0].Degrees, p.Degrees) && math.Abs(float64(out[0].New-p.New)) < 0.01 {
			continue
		}
		out = append(out, p)
	}
	return out
}

// standsInWay says which work that is laid already a new way would go through:
// another run as far as it is laid, or the run's own laid part.
func (b *Book) standsInWay(r *plan.Run, way []route.Piece) string {
	od := func(r *plan.Run) float64 { d, _ := raceway.Dim(r.Kind, r.Trade); return float64(d.OD) }
	mine, join := od(r), r.At(r.Laid)
	for i := range b.Plan.Runs {
		o := &b.Plan.Runs[i]
		if o.Laid <= 0 {
			continue
		}
		need := (mine + od(o)) / 2
		for _, q := range o.Pieces {
			n := 1
			if q.Arc {
				n = max(2, int(math.Ceil(float64(q.Angle)/10)))
			}
			long := min(q.Length, o.Laid-q.Station)
			if long <= 0 {
				break
			}
			for k := range n {
				a, c := q.At(float64(long)*float64(k)/float64(n)), q.At(float64(long)*float64(k+1)/float64(n))
				for _, w := range way {
					if w.Length <= 0 {
						continue
					}
					d, at := plan.Gap(a, c, w.From, w.To)
					if d >= need-1e-4 || o.ID == r.ID && at.Dist(join) < 4*mine {
						continue
					}
					if o.ID == r.ID {
						return fmt.Sprintf("what is laid of %s stands in its way at (%s, %s)", r.ID, b.coordinate(at.X), b.coordinate(at.Y))
					}
					return fmt.Sprintf("run %s is laid there, at (%s, %s), %s deep: it stands in the way", o.ID, b.coordinate(at.X), b.coordinate(at.Y), b.Plan.Site.Units.Short(unit.Metre(-at.Z)))
				}
			}
		}
	}
	return ""
}

// laidHoles are the places of the yard that laid straights of other runs take
// up at its depth.
func (b *Book) laidHoles(r *plan.Run, ask route.Ask) [][]geom.Point3 {
	var out [][]geom.Point3
	z, m := ask.From.At.Z, float64(yardClear)
	for i := range b.Plan.Runs {
		o := &b.Plan.Runs[i]
		if o.ID == r.ID {
			continue
		}
		for _, q := range o.Pieces {
			long := min(q.Length, o.Laid-q.Station)
			if long <= 0 || math.Abs(q.A.Z-z) > m || math.Abs(q.B.Z-z) > m {
				continue
			}
			a, c := q.A, q.At(float64(long))
			u := c.Sub(a)
			u.Z = 0
			if u.Norm() < 1e-6 {
				continue
			}
			u = u.Unit().Scale(m)
			v := geom.Point3{X: -u.Y, Y: u.X}
			hole := []geom.Point3{a.Sub(u).Sub(v), c.Add(u).Sub(v), c.Add(u).Add(v), a.Sub(u).Add(v)}
			flat := make(geom.Outline, len(hole))
			for k := range hole {
				hole[k].Z = z
				flat[k] = hole[k].Plan()
			}
			if !flat.Contains(ask.From.At.Plan()) && !flat.Contains(ask.To.At.Plan()) {
				out = append(out, hole)
			}
		}
	}
	return out
}

func (b *Book) coordinate(m float64) string {
	if b.Plan.Site.Units == unit.SI {
		return unit.Trim(m, 1)
	}
	return unit.Trim(unit.Metre(m).Ft(), 1)
}

// yard is the ground at the depth of a run's laid end, with what stands on it
// cut out, and the riser at the run's end.
func (b *Book) yard(r *plan.Run, l route.Limits) (route.Ask, unit.Metre, string) {
	if r.Laid <= 0 || r.Laid >= r.Length {
		return route.Ask{}, 0, "nothing of it is laid"
	}
	last := r.Pieces[len(r.Pieces)-1]
	var pieces []route.Piece
	radius, angles := unit.Metre(0), []unit.Degree{45, 90}
	half := unit.Metre(0)
	if d, ok := raceway.Dim(r.Kind, r.Trade); ok {
		half = d.ID / 2
	}
	from := r.Sections[0].Pieces[0].Station
	for _, s := range r.Sections { // from the last pull point that stands in what is laid
		if s.Pieces[0].Station <= r.Laid {
			from = s.Pieces[0].Station
		}
	}
	for _, q := range r.Pieces {
		if q.Arc && q.Part == "" {
			radius = max(radius, q.Radius)
			angles = append(angles, q.Angle)
		}
		if q.Station < from {
			continue
		}
		x := route.Piece{What: route.Straight, Name: q.Where, From: q.A, To: q.B, Length: q.Length, Heading: q.Dir, Out: q.Out}
		if q.Arc {
			x.What, x.Name, x.Angle, x.Radius, x.Cable = route.Bent, q.What, q.Angle, q.Radius, q.Radius-half
		}
		pieces = append(pieces, x)
	}
	if radius == 0 {
		return route.Ask{}, 0, "it has no bend to go by"
	}
	laid, at, heading, err := route.Cut(pieces, r.Laid-from)
	if err != nil {
		return route.Ask{}, 0, err.Error()
	}
	if math.Abs(heading.Z) > 1e-6 || !buried(where(r, r.Laid)) {
		return route.Ask{}, 0, "its laid end does not lie level in the ground"
	}
	foot := geom.Point3{X: last.B.X, Y: last.B.Y, Z: at.Z}
	if last.Out.Z < 0.99 || last.B.Z <= at.Z {
		return route.Ask{}, 0, "its end does not rise from the ground"
	}
	trench, _ := b.priceOf("trench", "ft")
	if trench == 0 {
		trench = 1
	}
	rate := trench / float64(unit.Foot)
	space := route.Space{Pitch: yardPitch, Lines: []route.Line{{Name: "riser", Kind: "wall", Points: []geom.Point3{foot, last.B}, Rate: rate}}}
	lo, hi := geom.Point{X: min(at.X, foot.X), Y: min(at.Y, foot.Y)}, geom.Point{X: max(at.X, foot.X), Y: max(at.Y, foot.Y)}
	yard := route.Surface{Name: "yard", Kind: "trench", Rate: rate, Along: heading, Diagonals: true}
	for _, o := range b.Plan.Site.Objects {
		for _, p := range append(append([]geom.Point(nil), o.Outline...), o.Path...) {
			lo, hi = geom.Point{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}, geom.Point{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		}
		switch o.Kind {
		case site.Shelter, site.Generator, site.Equipment, site.Tower, site.Pad, site.Platform:
		default:
			continue
		}
		if len(o.Outline) < 3 || o.Existing == site.Removed || o.Outline.Contains(at.Plan()) || o.Outline.Contains(foot.Plan()) {
			continue
		}
		keep, ok := o.Outline.Offset(-float64(yardClear)) // outward
		if !ok || keep.Contains(at.Plan()) || keep.Contains(foot.Plan()) {
			keep = o.Outline
		}
		var hole []geom.Point3
		for _, p := range keep {
			hole = append(hole, p.At(at.Z))
		}
		yard.Holes = append(yard.Holes, hole)
	}
	m := float64(yardBeyond)
	for _, p := range []geom.Point{{X: lo.X - m, Y: lo.Y - m}, {X: hi.X + m, Y: lo.Y - m}, {X: hi.X + m, Y: hi.Y + m}, {X: lo.X - m, Y: hi.Y + m}} {
		yard.Outline = append(yard.Outline, p.At(at.Z))
	}
	space.Surfaces = []route.Surface{yard}
	f, _ := b.point("trench", false)
	f.On = []string{"trench"}
	sweep, ok := b.priceOf("sweep", "each")
	if !ok {
		sweep = sweepFeet * trench
		if _, priced := b.priceOf("handhole", "each"); !priced {
			f.Cost = pointFeet * trench
		}
	}
	ask := route.Ask{
		Space: space, From: route.Terminal{Name: r.From, At: at, Heading: heading, Laid: laid}, To: route.Terminal{Name: r.To, At: last.B, Heading: last.Out},
		Bends:    []route.Bend{{Name: b.Plan.Site.Units.Short(radius) + " sweep", Kind: "sweep", Radius: radius, Inside: radius - half, Angles: angles, Cost: sweep}},
		Fittings: []route.Fitting{f}, Limits: l,
	}
	ask.Drag = b.drag(r, &ask.Limits)
	return ask, r.Laid, ""
}

func where(r *plan.Run, s unit.Metre) string {
	for _, q := range r.Pieces {
		if s <= q.Station+q.Length+1e-6 {
			return q.Where
		}
	}
	return ""
}
