package site

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"stubup/base/diag"
	"stubup/base/geom"
	"stubup/base/trace"
	"stubup/base/unit"
)

func (d *decoder) document(root *node) {
	f, _ := d.fields(root, "", "document")
	s := d.site
	d.objects, d.spoken, d.called, d.runs = map[string]int{}, map[string]string{}, map[string]string{}, map[string]bool{}
	if n := f.node("format"); n != nil {
		t := strings.TrimSpace(d.text(n, "format"))
		v, err := strconv.Atoi(t)
		switch {
		case n.kind != scalar:
		case err != nil || v < 1:
			d.fault(diag.WordUnknown, n, "format", quote(t)+" is not a format", fmt.Sprintf("write \"format: %d\"", Format))
		case v > Format:
			d.fault(diag.FormatNew, n, "format", fmt.Sprintf("the document is in format %d; this program reads up to %d", v, Format), "use a newer program; what can be read is still read")
		}
	}
	switch f.word("grid", "ft", "m") {
	case "ft":
		d.grid = unit.Foot
	case "m":
		d.grid = 1
	}
	d.gridSet = f.has("grid")
	s.Name, s.Revision, s.By = f.text("name"), f.text("revision"), f.text("by")
	if f.word("units", "us", "si") == "si" {
		s.Units = unit.SI
	}
	d.governs(f)
	d.adopted(f)
	d.owner(f)
	d.soil(f)
	f.named("objects", "id", d.object1)
	d.ground(f)
	f.named("runs", "id", d.run)
	d.benders(f)
	d.state(f)
	d.tests(f)
	d.continuity(f)
	d.groundFault(f)
	d.transfer(f)
	f.named("feeders", "id", d.feeder)
	d.supplies(f)
	f.named("prices", "item", d.price)
	f.named("hours", "work", d.hours)
	f.each("waivers", func(_ int, n *node, path string) {
		if w, ok := d.fields(n, path, "waivers[]"); ok {
			s.Waivers = append(s.Waivers, Waiver{Span: d.place(n, path), Rule: w.text("rule"), Who: w.text("who"), Why: w.text("why"), Authority: w.text("authority")})
		}
	})
	d.numbers(f)
	for _, check := range d.later {
		check()
	}
}

func (d *decoder) governs(top *fields) {
	n := top.node("governs")
	f, ok := d.fields(n, "governs", "governs")
	if !ok {
		return
	}
	d.site.Governs = Governs{
		Span: d.place(top.key("governs"), "governs"), Work: f.word("work", "nfpa-70", "nesc", "other"),
		Boundary: f.outline("boundary", "the boundary"), Note: f.text("note"),
	}
}

func (d *decoder) adopted(top *fields) {
	seen := map[string]bool{}
	top.each("adopted", func(_ int, n *node, path string) {
		t := strings.Join(strings.Fields(d.text(n, path)), " ")
		if n.kind != scalar {
			return
		}
		id, edition, _ := strings.Cut(t, " ")
		if !slices.Contains(Works, strings.ToLower(id)) {
			mend := "use one of: " + some(Works)
			if near, ok := nearest(id, Works); ok {
				mend = "write " + quote(near)
			}
			d.part(diag.WordUnknown, n, path, 0, len(id), quote(id)+" is not a work that is known here", mend)
			return
		}
		id = strings.ToLower(id)
		if seen[id] {
			d.fault(diag.Twice, n, path, quote(id)+" is adopted twice", "keep one of them: one site stands under one edition")
			return
		}
		seen[id] = true
		d.site.Adopted = append(d.site.Adopted, Work{Span: d.place(n, path), ID: id, Edition: edition})
	})
}

func (d *decoder) owner(top *fields) {
	f, ok := d.fields(top.node("owner"), "owner", "owner")
	if !ok {
		return
	}
	p := &d.site.Owner
	p.Span, p.Name = d.place(top.key("owner"), "owner"), f.text("name")
	f.each("rules", func(_ int, n *node, path string) {
		r, ok := d.fields(n, path, "owner.rules[]")
		if !ok {
			return
		}
		var keys []string
		for _, k := range OwnerKeys {
			if r.has(k) {
				keys = append(keys, k)
			}
		}
		if len(keys) != 1 {
			what, mend := "no rule is named here", "add one of: "+some(OwnerKeys)
			if len(keys) > 1 {
				what, mend = "two rules stand in one entry: "+some(keys), "give each an entry and a source of its own"
			}
			d.faultAt(diag.WrongShape, n.from, d.lineEnd(d.lineOf(n.from)), path, what, mend)
			return
		}
		key := keys[0]
		o := OwnerRule{Span: d.place(n, path), Key: key, Service: r.word("service", Services...), Source: r.text("source")}
		v, vp := r.node(key), r.at(key)
		o.Words = r.text(key)
		before := len(d.diags)
		switch key {
		case "resistance-limit":
			o.Ohms = quantity[unit.Ohm](d, v, vp, limitOhms)
		case "ring-depth":
			o.Length = quantity[unit.Metre](d, v, vp, ringDepth)
		case "run-length":
			o.Length = quantity[unit.Metre](d, v, vp, runLen)
		case "ring-clearance", "rod-spacing":
			o.Length = quantity[unit.Metre](d, v, vp, smallLen)
		case "bend-sum":
			o.Angle = quantity[unit.Degree](d, v, vp, sumAngle)
		case "dry-before-test":
			o.Time = quantity[unit.Second](d, v, vp, waitTime)
		case "margin":
			q := quantity[unit.Ratio](d, v, vp, share)
			o.Number = float64(q.SI)
		case "bend-radius":
			if _, err := strconv.ParseFloat(o.Words, 64); err == nil {
				o.Number, _ = d.number(v, vp, 1, 1000)
			} else {
				o.Length = quantity[unit.Metre](d, v, vp, smallLen)
			}
		case "conduit-bodies", "splices":
			o.Words = map[int]string{1: "yes", 0: "no"}[r.maybe(key)]
		case "fence-bond":
			if words, every, ok := bondWords(o.Words); ok {
				o.Words, o.Number = words, float64(every)
			} else if strings.HasPrefix(strings.ToLower(o.Words), "every") {
				d.fault(diag.WordUnknown, v, vp, quote(o.Words)+" is not known here", "write \"every post\", \"every 5th post\", or a length such as \"25 ft\"")
			} else {
				o.Length = quantity[unit.Metre](d, v, vp, smallLen)
			}
		case "pull-boxes":
			o.Words = d.word(v, vp, []string{"straights only", "anywhere"})
		}
		if len(d.diags) == before {
			p.Rules = append(p.Rules, o)
		}
	})
}

// bondWords reads "every post" (1) and "every 5th post" (5).
func bondWords(s string) (words string, every int, ok bool) {
	w := strings.Fields(strings.ToLower(s))
	switch {
	case len(w) == 2 && w[0] == "every" && w[1] == "post":
		return "every post", 1, true
	case len(w) == 3 && w[0] == "every" && w[2] == "post":
		if n, ok := ordinal(w[1]); ok {
			return "every " + w[1] + " post", n, true
		}
	}
	return "", 0, false
}

func (d *decoder) soil(top *fields) {
	s := &d.site.Soil
	s.Standing = trace.Assumed
	f, ok := d.fields(top.node("soil"), "soil", "soil")
	if !ok {
		return
	}
	s.Span = d.place(top.key("soil"), "soil")
	ln := f.node("layers")
	f.each("layers", func(i int, n *node, path string) {
		l, ok := d.fields(n, path, "soil.layers[]")
		if !ok {
			return
		}
		y := Layer{Span: d.place(n, path), Resistivity: quantity[unit.OhmMetre](d, l.node("resistivity"), l.at("resistivity"), layerRho), Thickness: l.length("thickness", layerDepth)}
		last := i == len(ln.items)-1
		switch {
		case last && l.has("thickness"):
			d.warn(diag.Contradiction, l.node("thickness"), l.at("thickness"), "the last layer has a thickness", "take it out, or add the layer below it: the last one reaches down without end")
			y.Thickness = unit.Q[unit.Metre]{}
		case !last && !l.has("thickness"):
			l.missing("thickness", "; only the last layer has none", "add \"thickness: 5 ft\"")
		}
		s.Layers = append(s.Layers, y)
	})
	f.each("readings", func(_ int, n *node, path string) {
		if r, ok := d.fields(n, path, "soil.readings[]"); ok {
			s.Readings = append(s.Readings, Reading{
				Span: d.place(n, path), Line: r.text("line"), Spacing: r.length("spacing", pinSpace),
				Ohms: quantity[unit.Ohm](d, r.node("ohms"), r.at("ohms"), pinOhms),
			})
		}
	})
	if len(s.Layers) > 0 {
		s.Standing = trace.Entered
	}
	switch f.word("standing", "measured", "entered", "assumed") {
	case "measured":
		s.Standing = trace.Measured
	case "assumed":
		s.Standing = trace.Assumed
	}
	s.Source = f.text("source")
	s.Frost, s.Rock = f.length("frost", anyDepth), f.length("rock", layerDepth)
	d.seasons(f)
}

func kindWords() []string {
	out := make([]string, len(Kinds))
	for i, k := range Kinds {
		out[i] = string(k)
	}
	return out
}

// keysOfKind says which keys belong to some kinds of object only.
var keysOfKind = []struct {
	key   string
	kinds []Kind
}{
	{"posts", []Kind{Fence}},
	{"gates", []Kind{Fence}},
	{"over-1000-v", []Kind{Fence}},
	{"working-space", []Kind{Generator, Equipment, Service, Box}},
	{"taps", []Kind{OldRing, Other}},
	{"conductor", []Kind{OldRing, Other}},
	{"openings", []Kind{Wall, Shelter}},
	{"rated", []Kind{Wall, Shelter}},
	{"band", []Kind{Utility}},
}

func (d *decoder) object1(e entry, path string) {
	f, ok := d.fields(e.val, path, "objects.*")
	if !ok {
		if e.val.kind == null {
			d.faultAt(diag.WrongShape, e.from, e.to, path, quote(e.key)+" has nothing below it", "add its kind and its place")
		}
		return
	}
	f.from = e.from
	o := Object{Span: d.span(path, e.from, e.to), ID: e.key, Kind: Kind(f.word("kind", kindWords()...)), Name: f.text("name")}
	if o.Name == "" {
		o.Name = strings.ReplaceAll(e.key, "-", " ")
	}
	o.Existing = Existing(f.word("existing", string(SeenToday), string(ToldOnly), string(Abandoned), string(Removed)))
	what := "the outline of " + clip(e.key)
	o.Outline = f.outline("corners", what)
	o.At, o.HasAt = f.point("at")
	o.Path = f.polyline("path", "the path of "+clip(e.key))
	o.Height, o.Depth, o.Width = f.length("height", smallDia.upTo(300, "0 and 1,000 ft")), f.length("depth", anyDepth), f.length("width", smallLen)
	o.Size = d.size(f.node("size"), f.at("size"))
	o.Steel = f.yes("steel")
	o.Legs, o.Lugs, o.Taps = f.points("legs"), f.points("lugs"), f.points("taps")
	o.OD, o.Conductor = f.length("od", smallDia), f.conductor("conductor")
	o.Rated, o.Service, o.Band = f.yes("rated"), f.text("service"), f.length("band", smallLen)
	if v := f.maybe("over-1000-v"); v >= 0 {
		yes := v == 1
		o.Over1000V = &yes
	}
	for _, k := range keysOfKind {
		if o.Kind != "" && f.has(k.key) && !slices.Contains(k.kinds, o.Kind) {
			names := make([]string, len(k.kinds))
			for i, x := range k.kinds {
				names[i] = string(x)
			}
			d.fault(diag.KeyUnknown, f.key(k.key), f.at(k.key), fmt.Sprintf("%s does not belong to a %s", quote(k.key), o.Kind), "take it out, or make the kind one of: "+some(names))
		}
	}
	if w, ok := d.fields(f.node("working-space"), f.at("working-space"), "objects.*.working-space"); ok {
		o.Work = &WorkingSpace{
			Span: d.place(f.key("working-space"), f.at("working-space")), Faces: w.word("faces", "north", "south", "east", "west"),
			Volts: quantity[unit.Volt](d, w.node("volts-to-ground"), w.at("volts-to-ground"), lineVolts), Condition: w.count("condition", 1, 3),
		}
	}
	if p, ok := d.fields(f.node("posts"), f.at("posts"), "objects.*.posts"); ok {
		o.Posts = Posts{
			Corner: p.length("corner", smallDia), GatePost: p.length("gate", smallDia), LinePost: p.length("line", smallDia),
			Spacing: p.length("spacing", smallLen), Line: p.points("at"),
		}
		if p.has("spacing") && p.has("at") {
			d.fault(diag.Contradiction, p.key("at"), p.at("at"), "line posts are given both by spacing and by place", "keep one of the two")
		}
		d.onFence(o.Outline, p.node("at"), p.at("at"), o.Posts.Line)
	}
	f.each("gates", func(_ int, n *node, path string) {
		g, ok := d.fields(n, path, "objects.*.gates[]")
		if !ok {
			return
		}
		from, ok1 := g.point("from")
		to, ok2 := g.point("to")
		gate := Gate{Span: d.place(n, path), From: from, To: to, Leaves: g.count("leaves", 1, 2)}
		if gate.Leaves == 0 {
			gate.Leaves = 1
		}
		if !ok1 || !ok2 {
			return
		}
		if from.Near(to) {
			d.fault(diag.ZeroLength, g.node("to"), g.at("to"), "the gate has no width", "give its two posts two places")
			return
		}
		d.onFence(o.Outline, g.node("from"), g.at("from"), []geom.Point{from})
		d.onFence(o.Outline, g.node("to"), g.at("to"), []geom.Point{to})
		o.Gates = append(o.Gates, gate)
	})
	holes := map[string]bool{}
	f.each("openings", func(_ int, n *node, path string) {
		h, ok := d.fields(n, path, "objects.*.openings[]")
		if !ok {
			return
		}
		op := Opening{Span: d.place(n, path), ID: h.text("id"), Core: h.yes("core"), Z: h.length("z", signedLen), Size: h.length("size", smallLen)}
		op.At, _ = h.point("at")
		if holes[op.ID] && op.ID != "" {
			d.fault(diag.Twice, h.node("id"), h.at("id"), fmt.Sprintf("two openings of this wall are called %s", quote(op.ID)), "give one of them another name")
			return
		}
		holes[op.ID] = true
		o.Openings = append(o.Openings, op)
	})
	d.placed(f, &o)
	d.objects[e.key] = len(d.site.Objects)
	d.spoken[spoken(e.key)] = e.key
	if _, taken := d.called[spoken(o.Name)]; !taken {
		d.called[spoken(o.Name)] = e.key
	}
	d.site.Objects = append(d.site.Objects, o)
}

func (r reach) upTo(hi float64, bounds string) reach {
	r.hi, r.bounds = hi, bounds
	return r
}

// placed checks that an object has a place of the form its kind needs.
func (d *decoder) placed(f *fields, o *Object) {
	need := func(keys ...string) {
		for _, k := range keys {
			if f.has(k) {
				return
			}
		}
		f.missing(strings.Join(keys, "\" or \""), fmt.Sprintf(" for a %s", o.Kind), fmt.Sprintf("add \"%s: ..\" with its place", keys[0]))
	}
	switch o.Kind {
	case "":
	case Fence, Pad, Platform, Shelter:
		need("corners")
	case Trench, Utility:
		need("path")
	case OldRing:
		need("corners", "taps")
	case Wall:
		need("path", "corners")
	case Frame:
		need("legs", "corners", "at")
	case Generator, Equipment:
		need("corners", "at", "lugs")
	case Bar, Service:
		need("at", "lugs")
	case Tower, Mast, Handhole, Box:
		need("at", "corners", "legs")
	default:
		need("at", "corners", "path", "legs", "lugs", "taps")
	}
}

// onFence checks that points stand on a fence line, within an inch.
func (d *decoder) onFence(line geom.Outline, n *node, path string, pts []geom.Point) {
	if len(line) == 0 || n == nil {
		return
	}
	for i, p := range pts {
		best, near := math.Inf(1), geom.Point{}
		for _, s := range line.Sides() {
			q, _ := s.Nearest(p)
			if dist := q.Dist(p); dist < best {
				best, near = dist, q
			}
		}
		if best > float64(unit.Inch) {
			m, mp := n, path
			if len(pts) > 1 || n.kind == list && len(n.items) > 0 && n.items[0].kind == list {
				m, mp = n.items[i], at(path, i)
			}
			d.fault(diag.OffLine, m, mp, fmt.Sprintf("%s does not stand on the fence line", d.say(p)), fmt.Sprintf("the nearest place on it is %s", d.say(near)))
		}
	}
}

func (d *decoder) size(n *node, path string) (out [3]unit.Q[unit.Metre]) {
	if n == nil {
		return
	}
	if n.kind != list || len(n.items) != 3 {
		d.fault(diag.WrongShape, n, path, "a size has three lengths", "write it as [24 in, 36 in, 24 in]: length, width, depth")
		return
	}
	for i, c := range n.items {
		out[i] = quantity[unit.Metre](d, c, at(path, i), smallLen)
	}
	return
}

// conductor reads "2 AWG solid tinned copper".
func (f *fields) conductor(key string) Conductor {
	n := f.node(key)
	if n == nil {
		return Conductor{}
	}
	d, path := f.d, f.at(key)
	t := d.text(n, path)
	if n.kind != scalar {
		return Conductor{}
	}
	const form = "write it like \"2 AWG solid tinned copper\""
	ws := wordsOf(t)
	k, size, ok := wireWords(t, ws)
	if !ok {
		if _, err := unit.ParseWire(strings.Split(t+" ", " ")[0]); err == nil && len(ws) > 0 {
			d.part(diag.UnitMissing, n, path, ws[0].from, ws[0].to, quote(ws[0].text)+" is no wire size by itself", "write \"AWG\" or \"kcmil\" after the number: "+form)
			return Conductor{}
		}
		d.fault(diag.WordUnknown, n, path, quote(t)+" does not begin with a wire size", form)
		return Conductor{}
	}
	c := Conductor{Size: size, Text: strings.TrimSpace(t)}
	strand := ""
	for _, w := range ws[k:] {
		switch lw := strings.ToLower(w.text); lw {
		case "solid", "stranded":
			if strand != "" && strand != lw {
				d.part(diag.Contradiction, n, path, w.from, w.to, "the conductor is said to be both solid and stranded", "keep one of the two words")
			}
			strand, c.Solid = lw, lw == "solid"
		case "tinned":
			c.Tinned = true
		case "bare", "copper":
		default:
			words := []string{"solid", "stranded", "tinned", "bare", "copper"}
			mend := "use these words: " + some(words)
			if near, ok := nearest(lw, words); ok {
				mend = "write " + quote(near)
			}
			d.part(diag.WordUnknown, n, path, w.from, w.to, quote(w.text)+" is not known here", mend)
		}
	}
	return c
}

// token is one word of a scalar and where it stands.
type token struct {
	text     string
	from, to int
}

func wordsOf(s string) []token {
	var out []token
	from := -1
	for i := 0; i <= len(s); i++ {
		if i == len(s) || s[i] == ' ' || s[i] == '\t' || s[i] == '\n' {
			if from >= 0 {
				out = append(out, token{s[from:i], from, i})
				from = -1
			}
		} else if from < 0 {
			from = i
		}
	}
	return out
}

// wireWords reads a wire size with its unit from the front: "2 AWG",
// "250 kcmil". It returns how many words it took.
func wireWords(s string, ws []token) (int, unit.Wire, bool) {
	if len(ws) < 2 {
		return 0, 0, false
	}
	w, err := unit.ParseWire(ws[0].text + " " + ws[1].text)
	return 2, w, err == nil
}

// wire reads a wire size, with or without its unit.
func (f *fields) wire(key string) unit.Wire {
	n := f.node(key)
	if n == nil {
		return 0
	}
	t := f.text(key)
	w, err := unit.ParseWire(t)
	if err != nil && n.kind == scalar {
		f.d.fault(diag.WordUnknown, n, f.at(key), quote(t)+" is not a wire size", "write it like \"3/0 AWG\" or \"250 kcmil\"")
	}
	return w
}

func (d *decoder) ground(top *fields) {
	f, ok := d.fields(top.node("ground"), "ground", "ground")
	if !ok {
		return
	}
	g := &d.site.Ground
	g.Span = d.place(top.key("ground"), "ground")
	f.from = top.key("ground").from
	g.Conductor, g.Stub = f.conductor("conductor"), f.length("stub-up", smallLen)
	d.ring(f)
	d.rods(f)
	f.each("whips", func(_ int, n *node, path string) {
		w, ok := d.fields(n, path, "ground.whips[]")
		if !ok {
			return
		}
		r := WhipRule{
			Span: d.place(n, path), To: w.text("to"), End: EndKind(w.word("end", string(ToPipe), string(ToFlat), string(ToLug), string(ToTap))),
			OD: w.length("od", smallDia), Conductor: w.conductor("conductor"),
		}
		to := w.node("to")
		if to == nil || to.kind != scalar {
			return
		}
		i := len(g.Whips)
		g.Whips = append(g.Whips, r)
		d.later = append(d.later, func() {
			ph, bad := parsePhrase(to.text, d)
			if bad != nil {
				d.part(bad.code, to, join(path, "to"), bad.from, bad.to, bad.what, bad.mend)
				return
			}
			w := &g.Whips[i]
			w.Object, w.Which, w.Every, w.Count = ph.Object, ph.Which, ph.Every, ph.Count
		})
	})
	f.each("radials", func(_ int, n *node, path string) {
		r, ok := d.fields(n, path, "ground.radials[]")
		if !ok {
			return
		}
		x := Radial{Span: d.place(n, path), Length: r.length("length", smallLen.upTo(300, "0 and 1,000 ft")), EndRod: r.yes("end-rod"), Outward: r.yes("outward")}
		var ok1, ok2 bool
		x.From, ok1 = r.point("from")
		if t := r.node("toward"); t != nil && t.kind == scalar {
			x.Outward = r.word("toward", "outward") != "" || x.Outward
		} else if t != nil {
			x.Toward, ok2 = r.point("toward")
			switch {
			case x.Outward:
				d.fault(diag.Contradiction, t, r.at("toward"), "the radial runs both toward a point and outward", "keep one of the two")
			case ok1 && ok2 && x.From.Near(x.Toward):
				d.fault(diag.ZeroLength, t, r.at("toward"), "the radial runs toward the place where it begins", "give another point, or write \"toward: outward\"")
			}
		} else if !x.Outward {
			r.missing("toward", "", "add \"toward: [x, y]\" or \"toward: outward\"")
		}
		g.Radials = append(g.Radials, x)
	})
	f.each("jumpers", func(_ int, n *node, path string) {
		j, ok := d.fields(n, path, "ground.jumpers[]")
		if !ok || !j.has("gates of") {
			return
		}
		i := len(g.Jumpers)
		g.Jumpers = append(g.Jumpers, JumperRule{Span: d.place(n, path)})
		d.refer(j.node("gates of"), j.at("gates of"), "fence", func(id string) {
			g.Jumpers[i].Object = id
			if len(d.object(id).Gates) == 0 {
				d.fault(diag.RefUnknown, j.node("gates of"), j.at("gates of"), fmt.Sprintf("%s has no gate", quote(id)), "add its gates, or take the jumper out")
			}
		}, Fence)
	})
	if !f.has("conductor") && (g.Ring != nil && !g.Ring.Conductor.Set() || len(g.Whips) > 0) {
		f.missing("conductor", "", "add \"conductor: 2 AWG solid tinned copper\"")
	}
	if !f.has("stub-up") && slices.ContainsFunc(g.Whips, func(w WhipRule) bool { return w.End != ToTap && w.End != "" }) {
		f.missing("stub-up", "", "add \"stub-up: 18 in\": how much of a whip stands above grade")
	}
}

func (d *decoder) ring(g *fields) {
	n := g.node("ring")
	f, ok := d.fields(n, g.at("ring"), "ground.ring")
	if !ok {
		return
	}
	f.from = g.key("ring").from
	r := &Ring{Span: d.place(g.key("ring"), g.at("ring"))}
	d.site.Ground.Ring = r
	r.Distance, r.Depth, r.Corner = f.length("distance", smallLen), f.length("depth", ringDepth), f.length("corner-radius", smallLen)
	r.Conductor, r.Pieces = f.conductor("conductor"), f.count("pieces", 1, 100)
	var ways []string
	for _, k := range []string{"inside", "around", "points", "along"} {
		if f.has(k) {
			ways = append(ways, k)
		}
	}
	switch {
	case len(ways) == 0:
		f.missing("inside", "", "say where the ring runs with one of: inside, around, points, along")
	case len(ways) > 1:
		d.fault(diag.Contradiction, f.key(ways[1]), f.at(ways[1]), "the ring is laid out in two ways: "+some(ways), "keep one of them")
	}
	if f.has("inside") {
		d.refer(f.node("inside"), f.at("inside"), "fence", func(id string) { r.Inside = id }, Fence)
	}
	if f.has("along") {
		d.refer(f.node("along"), f.at("along"), "trench", func(id string) { r.Along = id }, Trench)
	}
	if a := f.node("around"); a != nil {
		items, single := a.items, a.kind == scalar
		if single {
			items = []*node{a}
		} else if a.kind != list {
			d.fault(diag.WrongShape, a, f.at("around"), "a map stands where ids are wanted", "write one id, or a list of them in brackets")
		}
		for i, c := range items {
			p := f.at("around")
			if !single {
				p = at(p, i)
			}
			d.refer(c, p, "object", func(id string) {
				if slices.Contains(r.Around, id) {
					d.fault(diag.Twice, c, p, quote(id)+" is named twice", "take one of them out")
					return
				}
				if o := d.object(id); len(o.Outline) == 0 && len(o.Legs) == 0 && !o.HasAt && len(o.Lugs) == 0 && len(o.Path) == 0 {
					return // its missing place is told at the object
				}
				r.Around = append(r.Around, id)
			})
		}
	}
	r.Points = f.outline("points", "the ring")
	if (f.has("inside") || f.has("around")) && !f.has("distance") {
		f.missing("distance", "", "add \"distance: 2 ft\"")
	}
	if r.Depth.Set {
		sum := 0.0
		for i, l := range d.site.Soil.Layers {
			if !l.Thickness.Set {
				break
			}
			sum += float64(l.Thickness.SI)
			if math.Abs(sum-float64(r.Depth.SI)) < geom.Eps {
				d.warn(diag.AtBoundary, f.node("depth"), f.at("depth"), fmt.Sprintf("the ring lies exactly on the boundary below layer %d of the soil", i+1),
					"move the boundary or the ring by an inch; which soil it lies in is otherwise a toss-up")
			}
		}
	}
}

func (d *decoder) rods(g *fields) {
	f, ok := d.fields(g.node("rods"), g.at("rods"), "ground.rods")
	if !ok {
		return
	}
	r := &Rods{Span: d.place(g.key("rods"), g.at("rods"))}
	d.site.Ground.Rods = r
	r.Diameter, r.Length, r.Section = f.length("diameter", rodDia), f.length("length", rodLength), f.length("section", rodLength)
	if r.Section.Set && r.Length.Set && r.Section.SI > r.Length.SI+geom.Eps {
		d.fault(diag.Contradiction, f.node("section"), f.at("section"), fmt.Sprintf("one section (%s) is longer than the rod (%s)", clip(r.Section.Text), clip(r.Length.Text)), "make the section shorter, or the rod longer")
	}
	if d.site.Ground.Ring == nil {
		d.fault(diag.KeyMissing, g.key("rods"), g.at("rods"), "there are rods and no ring that they stand on", "add ground.ring")
	}
	seen := map[geom.Point]bool{}
	f.each("places", func(_ int, n *node, path string) {
		p := RodPlace{Span: d.place(n, path)}
		switch n.kind {
		case scalar:
			switch d.word(n, path, []string{"corners", "mids"}) {
			case "corners":
				p.Corners = true
			case "mids":
				p.Mids = true
			default:
				return
			}
		case mapping:
			m, ok := d.fields(n, path, "ground.rods.places[]")
			if p.Spacing = m.length("spacing", smallLen); !ok || !p.Spacing.Set {
				return
			}
		default:
			if p.At, p.HasAt = d.point(n, path); !p.HasAt {
				return
			}
			if seen[p.At] {
				d.fault(diag.Twice, n, path, fmt.Sprintf("two rods stand at %s", d.say(p.At)), "take one of them out, or move it")
				return
			}
			seen[p.At] = true
		}
		r.Places = append(r.Places, p)
	})
}

func (d *decoder) state(top *fields) {
	f, ok := d.fields(top.node("state"), "state", "state")
	if !ok {
		return
	}
	s := &d.site.State
	s.Span = d.place(top.key("state"), "state")
	if n := f.node("as-of"); n != nil {
		s.AsOf = f.text("as-of")
		if !isTime(s.AsOf) && n.kind == scalar {
			d.fault(diag.WordUnknown, n, f.at("as-of"), quote(s.AsOf)+" is not a time", "write it like 2026-05-04T07:30:00-05:00")
		}
	}
	stations := func(key, shape string) []Station {
		var out []Station
		seen := map[string]bool{}
		f.each(key, func(_ int, n *node, path string) {
			r, ok := d.fields(n, path, shape)
			if !ok {
				return
			}
			x := Station{Span: d.place(n, path), Run: r.text("run"), To: r.length("to", runLen)}
			if shape == "state.open[]" {
				x.Width = r.length("width", smallLen)
			}
			d.runRef(r.node("run"), r.at("run"))
			if key == "laid" && seen[x.Run] {
				d.fault(diag.Twice, n, path, fmt.Sprintf("run %s is laid to two stations", quote(x.Run)), "keep the farther one")
				return
			}
			seen[x.Run] = true
			out = append(out, x)
		})
		return out
	}
	s.Laid, s.Open = stations("laid", "state.laid[]"), stations("open", "state.open[]")
	rods := map[string]bool{}
	f.each("rods", func(_ int, n *node, path string) {
		r, ok := d.fields(n, path, "state.rods[]")
		if !ok {
			return
		}
		x := RodState{Span: d.place(n, path), Rod: r.text("rod"), Driven: r.length("driven", drivenLen), Refused: r.yes("refused"), How: r.word("lies", "45", "flat"), Tried45: r.yes("tried-45")}
		if rods[x.Rod] && x.Rod != "" {
			d.fault(diag.Twice, r.node("rod"), r.at("rod"), quote(x.Rod)+" is here twice", "keep one entry for each rod")
			return
		}
		rods[x.Rod] = true
		s.Rods = append(s.Rods, x)
		if r.node("rod") != nil && x.Rod != "" {
			d.later = append(d.later, func() { d.rodRef(r.node("rod"), r.at("rod"), x.Rod) })
		}
		d.rodLog(r, &s.Rods[len(s.Rods)-1])
		if gr := d.site.Ground.Rods; gr != nil && gr.Length.Set && x.Driven.Set && x.Driven.SI > gr.Length.SI+geom.Eps {
			d.fault(diag.Contradiction, r.node("driven"), r.at("driven"), fmt.Sprintf("more was driven (%s) than the rod is long (%s)", clip(x.Driven.Text), clip(gr.Length.Text)), "look at the tape again, or at ground.rods.length")
		}
	})
	if t, ok := d.fields(f.node("ticket"), f.at("ticket"), "state.ticket"); ok {
		s.Ticket = Ticket{Span: d.place(f.key("ticket"), f.at("ticket")), Number: t.text("number"), Until: t.text("until"), Area: t.outline("area", "the area of the ticket")}
		if n := t.node("until"); n != nil && n.kind == scalar && !isTime(s.Ticket.Until) {
			d.fault(diag.WordUnknown, n, t.at("until"), quote(s.Ticket.Until)+" is not a date", "write it like 2026-05-18")
		}
		s.Ticket.Days, _ = d.number(t.node("days"), t.at("days"), 0, 366)
	}
}

// rodRef checks a rod number against the numbers the document remembers. A
// document without numbers is numbered afresh and cannot be checked here.
func (d *decoder) rodRef(n *node, path, id string) {
	var rods []string
	for _, x := range d.site.Numbers {
		if strings.HasPrefix(x.ID, "R") {
			rods = append(rods, x.ID)
		}
	}
	if len(rods) > 0 && !slices.Contains(rods, id) {
		d.unknown(n, path, 0, len(n.text), id, "rod", rods)
	}
}

// isTime reports whether a text is a day, 2026-05-04, or a moment of one with
// its distance from universal time: 2026-05-04T07:30-05:00, with seconds or
// without (RFC 3339).
func isTime(s string) bool {
	num := func(text string, from, to int) bool {
		n, rest, ok := unit.Whole(text)
		return ok && rest == "" && len(text) == 2 && n >= from && n <= to
	}
	if len(s) < 10 || s[4] != '-' || s[7] != '-' {
		return false
	}
	year, rest, ok := unit.Whole(s[:4])
	if !ok || rest != "" || !num(s[5:7], 1, 12) {
		return false
	}
	days := []int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	month, _, _ := unit.Whole(s[5:7])
	last := days[month-1]
	if month == 2 && year%4 == 0 && (year%100 != 0 || year%400 == 0) {
		last++
	}
	if !num(s[8:10], 1, last) {
		return false
	}
	if len(s) == 10 {
		return true
	}
	clock := s[10:]
	if len(clock) < 6 || clock[0] != 'T' || clock[3] != ':' || !num(clock[1:3], 0, 23) || !num(clock[4:6], 0, 59) {
		return false
	}
	clock = clock[6:]
	if strings.HasPrefix(clock, ":") {
		if len(clock) < 3 || !num(clock[1:3], 0, 59) {
			return false
		}
		clock = clock[3:]
		if strings.HasPrefix(clock, ".") { // parts of a second
			end := strings.IndexFunc(clock[1:], func(r rune) bool { return r < '0' || r > '9' }) + 1
			if end <= 1 {
				return false
			}
			clock = clock[end:]
		}
	}
	if clock == "Z" {
		return true
	}
	return len(clock) == 6 && (clock[0] == '+' || clock[0] == '-') && clock[3] == ':' && num(clock[1:3], 0, 23) && num(clock[4:6], 0, 59)
}

// runRef checks the id of a run once all runs are known.
func (d *decoder) runRef(n *node, path string) {
	if n == nil || n.kind != scalar {
		return
	}
	t := strings.TrimSpace(n.text)
	d.later = append(d.later, func() {
		if !d.runs[t] {
			ids := make([]string, len(d.site.Runs))
			for i, r := range d.site.Runs {
				ids[i] = r.ID
			}
			d.unknown(n, path, 0, len(n.text), t, "run", ids)
		}
	})
}

// poles gives, for a system, the poles of a switch that leaves the neutral
// solid and of one that opens it: one for each ungrounded conductor, and one
// more for the neutral. Definition of the systems.
var poles = map[string][2]int{"120/240 3-wire": {2, 3}, "208Y/120": {3, 4}, "480Y/277": {3, 4}}

func (d *decoder) groundFault(top *fields) {
	f, ok := d.fields(top.node("fault"), "fault", "fault")
	if !ok {
		return
	}
	x := &Fault{
		Span: d.place(top.key("fault"), "fault"), Current: quantity[unit.Ampere](d, f.node("current"), f.at("current"), faultAmps),
		Duration: quantity[unit.Second](d, f.node("duration"), f.at("duration"), faultTime), Earth: quantity[unit.Ampere](d, f.node("earth-current"), f.at("earth-current"), faultAmps),
		Surface: quantity[unit.OhmMetre](d, f.node("surface"), f.at("surface"), layerRho), Thickness: f.length("surface-thickness", smallDia),
		Source: f.text("source"),
	}
	x.XR, _ = d.number(f.node("x-over-r"), f.at("x-over-r"), 0, 200)
	if w := f.word("hertz", "50", "60"); w != "" {
		x.Hertz, _ = strconv.ParseFloat(w, 64)
	}
	if w := f.word("body", "50 kg", "70 kg"); w != "" {
		x.Body, _ = strconv.Atoi(strings.TrimSuffix(w, " kg"))
	}
	d.site.Fault = x
	missing := func(key, why, mend string) {
		d.warn(diag.KeyMissing, top.node("fault"), join("fault", key), why, mend)
	}
	switch {
	case x.XR > 0 && x.Hertz == 0:
		missing("hertz", "x-over-r without the frequency says nothing of the offset", "add \"hertz: 60\"")
	case f.has("surface") != f.has("surface-thickness"):
		missing("surface", "surface stone needs both its resistivity and its thickness", "add \"surface: 3000 ohm-m\" and \"surface-thickness: 4 in\", or take both out")
	case !f.has("current") && !f.has("earth-current"):
		missing("current", "a fault without a current", "add \"current: 5 kA\", or \"earth-current: 1 kA\"")
	case f.has("earth-current") && !f.has("body"):
		missing("body", "tolerable voltages are for a body of 50 or of 70 kg", "add \"body: 50 kg\"")
	}
}

func (d *decoder) transfer(top *fields) {
	f, ok := d.fields(top.node("transfer"), "transfer", "transfer")
	if !ok {
		return
	}
	t := &Transfer{
		Span: d.place(top.key("transfer"), "transfer"), System: f.word("system", "120/240 3-wire", "208Y/120", "480Y/277"),
		OpensNeutral: f.said("opens-neutral", "unknown"),
		BondFound:    f.text("bond-found"), BondLeft: f.text("bond-left"), Portable: f.yes("portable"),
	}
	t.Poles = f.count("poles", 1, 4)
	d.site.Transfer = t
	p, known := poles[t.System]
	if !known || t.Poles == 0 {
		return
	}
	solid, opens := p[0], p[1]
	n, path := f.node("poles"), f.at("poles")
	switch {
	case t.Poles != solid && t.Poles != opens:
		d.fault(diag.Contradiction, n, path, fmt.Sprintf("a switch of %d poles does not fit %s", t.Poles, t.System), fmt.Sprintf("it has %d poles with a solid neutral, %d where it opens the neutral; look at the switch and at the system", solid, opens))
	case t.OpensNeutral == "yes" && t.Poles != opens:
		d.fault(diag.Contradiction, n, path, fmt.Sprintf("the switch is said to open the neutral, and has %d poles on %s", t.Poles, t.System), fmt.Sprintf("a switch that opens the neutral has %d; look at the switch itself, and do not trust either entry till then", opens))
	case t.OpensNeutral == "no" && t.Poles != solid:
		d.fault(diag.Contradiction, n, path, fmt.Sprintf("the neutral is said to be solid, and the switch has %d poles on %s", t.Poles, t.System), fmt.Sprintf("a switch with a solid neutral has %d; look at the switch itself, and do not trust either entry till then", solid))
	}
}

func (d *decoder) feeder(e entry, path string) {
	f, ok := d.fields(e.val, path, "feeders.*")
	if !ok {
		return
	}
	f.from = e.from
	x := Feeder{
		Span: d.span(path, e.from, e.to), ID: e.key, Run: f.text("run"),
		Amps: quantity[unit.Ampere](d, f.node("amps"), f.at("amps"), loadAmps), OCPD: quantity[unit.Ampere](d, f.node("ocpd"), f.at("ocpd"), loadAmps),
		Volts: quantity[unit.Volt](d, f.node("volts"), f.at("volts"), lineVolts), Length: f.length("length", runLen),
		Size: f.wire("size"), EGC: f.wire("egc"), GEC: f.wire("gec"), Aluminum: f.yes("aluminum"),
	}
	x.Continuous = quantity[unit.Ampere](d, f.node("continuous"), f.at("continuous"), loadAmps)
	x.Ambient = quantity[unit.Celsius](d, f.node("ambient"), f.at("ambient"), airTemp)
	x.DropLimit = quantity[unit.Ratio](d, f.node("drop-limit"), f.at("drop-limit"), share)
	x.Nameplate, x.NoOverload = quantity[unit.Ampere](d, f.node("nameplate"), f.at("nameplate"), loadAmps), f.yes("no-overload")
	x.Sets = f.count("sets", 1, 12)
	if w := f.word("terminals", "60 C", "75 C", "90 C"); w != "" {
		x.Terminals, _ = strconv.Atoi(strings.TrimSuffix(w, " C"))
	}
	sum := x.Continuous.Or(0)
	f.each("motors", func(_ int, n *node, path string) {
		if m, ok := d.fields(n, path, "feeders.*.motors[]"); ok {
			x.Motors = append(x.Motors, Motor{
				Span: d.place(n, path), Amps: quantity[unit.Ampere](d, m.node("amps"), m.at("amps"), loadAmps), OCPD: quantity[unit.Ampere](d, m.node("ocpd"), m.at("ocpd"), loadAmps),
			})
			sum += x.Motors[len(x.Motors)-1].Amps.Or(0)
		}
	})
	if x.Amps.Set && sum > x.Amps.SI*(1+1e-9) {
		d.fault(diag.Contradiction, f.node("amps"), f.at("amps"), fmt.Sprintf("the continuous load and the motors come to %s A, over the whole load", unit.Trim(float64(sum), 1)), "amps is the whole load; continuous and motors are parts of it")
	}
	if w := f.word("phases", "1", "3"); w != "" {
		x.Phases, _ = strconv.Atoi(w)
	}
	d.runRef(f.node("run"), f.at("run"))
	if !f.has("amps") && !f.has("ocpd") {
		f.missing("amps", "", "add \"amps: 100 A\" or \"ocpd: 125 A\"")
	}
	if !f.has("run") && !f.has("length") {
		f.missing("length", "", "add \"run: ..\" with the id of its run, or \"length: 120 ft\"")
	}
	d.site.Feeders = append(d.site.Feeders, x)
}

func (d *decoder) supplies(top *fields) {
	f, ok := d.fields(top.node("supplies"), "supplies", "supplies")
	if !ok {
		return
	}
	s := &d.site.Supplies
	s.Span = d.place(top.key("supplies"), "supplies")
	f.each("molds", func(_ int, n *node, path string) {
		if m, ok := d.fields(n, path, "supplies.molds[]"); ok {
			s.Molds = append(s.Molds, MoldTag{
				Span: d.place(n, path), Joint: m.word("joint", "tap", "splice", "rod", "pipe", "flat", "cross"),
				Charge: quantity[unit.Kilogram](d, m.node("charge"), m.at("charge"), charge), Shots: m.count("shots", 0, 10000),
			})
		}
	})
	f.each("packs", func(_ int, n *node, path string) {
		if p, ok := d.fields(n, path, "supplies.packs[]"); ok {
			s.Packs = append(s.Packs, Pack{Span: d.place(n, path), Item: p.text("item"), Of: p.count("of", 1, 100000)})
		}
	})
	ratio := func(key string) unit.Q[unit.Ratio] {
		return quantity[unit.Ratio](d, f.node(key), f.at(key), share)
	}
	s.Spare, s.WireSpare, s.Redo = ratio("spare"), ratio("wire-spare"), ratio("redo")
	s.MoldLife, s.ExpansionTravel = f.count("mold-life", 1, 10000), f.length("expansion-travel", smallDia)
	s.PutUps = f.lengths("put-ups", runLen)
}

func (d *decoder) price(e entry, path string) {
	t := d.text(e.val, path)
	if e.val.kind != scalar {
		return
	}
	const form = "write it like \"12.50 each\", \"1.10 per ft\" or \"40 per pack\""
	ws := wordsOf(t)
	if len(ws) == 0 {
		d.fault(diag.WrongShape, e.val, path, "the price is empty", form)
		return
	}
	num := strings.TrimPrefix(ws[0].text, "$")
	v, err := strconv.ParseFloat(num, 64)
	switch {
	case notFinite(num) || math.IsInf(v, 0) || v > 1e9:
		d.part(diag.NotFinite, e.val, path, ws[0].from, ws[0].to, quote(ws[0].text)+" is not a price", form)
		return
	case err != nil:
		d.part(diag.NotANumber, e.val, path, ws[0].from, ws[0].to, quote(ws[0].text)+" is not a number", form)
		return
	case v < 0:
		d.part(diag.NotPositive, e.val, path, ws[0].from, ws[0].to, quote(ws[0].text)+" is below zero", form)
		return
	}
	rest := ws[1:]
	if len(rest) > 1 && rest[0].text == "per" {
		rest = rest[1:]
	}
	if len(rest) == 0 {
		d.fault(diag.UnitMissing, e.val, path, quote(t)+" does not say for how much", form)
		return
	}
	units := []string{"each", "ft", "m", "pack", "lb", "kg", "stick", "hour", "day", "roll", "box"}
	if len(rest) > 1 || !slices.Contains(units, rest[0].text) {
		words := t[rest[0].from:]
		d.part(diag.UnitWrong, e.val, path, rest[0].from, len(t), quote(words)+" is not a measure that is known here", "use one of: "+some(units))
		return
	}
	d.site.Prices = append(d.site.Prices, Price{Span: d.span(path, e.from, e.to), Item: e.key, Amount: v, Per: rest[0].text})
}

// hours reads what a piece of work takes: "25 min each", "3 min per ft".
func (d *decoder) hours(e entry, path string) {
	t := d.text(e.val, path)
	if e.val.kind != scalar {
		return
	}
	const form = "write it like \"25 min each\" or \"3 min per ft\""
	ws := wordsOf(t)
	per := ""
	switch n := len(ws); {
	case n >= 2 && ws[n-1].text == "each":
		per, ws = "each", ws[:n-1]
	case n >= 3 && ws[n-2].text == "per":
		per, ws = ws[n-1].text, ws[:n-2]
	default:
		d.fault(diag.UnitMissing, e.val, path, quote(t)+" does not say for how much", form)
		return
	}
	if units := []string{"each", "ft", "m", "joint", "rod"}; !slices.Contains(units, per) {
		d.fault(diag.UnitWrong, e.val, path, quote(per)+" is not a measure that is known here", "use one of: "+some(units))
		return
	}
	words := t[:ws[len(ws)-1].to]
	q := measured[unit.Second](d, e.val, path, words, 0, len(words), workTime)
	if !q.Set {
		return
	}
	d.site.Hours = append(d.site.Hours, Hours{Span: d.span(path, e.from, e.to), Work: e.key, Time: q.SI, Per: per, Text: t})
}

func (d *decoder) numbers(top *fields) {
	n := top.node("numbers")
	if n == nil {
		return
	}
	if n.kind != mapping {
		d.fault(diag.WrongShape, n, "numbers", describe(n)+" stands where a map is wanted", "leave numbers to the program: take the block out and it is written again")
		return
	}
	d.twice(n, "numbers", diag.Twice, "key")
	seen := map[string]string{}
	for _, e := range n.keys {
		path := join("numbers", e.key)
		t := strings.TrimSpace(d.text(e.val, path))
		if e.val.kind != scalar {
			continue
		}
		id, retired := t, false
		if r, ok := strings.CutPrefix(t, "retired "); ok {
			id, retired = strings.TrimSpace(r), true
		}
		if !isID(id) {
			d.fault(diag.WordUnknown, e.val, path, quote(t)+" is not a point number", "write it like R3 or \"retired R3\", as the tag says")
			continue
		}
		if other, twice := seen[id]; twice {
			d.fault(diag.Twice, e.val, path, fmt.Sprintf("%s is the number of %s too", id, quote(other)), "give one of them a number that is not in use; what the hung tag says wins")
			continue
		}
		seen[id] = e.key
		d.site.Numbers = append(d.site.Numbers, Number{Span: d.span(path, e.from, e.to), Key: e.key, ID: id, Retired: retired})
	}
}

// isID reports whether s is a letter and a number of at most six digits, with
// a redo ending where there is one, or a post and its number: R3, J14, J14r1,
// post 3.
func isID(s string) bool {
	if n, ok := strings.CutPrefix(s, "post "); ok {
		s = "P" + n
	}
	if len(s) < 2 || s[0] < 'A' || s[0] > 'Z' {
		return false
	}
	num, redo, has := strings.Cut(s[1:], "r")
	ok := func(t string) bool {
		v, err := strconv.Atoi(t)
		return err == nil && len(t) <= 6 && v > 0 && t[0] >= '1' && t[0] <= '9'
	}
	return ok(num) && (!has || ok(redo))
}
