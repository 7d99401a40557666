package plan

import (
	"fmt"
	"math"
	"strings"

	"stubup/base/diag"
	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/site"
	"stubup/trade/raceway"
)

// Piece is one straight or one arc of a run.
type Piece struct {
	_ [0]func() // never compared: no equality is compiled for it

	Span        diag.Span
	Arc         bool
	A, B        geom.Point3
	Dir         geom.Point3 // direction at A
	Out         geom.Point3 // direction at B
	Length      unit.Metre  // along the centreline
	Angle       unit.Degree // of an arc
	Radius      unit.Metre  // of an arc, to the centreline
	Centre      geom.Point3 // of an arc
	Made        string      // factory, field, sweep, heated; "" when not said
	Station     unit.Metre  // of A, from the start of the run
	Where       string      // trench, wall, roof, strut, slab, driveway, air, indoor; "" when not said
	Sun         bool
	Clear       unit.Q[unit.Metre]
	Ribbon      string // a warning ribbon above it: "yes", "no"; "" when not said
	What        string // "90 up", "offset 30", in words
	Part        string // "offset" or "saddle" where the arc is part of one
	GivenRadius bool
	Bender      *raceway.Bender // that makes the arc; nil where none is known
}

// At returns the place s metres along the piece.
func (q Piece) At(s float64) geom.Point3 {
	if !q.Arc {
		return q.A.Add(q.Dir.Scale(s))
	}
	a := s / float64(q.Radius)
	in := q.Centre.Sub(q.A).Unit()
	return q.A.Add(q.Dir.Scale(float64(q.Radius) * math.Sin(a))).Add(in.Scale(float64(q.Radius) * (1 - math.Cos(a))))
}

// PullKind is what a pull point is.
type PullKind string

// Kinds of pull point and of the things a run passes.
const (
	PullStart    PullKind = "start"
	PullEnd      PullKind = "end"
	PullHandhole PullKind = "handhole"
	PullBox      PullKind = "pull box"
	PullBody     PullKind = "conduit body"
)

// Pull is a pull point, or an end of the run.
type Pull struct {
	Span    diag.Span
	Key, ID string
	Kind    PullKind
	Letter  string // of a conduit body
	At      geom.Point3
	Station unit.Metre
	In, Out geom.Point3 // directions of the run as it enters and leaves
	Object  string
	Size    [3]unit.Q[unit.Metre]
	Turns   bool
	Volume  float64
}

// Words returns what it is in words.
func (q Pull) Words() string {
	switch {
	case q.Kind == PullBody:
		return "conduit body " + q.Letter
	case q.Object != "":
		return string(q.Kind) + " " + q.Object
	}
	return string(q.Kind)
}

// Angle returns the turn that the run makes in the pull point, degrees.
func (q Pull) Angle() float64 {
	if q.In.Norm() == 0 || q.Out.Norm() == 0 {
		return 0
	}
	return math.Acos(max(-1, min(1, q.In.Dot(q.Out)))) * 180 / math.Pi
}

// WallEntry is where a run goes through a wall.
type WallEntry struct {
	Span      diag.Span
	Wall      string
	At        geom.Point3
	Station   unit.Metre
	Core      unit.Q[unit.Metre]
	SlopesOut bool
	Firestop  string // the listed system; "none" where there is none yet; empty where nobody says
	Rated     bool
}

// ExpansionFitting is one on a run.
type ExpansionFitting struct {
	Span    diag.Span
	At      geom.Point3
	Station unit.Metre
	Travel  unit.Q[unit.Metre]
	Jumper  string // across it: "yes", "no", "listed" without one; "" when not said
}

// Section is a stretch of a run between two pull points.
type Section struct {
	From, To Pull
	Pieces   []Piece
	Degrees  unit.Degree
	Length   unit.Metre
}

// Name returns the section in words.
func (s Section) Name() string {
	n := func(q Pull) string {
		if q.ID != "" {
			return q.ID
		}
		return string(q.Kind)
	}
	return n(s.From) + " to " + n(s.To)
}

// Run is a raceway resolved in space.
type Run struct {
	*site.Run
	Kind       raceway.Kind
	Pieces     []Piece
	Pulls      []Pull // start, pull points, end
	Sections   []Section
	Entries    []WallEntry
	Expansions []ExpansionFitting
	Length     unit.Metre
	Trench     unit.Metre // along straights and arcs that lie in a trench
	Laid       unit.Metre // station to which it is laid; 0 for none
	Open       unit.Metre // station to which its trench is open
	OpenWidth  unit.Q[unit.Metre]
	OK         bool // resolved to its end
}

// Degrees returns the sum of all bends of the run.
func (r Run) Degrees() unit.Degree {
	var sum unit.Degree
	for _, q := range r.Pieces {
		sum += q.Angle
	}
	return sum
}

// Bends returns the arcs.
func (r Run) Bends() []Piece {
	var out []Piece
	for _, q := range r.Pieces {
		if q.Arc {
			out = append(out, q)
		}
	}
	return out
}

// At returns the place at a station.
func (r Run) At(s unit.Metre) geom.Point3 {
	for _, q := range r.Pieces {
		if s <= q.Station+q.Length+1e-9 {
			return q.At(float64(s - q.Station))
		}
	}
	if n := len(r.Pieces); n > 0 {
		return r.Pieces[n-1].B
	}
	return r.Start
}

func (p *Plan) runs(n *numbering) {
	for i := range p.Site.Runs {
		r := p.resolve(&p.Site.Runs[i])
		for _, st := range p.Site.State.Laid {
			if st.Run == r.ID {
				r.Laid = p.within(st, r)
			}
		}
		for _, st := range p.Site.State.Open {
			if st.Run == r.ID {
				r.Open, r.OpenWidth = p.within(st, r), st.Width
			}
		}
		p.Runs = append(p.Runs, r)
	}
	var wants []want
	for i := range p.Runs {
		for k := range p.Runs[i].Pulls {
			if q := &p.Runs[i].Pulls[k]; q.Key != "" {
				wants = append(wants, want{key: q.Key, prefix: "P", at: q.At.Plan(), moves: true})
			}
		}
	}
	ids := n.assign(wants)
	k := 0
	for i := range p.Runs {
		r := &p.Runs[i]
		for j := range r.Pulls {
			if r.Pulls[j].Key != "" {
				r.Pulls[j].ID = ids[k]
				k++
			}
		}
		r.sections()
	}
	p.crossings()
}

func (p *Plan) within(st site.Station, r Run) unit.Metre {
	if st.To.SI > r.Length+1e-6 {
		p.bad(diag.Error, diag.Contradiction, st.Span, fmt.Sprintf("run %s is %s long and cannot be done to %s", r.ID, p.Site.Units.Run(r.Length), st.To.Text), "write a station within the run")
		return r.Length
	}
	return st.To.SI
}

// resolve walks the steps of a run through space.
func (p *Plan) resolve(s *site.Run) Run {
	r := Run{Run: s}
	kind, err := raceway.ParseKind(s.Raceway)
	// What is wrong with the words themselves was told where they are written.
	if err != nil && (s.Raceway != "" || s.RacewayText == "") {
		p.bad(diag.Error, diag.WordUnknown, s.Span, fmt.Sprintf("%q is not a kind of raceway", s.RacewayText), "write one of "+strings.Join(kindWords(), ", "))
	}
	r.Kind = kind
	p.benders(s, kind)
	w := walker{p: p, r: &r, at: s.Start, dir: s.Heading.Unit()}
	if w.dir.Norm() == 0 {
		w.dir = geom.Point3{X: 1}
	}
	r.Pulls = append(r.Pulls, Pull{Span: s.Span, Kind: PullStart, At: w.at, Out: w.dir})
	r.OK = true
	for i := range s.Steps {
		if !w.step(&s.Steps[i]) {
			r.OK = false
			break
		}
	}
	r.Length = w.station
	r.Pulls = append(r.Pulls, Pull{Span: s.Span, Kind: PullEnd, At: w.at, Station: w.station, In: w.dir})
	inherit(r.Pieces)
	for _, q := range r.Pieces {
		if InTrench(q) {
			r.Trench += q.Length
		}
	}
	if len(r.Pieces) == 0 {
		p.bad(diag.Error, diag.ZeroLength, s.Span, fmt.Sprintf("run %s has no straight and no bend", s.ID), "give its path at least one straight")
		r.OK = false
	}
	return r
}

func kindWords() []string {
	var out []string
	for _, k := range raceway.Kinds() {
		out = append(out, string(k))
	}
	return out
}

// InTrench reports whether a piece lies in a trench. A sweep that rises out
// of the ground is dug for at its foot only and is not counted.
func InTrench(q Piece) bool {
	if q.Where != "trench" && q.Where != "driveway" {
		return false
	}
	return q.A.Z < 0 && q.B.Z < 0 && math.Abs(q.Out.Z) < 0.9 && math.Abs(q.Dir.Z) < 0.9
}

// inherit gives an arc, and the straight between two bends of an offset, the
// location of what comes before it.
func inherit(ps []Piece) {
	for i := range ps {
		if ps[i].Where != "" || !ps[i].Arc && ps[i].Part == "" {
			continue
		}
		for j := i - 1; j >= 0; j-- {
			if ps[j].Where != "" {
				ps[i].Where, ps[i].Sun, ps[i].Clear, ps[i].Ribbon = ps[j].Where, ps[j].Sun, ps[j].Clear, ps[j].Ribbon
				break
			}
		}
	}
}

// walker goes along a run, step by step.
type walker struct {
	p       *Plan
	r       *Run
	at, dir geom.Point3
	station unit.Metre
	pulls   int
}

func (w *walker) fail(s *site.Step, code diag.Code, what, mend string) bool {
	w.p.bad(diag.Error, code, s.Span, fmt.Sprintf("run %s: %s; the rest of the run is left out", w.r.ID, what), mend)
	return false
}

func (w *walker) push(q Piece) {
	q.A, q.Dir, q.Station = w.at, w.dir, w.station
	if q.Arc {
		q.Length = unit.Metre(float64(q.Radius) * float64(q.Angle) * math.Pi / 180)
		q.B = q.At(float64(q.Length))
	} else {
		q.B, q.Out = w.at.Add(w.dir.Scale(float64(q.Length))), w.dir
	}
	w.r.Pieces = append(w.r.Pieces, q)
	w.at, w.dir, w.station = q.B, q.Out, w.station+q.Length
}

// arc turns by deg toward the unit vector side, square to the heading.
func (w *walker) arc(s *site.Step, deg float64, side geom.Point3, radius float64, what, part string) {
	a := deg * math.Pi / 180
	w.push(Piece{
		Span: s.Span, Arc: true, Angle: unit.Degree(deg), Radius: unit.Metre(radius), Centre: w.at.Add(side.Scale(radius)),
		Out: w.dir.Turn(side, a).Unit(), Made: s.Made, Where: s.Where, Sun: s.Sun, Clear: s.Clear, What: what, Part: part, GivenRadius: s.Radius.Set,
		Bender: w.bender(s),
	})
}

// side returns the unit vector square to the heading toward a word.
func (w *walker) side(s *site.Step) (geom.Point3, bool) {
	vertical := math.Abs(w.dir.Z) > 0.999
	left := geom.Point3{X: -w.dir.Y, Y: w.dir.X}.Unit()
	var t geom.Point3
	switch s.Toward {
	case "left", "right":
		if vertical {
			return t, w.fail(s, diag.Contradiction, fmt.Sprintf("%q has no meaning while the run goes straight %s", s.Toward, upDown(w.dir)), "say north, east, south or west")
		}
		t = left
		if s.Toward == "right" {
			t = left.Scale(-1)
		}
		return t, true
	case "up", "down":
		if vertical {
			return t, w.fail(s, diag.Contradiction, fmt.Sprintf("the run already goes straight %s", upDown(w.dir)), "say north, east, south or west")
		}
		t = w.dir.Cross(left)
		if s.Toward == "down" {
			t = t.Scale(-1)
		}
		return t, true
	case "north":
		t = geom.Point3{Y: 1}
	case "south":
		t = geom.Point3{Y: -1}
	case "east":
		t = geom.Point3{X: 1}
	case "west":
		t = geom.Point3{X: -1}
	default:
		return t, w.fail(s, diag.KeyMissing, "this turn has no direction", `say which way, for instance "90 left" or "90 up"`)
	}
	side := t.Sub(w.dir.Scale(t.Dot(w.dir)))
	if side.Norm() < 1e-6 {
		return side, w.fail(s, diag.Contradiction, fmt.Sprintf("the run already goes %s or straight back", s.Toward), "name another direction")
	}
	return side.Unit(), true
}

func upDown(d geom.Point3) string {
	if d.Z > 0 {
		return "up"
	}
	return "down"
}

// bender returns the bender that makes the bends of a step: the one that the
// step or the run names, or the only one for the raceway. A bend that is made
// in a factory or with heat has none.
func (w *walker) bender(s *site.Step) *raceway.Bender {
	if w.r.Kind.Flexible() || s.Made != "field" && (s.Made != "" || !w.r.Kind.Metal()) {
		return nil
	}
	name := s.Bender
	if name == "" {
		name = w.r.Bender
	}
	var found *raceway.Bender
	for i := range w.p.Site.Benders {
		b := &w.p.Site.Benders[i]
		if b.Raceway != string(w.r.Kind) || b.Trade != w.r.Trade || name != "" && !sameName(b.Name, name) {
			continue
		}
		if found != nil {
			return nil // more than one could, and nobody says which
		}
		found = benderOf(b)
	}
	return found
}

func benderOf(b *site.Bender) *raceway.Bender {
	out := &raceway.Bender{
		Name: b.Name, Kind: raceway.Kind(b.Raceway), Trade: b.Trade, Radius: b.Radius.SI, TakeUp: b.TakeUp.SI,
		Arrow: b.Arrow.SI, Aimed: b.Arrow.Set, End: b.End.SI, Between: b.Between.SI,
	}
	for _, m := range b.Marks {
		out.Marks = append(out.Marks, m.SI)
	}
	return out
}

// sameName reports whether two names are one when spoken.
func sameName(a, b string) bool {
	words := func(s string) string {
		return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == ' ' || r == '-' || r == '_' || r == '\t' }), " ")
	}
	return words(a) == words(b)
}

// benders tells of a bender that a run names and that does not take its
// raceway.
func (p *Plan) benders(r *site.Run, kind raceway.Kind) {
	look := func(name string, at diag.Span) {
		if name == "" {
			return
		}
		var takes []string
		for _, b := range p.Site.Benders {
			if !sameName(b.Name, name) {
				continue
			}
			if b.Raceway == string(kind) && b.Trade == r.Trade {
				return
			}
			takes = append(takes, fmt.Sprintf("%s %s", b.Raceway, b.Trade))
		}
		if len(takes) > 0 { // a name that is nowhere was told already
			p.bad(diag.Error, diag.Contradiction, at, fmt.Sprintf("run %s is %s %s; the bender %s takes %s", r.ID, kind, r.Trade, name, strings.Join(takes, ", ")), "name another bender, or add what it does for this raceway to benders")
		}
	}
	look(r.Bender, r.Span)
	for i := range r.Steps {
		look(r.Steps[i].Bender, r.Steps[i].Span)
	}
}

func (w *walker) radius(s *site.Step) (float64, bool) {
	if s.Radius.Set {
		return float64(s.Radius.SI), true
	}
	if b := w.bender(s); b != nil && b.Radius > 0 {
		return float64(b.Radius), true
	}
	m, _, ok := raceway.MinBendRadius(w.r.Trade, raceway.OtherBend)
	if !ok {
		return 0, w.fail(s, diag.KeyMissing, "this bend has no radius and the raceway has no trade size to take one from", `give it a radius, for instance "radius: 36 in"`)
	}
	return float64(m), true
}

func (w *walker) step(s *site.Step) bool {
	switch s.Kind {
	case site.Straight:
		if !s.Length.Set || s.Length.SI <= 0 {
			return w.fail(s, diag.ZeroLength, "a straight has no length", "give it a length, or leave the step out")
		}
		w.push(Piece{Span: s.Span, Length: s.Length.SI, Where: s.Where, Sun: s.Sun, Clear: s.Clear, Ribbon: s.Ribbon, What: "straight"})
	case site.Bend:
		side, ok := w.side(s)
		if !ok {
			return false
		}
		r, ok := w.radius(s)
		if !ok {
			return false
		}
		if !s.Angle.Set || s.Angle.SI <= 0 || s.Angle.SI > 180 {
			return w.fail(s, diag.OutOfRange, "a bend must turn more than 0 and at most 180 degrees", `write it like "90 up"`)
		}
		w.arc(s, float64(s.Angle.SI), side, r, unit.Trim(float64(s.Angle.SI), 1)+" "+s.Toward, "")
	case site.Offset:
		return w.offset(s)
	case site.Saddle:
		return w.saddle(s)
	case site.HandholeS, site.BoxS, site.Body:
		return w.pull(s)
	case site.Entry:
		e := WallEntry{Span: s.Span, Wall: s.Object, At: w.at, Station: w.station, Core: s.Core, SlopesOut: s.SlopesOut, Firestop: s.Firestop}
		if o := w.p.object(s.Object); o != nil {
			e.Rated = o.Rated
		}
		w.r.Entries = append(w.r.Entries, e)
	case site.Expansion:
		w.r.Expansions = append(w.r.Expansions, ExpansionFitting{Span: s.Span, At: w.at, Station: w.station, Travel: s.Length, Jumper: s.Jumper})
	}
	return true
}

// offset is two bends of the same angle, the second back. The straight
// between them must not be negative: S = (H - 2R(1 - cos t)) / sin t.
func (w *walker) offset(s *site.Step) bool {
	side, ok := w.side(s)
	if !ok {
		return false
	}
	r, ok := w.radius(s)
	if !ok {
		return false
	}
	deg := float64(s.Angle.Or(30))
	h := float64(s.Length.SI)
	if s.Roll.Set {
		turned := *s
		turned.Toward = s.RollTo
		over, ok := w.side(&turned)
		if !ok {
			return false
		}
		if math.Abs(over.Dot(side)) > 1e-6 {
			return w.fail(s, diag.Contradiction, fmt.Sprintf("an offset %s cannot roll %s: the two are not square to each other", s.Toward, s.RollTo), "roll it to another side")
		}
		whole, _ := raceway.Rolling(s.Length.SI, s.Roll.SI)
		side = side.Scale(h).Add(over.Scale(float64(s.Roll.SI))).Unit()
		h = float64(whole)
	}
	if b := w.bender(s); b != nil && !s.Angle.Set {
		if a, ok := b.OffsetAngle(unit.Metre(h), unit.Metre(r), 30); ok {
			deg = float64(a)
		}
	}
	between, ok := between(h, r, deg)
	if !ok {
		return w.fail(s, diag.DoesNotFit, fmt.Sprintf("an offset of %s at %s degrees with a radius of %s needs the bends to overlap", s.Length.Text, unit.Trim(deg, 1), w.p.Site.Units.Short(unit.Metre(r))),
			"use a smaller angle, a deeper offset, or a smaller radius if Table 2 allows it")
	}
	w.double(s, side, r, deg, between, "offset")
	return true
}

// between is the straight between the two bends of an offset.
func between(h, r, deg float64) (float64, bool) {
	t := deg * math.Pi / 180
	if deg <= 0 || deg >= 90 {
		return 0, false
	}
	s := (h - 2*r*(1-math.Cos(t))) / math.Sin(t)
	return max(s, 0), s >= -geom.Eps
}

func (w *walker) double(s *site.Step, side geom.Point3, r, deg, between float64, part string) {
	base := w.dir
	way := s.Toward
	if s.RollTo != "" {
		way += " and " + s.RollTo
	}
	w.arc(s, deg, side, r, fmt.Sprintf("%s %s %s", part, unit.Trim(deg, 1), way), part)
	if between > geom.Eps {
		w.push(Piece{Span: s.Span, Length: unit.Metre(between), Where: s.Where, Sun: s.Sun, Clear: s.Clear, What: "between bends", Part: part})
	}
	// Back: toward the old heading, square to the present one.
	back := base.Sub(w.dir.Scale(base.Dot(w.dir))).Unit()
	w.arc(s, deg, back, r, fmt.Sprintf("%s %s back", part, unit.Trim(deg, 1)), part)
	w.dir = base // free of rounding
	w.r.Pieces[len(w.r.Pieces)-1].Out = base
}

// saddle is three bends (half, whole, half) over a narrow thing, or four: two
// offsets with the straight of the step between them.
func (w *walker) saddle(s *site.Step) bool {
	side, ok := w.side(s)
	if !ok {
		return false
	}
	r, ok := w.radius(s)
	if !ok {
		return false
	}
	h := float64(s.Length.SI)
	if s.Bends == 4 {
		deg := float64(s.Angle.Or(30))
		if d := w.bender(s); d != nil && !s.Angle.Set {
			if a, ok := d.OffsetAngle(unit.Metre(h), unit.Metre(r), 30); ok {
				deg = float64(a)
			}
		}
		b, ok := between(h, r, deg)
		if !ok {
			return w.fail(s, diag.DoesNotFit, "the bends of this saddle overlap", "use a smaller angle or a deeper saddle")
		}
		base := w.dir
		w.double(s, side, r, deg, b, "saddle")
		over := float64(s.Size[0].Or(0))
		if over > geom.Eps {
			w.push(Piece{Span: s.Span, Length: unit.Metre(over), Where: s.Where, Sun: s.Sun, Clear: s.Clear, What: "over", Part: "saddle"})
		}
		w.double(s, side.Scale(-1), r, deg, b, "saddle")
		w.dir = base
		return true
	}
	deg := float64(s.Angle.Or(45)) / 2
	if b := w.bender(s); b != nil && !s.Angle.Set {
		if a, ok := b.SaddleAngle(unit.Metre(h), unit.Metre(r), 45); ok {
			deg = float64(a) / 2
		}
	}
	// Up by deg, straight, over by 2 deg at the top, straight, back by deg.
	// Height: H = 2R(1 - cos t) + S sin t, S on each flank.
	t := deg * math.Pi / 180
	flank := (h - 2*r*(1-math.Cos(t))) / math.Sin(t)
	if flank < -geom.Eps {
		return w.fail(s, diag.DoesNotFit, fmt.Sprintf("a three-bend saddle of %s with a radius of %s needs the bends to overlap", s.Length.Text, w.p.Site.Units.Short(unit.Metre(r))), "use a smaller angle or a deeper saddle")
	}
	base := w.dir
	turn := func(toward geom.Point3, deg float64, what string) {
		q := toward.Sub(w.dir.Scale(toward.Dot(w.dir))).Unit()
		w.arc(s, deg, q, r, what, "saddle")
	}
	straight := func() {
		if flank > geom.Eps {
			w.push(Piece{Span: s.Span, Length: unit.Metre(flank), Where: s.Where, Sun: s.Sun, Clear: s.Clear, What: "between bends", Part: "saddle"})
		}
	}
	word := unit.Trim(deg, 2)
	turn(side, deg, "saddle "+word+" "+s.Toward)
	straight()
	turn(side.Scale(-1), 2*deg, "saddle "+unit.Trim(2*deg, 1)+" over")
	straight()
	turn(side, deg, "saddle "+word+" back")
	w.dir = base
	w.r.Pieces[len(w.r.Pieces)-1].Out = base
	return true
}

// pull adds a pull point, and the turn that the run makes in it.
func (w *walker) pull(s *site.Step) bool {
	w.pulls++
	q := Pull{Span: s.Span, At: w.at, Station: w.station, In: w.dir, Letter: s.Letter, Object: s.Object, Size: s.Size, Turns: s.Turns}
	// With its height: two bodies on one riser stand at one place in plan.
	q.Key = "pull/" + w.r.ID + "/" + string(s.Kind) + placeKey(w.at.Plan()) + "," + millimetres(w.at.Z)
	for _, other := range w.r.Pulls {
		if other.Key == q.Key {
			return w.fail(s, diag.Twice, "two pull points stand in one place", "leave one of them out, or put a straight between them")
		}
	}
	switch s.Kind {
	case site.HandholeS:
		q.Kind = PullHandhole
	case site.BoxS:
		q.Kind = PullBox
	default:
		q.Kind = PullBody
	}
	if o := w.p.object(s.Object); o != nil {
		if !q.Size[0].Set {
			q.Size = o.Size
		}
		// A run that misses its own box is a drawing error worth saying.
		if o.HasAt && o.At.Dist(w.at.Plan()) > 0.6 {
			w.p.bad(diag.Warning, diag.Contradiction, s.Span, fmt.Sprintf("run %s meets %s at %s, %s from where that is drawn", w.r.ID, w.p.words(o.ID), w.p.at(w.at.Plan()), w.p.Site.Units.Length(unit.Metre(o.At.Dist(w.at.Plan())))), "move the object or the run so that they meet")
		}
	}
	if s.Toward != "" {
		side, ok := w.side(s)
		if !ok {
			return false
		}
		a := float64(s.Angle.Or(90)) * math.Pi / 180
		w.dir = w.dir.Turn(side, a).Unit()
		q.Turns = true
	}
	q.Out = w.dir
	w.r.Pulls = append(w.r.Pulls, q)
	return true
}

// sections splits the run at its pull points.
func (r *Run) sections() {
	r.Sections = nil
	for i := 0; i+1 < len(r.Pulls); i++ {
		s := Section{From: r.Pulls[i], To: r.Pulls[i+1]}
		for _, q := range r.Pieces {
			if q.Station >= s.From.Station-1e-9 && q.Station+q.Length <= s.To.Station+1e-9 {
				s.Pieces = append(s.Pieces, q)
				s.Degrees += q.Angle
				s.Length += q.Length
			}
		}
		if len(s.Pieces) > 0 {
			r.Sections = append(r.Sections, s)
		}
	}
}

// crossings warns where two runs pass through one place, measured between
// centrelines: closer than the two radii is a clash.
func (p *Plan) crossings() {
	type bit struct {
		run  int
		a, b geom.Point3
		od   float64
		s    float64 // station of its middle
	}
	var bits []bit
	for i, r := range p.Runs {
		dim, _ := raceway.Dim(r.Kind, r.Trade)
		for _, q := range r.Pieces {
			n := 1
			if q.Arc {
				n = 6
			}
			for k := range n {
				bits = append(bits, bit{i, q.At(float64(q.Length) * float64(k) / float64(n)), q.At(float64(q.Length) * float64(k+1) / float64(n)), float64(dim.OD), float64(q.Station) + float64(q.Length)*(float64(k)+0.5)/float64(n)})
			}
		}
	}
	if len(bits) > 4000 {
		return
	}
	seen := map[[2]int]bool{}
	for i, a := range bits {
		for _, b := range bits[i+1:] {
			if seen[[2]int{a.run, b.run}] {
				continue
			}
			d, at := segmentGap(a.a, a.b, b.a, b.b)
			if a.run == b.run {
				// Parts that follow each other touch; a run that comes back on itself
				// does so after more of its length than it is thick.
				apart := math.Abs(b.s-a.s) - (a.a.Dist(a.b)+b.a.Dist(b.b))/2
				if apart > 4*a.od && d < a.od-1e-4 {
					seen[[2]int{a.run, b.run}] = true
					ra := p.Runs[a.run]
					p.bad(diag.Error, diag.Crossing, ra.Span, fmt.Sprintf("run %s comes back through itself at %s", ra.ID, p.at(at.Plan())), "look at the sides of its bends, or set the later part deeper")
				}
				continue
			}
			if d < (a.od+b.od)/2-1e-4 {
				seen[[2]int{a.run, b.run}] = true
				ra, rb := p.Runs[a.run], p.Runs[b.run]
				p.bad(diag.Error, diag.Crossing, rb.Span, fmt.Sprintf("run %s goes through run %s at %s, %s deep", rb.ID, ra.ID, p.at(at.Plan()), p.Site.Units.Short(unit.Metre(-at.Z))), "set one of them deeper or to the side")
			}
		}
	}
}

// Gap returns the least distance between two straight pieces, a to b and c to
// d, and the place on the first where it is reached.
func Gap(a, b, c, d geom.Point3) (float64, geom.Point3) { return segmentGap(a, b, c, d) }

// segmentGap returns the least distance between two straight pieces and a
// place on the first where it is reached.
func segmentGap(a, b, c, d geom.Point3) (float64, geom.Point3) {
	u, v, w := b.Sub(a), d.Sub(c), a.Sub(c)
	uu, uv, vv, uw, vw := u.Dot(u), u.Dot(v), v.Dot(v), u.Dot(w), v.Dot(w)
	den := uu*vv - uv*uv
	clamp := func(x float64) float64 { return max(0, min(1, x)) }
	s := 0.0
	if den > 1e-12 {
		s = clamp((uv*vw - vv*uw) / den)
	}
	t := 0.0
	if vv > 0 {
		t = clamp((uv*s + vw) / vv)
	}
	if uu > 0 {
		s = clamp((uv*t - uw) / uu)
	}
	p := a.Add(u.Scale(s))
	return p.Dist(c.Add(v.Scale(t))), p
}
