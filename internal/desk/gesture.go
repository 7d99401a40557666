package desk

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
)

// Gesture is one thing that a person does to the layout. What it says in
// metres or in words is turned into edits of the document here, so that no
// screen writes coordinates of its own.
type Gesture struct {
	Op     string       `json:"op"` // move, point, rod, rods, add, remove, ring, whip, set, spots, whips, limit, run, run-corner, run-pull, run-fitting, run-size, run-way, price
	ID     string       `json:"id"` // the object or rod it is about
	Path   string       `json:"path"`
	Kind   string       `json:"kind"` // of an object to add
	By     [2]float64   `json:"by"`   // metres east and north
	At     [2]float64   `json:"at"`   // a place, m
	Places [][2]float64 `json:"places"`
	IDs    []string     `json:"ids"` // the objects a ring goes around
	Text   string       `json:"text"`
	Fields []Field      `json:"fields"` // typed beside the drawing: "depth" and "30 in"
	Say    string       `json:"say"`    // the reason, added to the sentence
}

// Field is one value that was typed.
type Field struct{ Key, Text string }

func (g Gesture) field(key string) string {
	for _, f := range g.Fields {
		if f.Key == key {
			return strings.TrimSpace(f.Text)
		}
	}
	return ""
}

// Edits returns the edits that a gesture makes, each with the one sentence of
// the gesture.
func (d *Desk) Edits(g Gesture) ([]site.Edit, error) {
	var out []site.Edit
	var say string
	var err error
	switch g.Op {
	case "move":
		out, say, err = d.move(g)
	case "point":
		out, say, err = d.point(g)
	case "rod":
		out, say, err = d.rod(g)
	case "rods":
		out, say, err = d.rods(g)
	case "add":
		out, say, err = d.add(g)
	case "remove":
		out, say, err = d.remove(g)
	case "ring":
		out, say, err = d.ring(g)
	case "whip":
		out, say, err = d.whip(g)
	case "spots":
		out, say, err = d.spots(g)
	case "whips":
		out, say, err = d.whips(g)
	case "limit":
		out, say, err = d.limit(g)
	case "run":
		out, say, err = d.drawRun(g)
	case "run-corner":
		out, say, err = d.corner(g)
	case "run-pull":
		out, say, err = d.pullPoint(g)
	case "run-fitting":
		out, say, err = d.fitting(g)
	case "run-size":
		out, say, err = d.pointSized(g)
	case "run-way":
		out, say, err = d.wayTaken(g)
	case "set":
		out, say = []site.Edit{{Path: g.Path, Old: d.Get(g.Path), New: g.Text}}, fmt.Sprintf("%s: %s", strings.ReplaceAll(g.Path, ".", ", "), orNone(g.Text))
	case "price":
		out, say, err = d.price(g.ID, g.Text)
	default:
		err = problem("reload the page", "no gesture is named %q", g.Op)
	}
	if err != nil {
		return nil, err
	}
	if g.Say != "" {
		say += ": " + g.Say
	}
	for i := range out {
		out[i].Sentence = say
	}
	return out, nil
}

func orNone(s string) string {
	if s == "" {
		return "taken out"
	}
	return s
}

// quoted returns a key as a step of a path.
func step(key string) string {
	if strings.ContainsAny(key, ".[]\"") {
		return strconv.Quote(key)
	}
	return key
}

// grid returns the length of the document's grid, 0 where it has none.
func (d *Desk) grid() float64 {
	switch strings.TrimSpace(d.Get("grid")) {
	case "ft":
		return float64(unit.Foot)
	case "m":
		return 1
	}
	return 0
}

// coordinates writes lengths as the document writes points, to a
// ten-thousandth of its grid, which is finer than any tape.
func (d *Desk) coordinates(vs ...float64) string {
	g := d.grid()
	out := make([]string, len(vs))
	for i, v := range vs {
		if g == 0 {
			out[i] = unit.Trim(v, 4) + " m"
			continue
		}
		out[i] = unit.Trim(v/g, 4)
	}
	return "[" + strings.Join(out, ", ") + "]"
}

// place writes a point on the ground.
func (d *Desk) place(p geom.Point) string { return d.coordinates(p.X, p.Y) }

func (d *Desk) places(ps []geom.Point) string {
	var out []string
	for _, p := range ps {
		out = append(out, d.place(p))
	}
	return "[" + strings.Join(out, ", ") + "]"
}

func (d *Desk) object(id string) *site.Object {
	s := d.res.Document.Site
	for i := range s.Objects {
		if s.Objects[i].ID == id {
			return &s.Objects[i]
		}
	}
	return nil
}

// words says a way on the ground: 2'-0" east, 1'-6" south.
func (d *Desk) words(by geom.Point) string {
	u := d.res.Document.Site.Units
	var out []string
	say := func(v float64, plus, minus string) {
		if math.Abs(v) < 5e-4 {
			return
		}
		word := plus
		if v < 0 {
			word = minus
		}
		out = append(out, u.Length(unit.Metre(math.Abs(v)))+" "+word)
	}
	say(by.X, "east", "west")
	say(by.Y, "north", "south")
	if len(out) == 0 {
		return "nowhere"
	}
	return strings.Join(out, ", ")
}

// List is one list of places that an object is drawn by.
type list struct {
	key    string
	single bool
	pts    []geom.Point
}

func listsOf(o *site.Object) []list {
	var out []list
	add := func(key string, pts []geom.Point) {
		if len(pts) > 0 {
			out = append(out, list{key, false, pts})
		}
	}
	add("corners", o.Outline)
	add("path", o.Path)
	add("legs", o.Legs)
	add("lugs", o.Lugs)
	add("taps", o.Taps)
	if o.HasAt {
		out = append(out, list{"at", true, []geom.Point{o.At}})
	}
	for i, g := range o.Gates {
		out = append(out, list{fmt.Sprintf("gates[%d].from", i), true, []geom.Point{g.From}}, list{fmt.Sprintf("gates[%d].to", i), true, []geom.Point{g.To}})
	}
	for i, g := range o.Openings {
		out = append(out, list{fmt.Sprintf("openings[%d].at", i), true, []geom.Point{g.At}})
	}
	if len(o.Posts.Line) > 0 {
		add("posts.at", o.Posts.Line)
	}
	return out
}

func (d *Desk) move(g Gesture) ([]site.Edit, string, error) {
	o := d.object(g.ID)
	if o == nil {
		return nil, "", problem("pick it in the list", "there is no object %q", g.ID)
	}
	by := geom.Point{X: g.By[0], Y: g.By[1]}
	if !by.Finite() || by.Norm() < 5e-4 {
		return nil, "", problem("type how far, for instance 2'-0\"", "%s would not move", g.ID)
	}
	var out []site.Edit
	for _, l := range listsOf(o) {
		for i, p := range l.pts {
			path := "objects." + step(g.ID) + "." + l.key
			if !l.single {
				path += fmt.Sprintf("[%d]", i)
			}
			out = append(out, site.Edit{Path: path, Old: d.Get(path), New: d.place(p.Add(by))})
		}
	}
	return out, fmt.Sprintf("move %s %s", rule.Words(o), d.words(by)), nil
}

// point moves one corner, leg or lug of an object to a place.
func (d *Desk) point(g Gesture) ([]site.Edit, string, error) {
	old := d.Get(g.Path)
	if old == "" {
		return nil, "", problem("pick it in the list", "nothing stands at %s", g.Path)
	}
	parts := strings.SplitN(g.Path, ".", 3)
	at := geom.Point{X: g.At[0], Y: g.At[1]}
	to := d.place(at)
	if id, i, is := corner(g.Path); is {
		if o := d.object(id); o != nil && i < len(o.Outline) {
			next := slices.Clone(o.Outline)
			next[i] = at
			if err := d.closed(next, id, "move another corner first, or take it less far"); err != nil {
				return nil, "", err
			}
		}
	}
	return []site.Edit{{Path: g.Path, Old: old, New: to}}, fmt.Sprintf("move %s to %s", spoken(parts[1:]), to), nil
}

// corner reads the path of one corner of a thing with an outline.
func corner(path string) (id string, i int, is bool) {
	rest, ok := strings.CutPrefix(path, "objects.")
	id, n, has := strings.Cut(rest, ".corners[")
	i, err := strconv.Atoi(strings.TrimSuffix(n, "]"))
	return id, i, ok && has && err == nil && i >= 0
}

// closed refuses an outline that the document would not take: a thing whose
// sides cross could neither be drawn nor be taken hold of again.
func (d *Desk) closed(ps geom.Outline, what, mend string) error {
	what = strings.ReplaceAll(what, "-", " ")
	for _, s := range ps.Sides() {
		if s.A.Near(s.B) {
			return problem(mend, "two corners of %s would stand in one place", what)
		}
	}
	if q, bad := ps.CrossesItself(); bad {
		u := d.res.Document.Site.Units
		return problem(mend, "the outline of %s would cross itself at %s east, %s north", what, u.Length(unit.Metre(q.X)), u.Length(unit.Metre(q.Y)))
	}
	return nil
}

// spoken says the steps of a path in words, counting from one: "fence corner 2".
func spoken(parts []string) string {
	name := strings.ReplaceAll(strings.Join(parts, " "), "-", " ")
	if i := strings.LastIndexByte(name, '['); i > 0 && strings.HasSuffix(name, "]") {
		if n, err := strconv.Atoi(name[i+1 : len(name)-1]); err == nil {
			name = fmt.Sprintf("%s %d", strings.TrimSuffix(name[:i], "s"), n+1)
		}
	}
	return name
}

// rod moves a rod to the nearest place on the ring, or adds one there. Rods
// that a rule places (at the corners, in the middles, by spacing) are written
// out one by one first, since one of them no longer follows the rule.
func (d *Desk) rod(g Gesture) ([]site.Edit, string, error) {
	p, s := d.res.Plan, d.res.Document.Site
	if p.Ring == nil {
		return nil, "", problem("lay a ring first", "a rod stands on the ring, and there is none")
	}
	q, _, _ := p.Ring.Nearest(geom.Point{X: g.At[0], Y: g.At[1]})
	if g.ID == "" {
		if s.Ground.Rods == nil {
			if g.field("diameter") == "" || g.field("length") == "" {
				return nil, "", problem("type the rod's diameter and length", "the document names no rod yet")
			}
			text := "diameter: " + g.field("diameter") + "\nlength: " + g.field("length") + "\nplaces:\n  - " + d.place(q)
			return []site.Edit{{Path: "ground.rods", Old: d.Get("ground.rods"), New: text}}, "add a rod at " + d.place(q), nil
		}
		n := len(s.Ground.Rods.Places)
		return []site.Edit{{Path: fmt.Sprintf("ground.rods.places[%d]", n), New: d.place(q)}}, "add a rod at " + d.place(q), nil
	}
	r := p.RodByID(g.ID)
	if r == nil {
		return nil, "", problem("pick it in the list", "there is no rod %s", g.ID)
	}
	if r.Radial {
		return nil, "", problem("change the radial's length instead", "rod %s stands at the end of a radial", g.ID)
	}
	say := fmt.Sprintf("move rod %s %s along the ring", g.ID, d.words(q.Sub(r.At)))
	out, err := d.standing(r, &q)
	return out, say, err
}

// standing writes the place of one rod into the entry that places it: moved to
// a place, or taken out without one. What a rule placed beside it stays where
// it is, each rod for itself: the first takes the rule's entry, the rest go to
// the end.
func (d *Desk) standing(r *plan.Rod, to *geom.Point) ([]site.Edit, error) {
	places := d.res.Document.Site.Ground.Rods.Places
	for i, pl := range places {
		if pl.Span.Line != r.Span.Line || pl.Span.Col != r.Span.Col {
			continue
		}
		path := fmt.Sprintf("ground.rods.places[%d]", i)
		e := site.Edit{Path: path, Old: d.Get(path)}
		var out []site.Edit
		at := len(places)
		for _, other := range d.res.Plan.Rods {
			if other.Span.Line != r.Span.Line || other.Span.Col != r.Span.Col {
				continue
			}
			if other.ID == r.ID {
				if to == nil {
					continue
				}
				other.At = *to
			}
			e.New = d.place(other.At)
			out = append(out, e)
			e = site.Edit{Path: fmt.Sprintf("ground.rods.places[%d]", at)}
			at++
		}
		if len(out) == 0 {
			out = append(out, e)
		}
		return out, nil
	}
	return nil, problem("move it in the document", "it is not known which entry places rod %s", r.ID)
}

// rods asks for rods by a rule: at the corners of the ring, in the middles of
// its sides, or by spacing.
func (d *Desk) rods(g Gesture) ([]site.Edit, string, error) {
	entry, say := "", ""
	switch g.Text {
	case "corners":
		entry, say = "corners", "rods at the corners of the ring"
	case "mids":
		entry, say = "mids", "rods in the middle of each side of the ring"
	case "spacing":
		if g.field("spacing") == "" {
			return nil, "", problem("type it, for instance 16 ft", "the rods need their spacing")
		}
		entry, say = "spacing: "+g.field("spacing"), "rods along the ring, at most "+g.field("spacing")+" apart"
	default:
		return nil, "", problem("pick corners, middles or a spacing", "no rule is named %q", g.Text)
	}
	if d.res.Plan.Ring == nil {
		return nil, "", problem("lay a ring first", "rods stand on the ring, and there is none")
	}
	r := d.res.Document.Site.Ground.Rods
	if r == nil {
		if g.field("diameter") == "" || g.field("length") == "" {
			return nil, "", problem("type the rod's diameter and length", "the document names no rod yet")
		}
		text := "diameter: " + g.field("diameter") + "\nlength: " + g.field("length") + "\nplaces:\n  - " + entry
		return []site.Edit{{Path: "ground.rods", Old: d.Get("ground.rods"), New: text}}, "add " + say, nil
	}
	return []site.Edit{{Path: fmt.Sprintf("ground.rods.places[%d]", len(r.Places)), New: entry}}, "add " + say, nil
}

// shapes of the things that can be drawn.
var drawn = map[string]string{
	"pad": "corners", "platform": "corners", "shelter": "corners", "generator": "corners", "fence": "corners", "equipment": "corners",
	"frame": "legs", "bar": "lugs", "service": "lugs", "tower": "at", "mast": "at", "handhole": "at", "box": "at",
	"wall": "path", "trench": "path", "utility": "path", "post": "legs", "gate": "gate", "other": "corners", "there": "corners",
}

func (d *Desk) add(g Gesture) ([]site.Edit, string, error) {
	shape, ok := drawn[g.Kind]
	if !ok {
		return nil, "", problem("pick one of the nouns", "nothing is called %q here", g.Kind)
	}
	var ps []geom.Point
	for _, q := range g.Places {
		ps = append(ps, geom.Point{X: q[0], Y: q[1]})
	}
	need := map[string]int{"corners": 2, "path": 2, "legs": 1, "lugs": 1, "at": 1, "gate": 2}[shape]
	if len(ps) < need {
		return nil, "", problem("tap "+map[int]string{1: "one place", 2: "two places"}[need]+" on the sketch", "a %s needs a place", g.Kind)
	}
	if shape == "gate" {
		return d.gate(g, ps)
	}
	if shape == "corners" && len(ps) == 2 {
		a, b := ps[0], ps[1]
		if math.Abs(a.X-b.X) < 0.01 || math.Abs(a.Y-b.Y) < 0.01 {
			return nil, "", problem("tap two opposite corners", "a %s without width", g.Kind)
		}
		ps = []geom.Point{{X: min(a.X, b.X), Y: min(a.Y, b.Y)}, {X: max(a.X, b.X), Y: min(a.Y, b.Y)}, {X: max(a.X, b.X), Y: max(a.Y, b.Y)}, {X: min(a.X, b.X), Y: max(a.Y, b.Y)}}
	}
	if shape == "corners" {
		if err := d.closed(ps, "the "+g.Kind, "tap its corners in order around it"); err != nil {
			return nil, "", err
		}
	}
	kind := g.Kind
	id := g.field("id")
	if id == "" {
		id = g.Kind
	}
	switch kind {
	case "post":
		kind = "frame"
	case "there": // a ring that is in the ground already
		kind = "ring"
		if g.field("id") == "" {
			id = "old ring"
		}
	}
	name := strings.Join(strings.Fields(id), " ")
	id = strings.ToLower(strings.ReplaceAll(name, " ", "-"))
	for n, base, said := 2, id, name; d.object(id) != nil; n++ {
		id, name = fmt.Sprintf("%s-%d", base, n), fmt.Sprintf("%s %d", said, n)
	}
	lines := []string{"kind: " + kind}
	if g.field("id") != "" && name != strings.ReplaceAll(id, "-", " ") { // else its id says it
		lines = append(lines, "name: "+written(name))
	}
	if g.Kind == "there" {
		lines = append(lines, "existing: told only")
	}
	if shape == "at" {
		lines = append(lines, "at: "+d.place(ps[0]))
	} else {
		lines = append(lines, shape+": "+d.places(ps))
	}
	// A key of two steps, as in posts.spacing, is a line of a map within.
	within := map[string]int{}
	for _, f := range g.Fields {
		if f.Key == "id" || f.Text == "" {
			continue
		}
		outer, inner, two := strings.Cut(f.Key, ".")
		if !two {
			lines = append(lines, f.Key+": "+f.Text)
			continue
		}
		if at, has := within[outer]; has {
			lines[at] += "\n  " + inner + ": " + f.Text
			continue
		}
		within[outer] = len(lines)
		lines = append(lines, outer+":\n  "+inner+": "+f.Text)
	}
	text := strings.Join(lines, "\n")
	e := site.Edit{Path: "objects." + step(id), New: text}
	if d.Get("objects") == "" {
		e = site.Edit{Path: "objects", New: step(id) + ":\n  " + strings.ReplaceAll(text, "\n", "\n  ")}
	}
	return []site.Edit{e}, fmt.Sprintf("add %s %s at %s", g.Kind, strings.ReplaceAll(id, "-", " "), d.place(ps[0])), nil
}

// gate opens a fence between two places, each taken to the fence line.
func (d *Desk) gate(g Gesture, ps []geom.Point) ([]site.Edit, string, error) {
	best, id := math.Inf(1), ""
	var from, to geom.Point
	s := d.res.Document.Site
	for i := range s.Objects {
		o := &s.Objects[i]
		if o.Kind != site.Fence {
			continue
		}
		for _, side := range o.Outline.Sides() {
			a, _ := side.Nearest(ps[0])
			b, _ := side.Nearest(ps[1])
			if m := a.Dist(ps[0]) + b.Dist(ps[1]); m < best {
				best, id, from, to = m, o.ID, a, b
			}
		}
	}
	if id == "" {
		return nil, "", problem("draw the fence first", "a gate stands in a fence, and there is none")
	}
	for _, old := range d.object(id).Gates {
		w := old.To.Sub(old.From)
		along := func(p geom.Point) float64 { return p.Sub(old.From).Dot(w.Unit()) }
		a, b := along(from), along(to)
		if math.Abs(w.Unit().Cross(from.Sub(old.From)))+math.Abs(w.Unit().Cross(to.Sub(old.From))) < 0.02 && max(a, b) > 0.01 && min(a, b) < w.Norm()-0.01 {
			return nil, "", problem("pick the gate in the list to change it or to remove it", "a gate stands there already")
		}
	}
	path := "objects." + step(id) + ".gates"
	n := len(d.object(id).Gates)
	leaves := g.field("leaves")
	if leaves == "" {
		leaves = "1"
	}
	text := "from: " + d.place(from) + "\nto: " + d.place(to) + "\nleaves: " + leaves
	e := site.Edit{Path: fmt.Sprintf("%s[%d]", path, n), New: text}
	if n == 0 {
		e = site.Edit{Path: path, New: "- " + strings.ReplaceAll(text, "\n", "\n  ")}
	}
	return []site.Edit{e}, fmt.Sprintf("add a gate of %s to %s", s.Units.Length(unit.Metre(from.Dist(to))), strings.ReplaceAll(id, "-", " ")), nil
}

// gateID names a gate in the list of things: no object has a blank in its id.
func gateID(o *site.Object, k int) string { return fmt.Sprintf("%s gate %d", o.ID, k+1) }

func (d *Desk) gateOf(id string) (o *site.Object, k int, is bool) {
	for i := range d.res.Document.Site.Objects {
		o := &d.res.Document.Site.Objects[i]
		for k := range o.Gates {
			if gateID(o, k) == id {
				return o, k, true
			}
		}
	}
	return nil, 0, false
}

// noGate takes a gate out; with the last one of a fence go the whips to its
// gate posts and its jumpers.
func (d *Desk) noGate(o *site.Object, k int) ([]site.Edit, string) {
	path := "objects." + step(o.ID) + ".gates"
	say := "remove gate " + strconv.Itoa(k+1) + " of " + rule.Words(o)
	if len(o.Gates) > 1 {
		p := fmt.Sprintf("%s[%d]", path, k)
		return []site.Edit{{Path: p, Old: d.Get(p)}}, say
	}
	var out []site.Edit
	ground := d.res.Document.Site.Ground
	for i := len(ground.Jumpers) - 1; i >= 0; i-- {
		if ground.Jumpers[i].Object == o.ID {
			out = d.without(out, "ground.jumpers", i, len(ground.Jumpers))
		}
	}
	for i := len(ground.Whips) - 1; i >= 0; i-- {
		if w := ground.Whips[i]; w.Object == o.ID && strings.HasSuffix(d.Get(fmt.Sprintf("ground.whips[%d].to", i)), "gate posts") {
			out = d.without(out, "ground.whips", i, len(ground.Whips))
		}
	}
	return append(out, site.Edit{Path: path, Old: d.Get(path)}), say
}

// without adds the edit that takes one entry out of a list of n, and the list
// with it where it was the only one.
func (d *Desk) without(out []site.Edit, list string, i, n int) []site.Edit {
	p := fmt.Sprintf("%s[%d]", list, i)
	if n == 1 {
		p = list
	}
	return append(out, site.Edit{Path: p, Old: d.Get(p)})
}

// remove takes an object out, with the whips that go to it.
func (d *Desk) remove(g Gesture) ([]site.Edit, string, error) {
	s := d.res.Document.Site
	if r := d.res.Plan.RodByID(g.ID); r != nil {
		if r.Radial {
			return nil, "", problem("take the radial out instead", "rod %s stands at the end of a radial", g.ID)
		}
		out, err := d.standing(r, nil)
		return out, "remove rod " + g.ID, err
	}
	if g.ID == "ring" && d.Get("ground.ring") != "" {
		return []site.Edit{{Path: "ground", Old: d.Get("ground")}}, "remove the ring with its rods and whips", nil
	}
	if o, k, is := d.gateOf(g.ID); is {
		out, say := d.noGate(o, k)
		return out, say, nil
	}
	o := d.object(g.ID)
	if o == nil {
		return nil, "", problem("pick it in the list", "there is no object %q", g.ID)
	}
	path := "objects." + step(g.ID)
	var out []site.Edit
	for i := len(s.Ground.Whips) - 1; i >= 0; i-- {
		if s.Ground.Whips[i].Object == g.ID {
			p := fmt.Sprintf("ground.whips[%d]", i)
			out = append(out, site.Edit{Path: p, Old: d.Get(p)})
		}
	}
	say := "remove " + rule.Words(o)
	if len(out) > 0 {
		say += " and the whips to it"
	}
	return append(out, site.Edit{Path: path, Old: d.Get(path)}), say, nil
}

// ring lays the ring around or inside the things picked.
func (d *Desk) ring(g Gesture) ([]site.Edit, string, error) {
	if len(g.IDs) == 0 {
		return nil, "", problem("pick the fence, or the things it goes around", "a ring around nothing")
	}
	for _, id := range g.IDs {
		if d.object(id) == nil {
			return nil, "", problem("pick the fence, or the things it goes around", "a ring does not go around %s", id)
		}
	}
	var fields []string
	var where string
	dist, depth := g.field("distance"), g.field("depth")
	if dist == "" || depth == "" {
		return nil, "", problem("type both, for instance "+d.like("2 ft and 30 in", "0.6 m and 760 mm"), "the ring needs its distance and its depth")
	}
	if o := d.object(g.IDs[0]); len(g.IDs) == 1 && o != nil && o.Kind == site.Fence {
		fields, where = append(fields, "inside: "+g.IDs[0]), "inside "+rule.Words(o)
	} else {
		fields, where = append(fields, "around: ["+strings.Join(g.IDs, ", ")+"]"), "around "+strings.ReplaceAll(strings.Join(g.IDs, ", "), "-", " ")
	}
	fields = append(fields, "distance: "+dist, "depth: "+depth)
	if c := g.field("corner-radius"); c != "" {
		fields = append(fields, "corner-radius: "+c)
	} else if c := d.Get("ground.ring.corner-radius"); c != "" {
		fields = append(fields, "corner-radius: "+c)
	}
	ring := strings.Join(fields, "\n")
	say := fmt.Sprintf("ring %s at %s, %s deep", where, dist, depth)
	if d.Get("ground") == "" {
		c := g.field("conductor")
		if c == "" {
			return nil, "", problem("type it, for instance 2 AWG solid tinned copper", "the document names no ground conductor")
		}
		text := "conductor: " + c + "\nstub-up: " + g.field("stub-up") + "\nring:\n  " + strings.ReplaceAll(ring, "\n", "\n  ")
		if g.field("stub-up") == "" {
			text = strings.Replace(text, "stub-up: \n", "", 1)
		}
		return []site.Edit{{Path: "ground", New: text}}, say, nil
	}
	return []site.Edit{{Path: "ground.ring", Old: d.Get("ground.ring"), New: ring}}, say, nil
}

// whip asks for whips by a phrase: "fence corner posts".
func (d *Desk) whip(g Gesture) ([]site.Edit, string, error) {
	end := g.field("end")
	if g.Text == "" || !slices.Contains([]string{"pipe", "flat", "lug", "tap"}, end) {
		return nil, "", problem("say to what, and how its upper end is joined", "a whip without an end")
	}
	if d.Get("ground") == "" {
		return nil, "", problem("lay a ring first", "a whip starts at the ring, and there is none")
	}
	out, err := d.stubUp(g, end != "tap")
	if err != nil {
		return nil, "", err
	}
	text := "to: " + g.Text + "\nend: " + end
	n := len(d.res.Document.Site.Ground.Whips)
	e := site.Edit{Path: fmt.Sprintf("ground.whips[%d]", n), New: text}
	if n == 0 {
		e = site.Edit{Path: "ground.whips", Old: d.Get("ground.whips"), New: "- " + strings.ReplaceAll(text, "\n", "\n  ")}
	}
	return append(out, e), fmt.Sprintf("whips to %s, %s ends", g.Text, end), nil
}

// stubUp writes how much of a whip stands above grade, where the document does
// not say it yet and a whip ends there.
func (d *Desk) stubUp(g Gesture, ends bool) ([]site.Edit, error) {
	if !ends || d.Get("ground.stub-up") != "" {
		return nil, nil
	}
	text := g.field("stub-up")
	if text == "" {
		return nil, problem("type the stub-up: how much of a whip stands above grade, for instance "+d.like("18 in", "450 mm"), "no whip says yet how far it stands out of the ground")
	}
	return []site.Edit{{Path: "ground.stub-up", New: text}}, nil
}

// like picks the example in the units of the site.
func (d *Desk) like(us, si string) string {
	if d.res.Document.Site.Units == unit.SI {
		return si
	}
	return us
}

// spots adds places to one of the lists of an object: lugs, legs or taps.
func (d *Desk) spots(g Gesture) ([]site.Edit, string, error) {
	o := d.object(g.ID)
	if o == nil {
		return nil, "", problem("pick it in the list", "there is no object %q", g.ID)
	}
	var have []geom.Point
	switch g.Kind {
	case "lugs":
		have = o.Lugs
	case "legs":
		have = o.Legs
	case "taps":
		have = o.Taps
	default:
		return nil, "", problem("pick lugs, legs or taps", "nothing is called %q here", g.Kind)
	}
	if len(g.Places) == 0 {
		return nil, "", problem("tap one on the sketch", "no place for the %s", g.Kind)
	}
	all := slices.Clone(have)
	for _, p := range g.Places {
		all = append(all, geom.Point{X: p[0], Y: p[1]})
	}
	path := "objects." + step(g.ID) + "." + g.Kind
	say := fmt.Sprintf("%d %s on %s", len(g.Places), g.Kind, rule.Words(o))
	if len(g.Places) == 1 {
		say = "a " + strings.TrimSuffix(g.Kind, "s") + " on " + rule.Words(o)
	}
	return []site.Edit{{Path: path, Old: d.Get(path), New: d.places(all)}}, say, nil
}

// whips asks for a whip to everything that takes one and has none yet: posts
// of a fence at its corners and gates, corners of metal that is to be bonded,
// legs, lugs, and the taps of a ring that is there.
func (d *Desk) whips(g Gesture) ([]site.Edit, string, error) {
	s := d.res.Document.Site
	if d.res.Plan.Ring == nil {
		return nil, "", problem("lay a ring first", "a whip starts at the ring, and there is none")
	}
	has := map[string]bool{}
	for _, w := range s.Ground.Whips {
		has[w.Object] = true
	}
	var texts, gates []string
	above := false
	add := func(id, which, end string) {
		texts = append(texts, "to: "+id+" "+which+"\nend: "+end)
		above = above || end != "tap"
	}
	for i := range s.Objects {
		o := &s.Objects[i]
		if len(o.Gates) > 0 && !slices.ContainsFunc(s.Ground.Jumpers, func(j site.JumperRule) bool { return j.Object == o.ID }) {
			gates = append(gates, "gates of: "+o.ID)
		}
	}
	for i := range s.Objects {
		o := &s.Objects[i]
		if has[o.ID] || o.Existing == site.Abandoned || o.Existing == site.Removed {
			continue
		}
		switch {
		case o.Kind == site.Fence:
			add(o.ID, "corner posts", "pipe")
			if len(o.Gates) > 0 {
				add(o.ID, "gate posts", "pipe")
			}
		case len(o.Taps) > 0:
			add(o.ID, "taps", "tap")
		case len(o.Lugs) > 0:
			add(o.ID, "lugs", "lug")
		case len(o.Legs) > 0:
			add(o.ID, "legs", "pipe")
		case len(o.Outline) > 0 && o.Steel:
			add(o.ID, "corners", "flat")
		}
	}
	if len(texts)+len(gates) == 0 {
		return nil, "", problem("draw a fence, lugs or legs first, or write one whip by its words", "nothing is without a whip")
	}
	out, err := d.stubUp(g, above)
	if err != nil {
		return nil, "", err
	}
	list := func(path string, n int, texts []string) {
		if n == 0 && len(texts) > 0 {
			out = append(out, site.Edit{Path: path, Old: d.Get(path), New: listText(texts)})
			return
		}
		for i, t := range texts {
			out = append(out, site.Edit{Path: fmt.Sprintf("%s[%d]", path, n+i), New: t})
		}
	}
	list("ground.whips", len(s.Ground.Whips), texts)
	list("ground.jumpers", len(s.Ground.Jumpers), gates)
	var said []string
	if len(texts) > 0 {
		said = append(said, fmt.Sprintf("whips to every post, corner, leg, lug and tap: %d kinds", len(texts)))
	}
	if len(gates) > 0 {
		said = append(said, "flexible jumpers over the gates")
	}
	return out, strings.Join(said, "; "), nil
}

// limit sets the owner's limit of resistance.
func (d *Desk) limit(g Gesture) ([]site.Edit, string, error) {
	if _, err := unit.Parse(g.Text, unit.Resistance); err != nil {
		return nil, "", problem("write it like 5 ohm", "%q is no resistance", g.Text)
	}
	say := "the owner's limit is " + g.Text
	for i, r := range d.res.Document.Site.Owner.Rules {
		if r.Key == "resistance-limit" {
			p := fmt.Sprintf("owner.rules[%d].resistance-limit", i)
			return []site.Edit{{Path: p, Old: d.Get(p), New: g.Text}}, say, nil
		}
	}
	text := "resistance-limit: " + g.Text + "\nsource: entered on the page; put the section of the owner's standard here"
	switch n := len(d.res.Document.Site.Owner.Rules); {
	case d.Get("owner") == "":
		return []site.Edit{{Path: "owner", New: "rules:\n  - " + strings.ReplaceAll(text, "\n", "\n    ")}}, say, nil
	case n == 0:
		return []site.Edit{{Path: "owner.rules", Old: d.Get("owner.rules"), New: "- " + strings.ReplaceAll(text, "\n", "\n  ")}}, say, nil
	default:
		return []site.Edit{{Path: fmt.Sprintf("owner.rules[%d]", n), New: text}}, say, nil
	}
}
