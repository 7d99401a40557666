package site

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"stubup/base/diag"
	"stubup/base/geom"
	"stubup/base/unit"
)

func (d *decoder) run(e entry, path string) {
	f, ok := d.fields(e.val, path, "runs.*")
	d.runs[e.key] = true
	if !ok {
		if e.val.kind == null {
			d.faultAt(diag.WrongShape, e.from, e.to, path, quote(e.key)+" has nothing below it", "add its service, raceway and path")
		}
		return
	}
	f.from = e.from
	r := Run{Span: d.span(path, e.from, e.to), ID: e.key, Service: f.word("service", Services...), From: f.text("from"), To: f.text("to"), Stick: f.length("stick", smallLen)}
	if n := f.node("raceway"); n != nil {
		r.Raceway, r.Trade, r.RacewayText = d.raceway(n, f.at("raceway"))
	}
	r.Bender = f.bender()
	f.each("carries", func(_ int, n *node, path string) {
		if c, ok := d.cable(n, path); ok {
			r.Carries = append(r.Carries, c)
		}
	})
	if n := f.node("start"); n != nil {
		if v, ok := d.coordinates(n, f.at("start"), 3); ok {
			r.Start = geom.Point3{X: v[0], Y: v[1], Z: v[2]}
		}
	}
	if n := f.node("heading"); n != nil {
		r.Heading = d.heading(n, f.at("heading"), r.Start)
	}
	if n := f.node("temperatures"); n != nil {
		r.Cold, r.Hot = d.between(n, f.at("temperatures"))
	}
	r.Install = quantity[unit.Celsius](d, f.node("install"), f.at("install"), airTemp)
	d.pull(f, &r)
	if f.has("path") {
		for _, k := range []string{"start", "heading"} {
			if !f.has(k) {
				f.missing(k, " for a run with a path", map[string]string{"start": "add \"start: [x, y, z]\"", "heading": "add \"heading: north\", the way its first straight runs"}[k])
			}
		}
	}
	i := len(d.site.Runs)
	f.each("path", func(_ int, n *node, path string) {
		if s, ok := d.step(n, path, i, len(r.Steps)); ok {
			r.Steps = append(r.Steps, s)
		}
	})
	d.site.Runs = append(d.site.Runs, r)
}

func (d *decoder) pull(run *fields, r *Run) {
	f, ok := d.fields(run.node("pull"), run.at("pull"), "runs.*.pull")
	if !ok {
		return
	}
	p := &r.Pull
	p.Span = d.place(run.key("pull"), run.at("pull"))
	p.Lubricant, p.HeldBy = f.said("lubricant"), f.word("held-by", "pulling eye", "basket grip")
	p.Friction, _ = d.number(f.node("friction"), f.at("friction"), 0.01, 2)
	p.Back, p.Gear = quantity[unit.Newton](d, f.node("back"), f.at("back"), pullForce), quantity[unit.Newton](d, f.node("gear"), f.at("gear"), pullForce)
	p.ReelTurn, p.ReelRadius = quantity[unit.Degree](d, f.node("reel-turn"), f.at("reel-turn"), bendAngle), f.length("reel-radius", smallLen)
	p.GroupShare = quantity[unit.Ratio](d, f.node("group-share"), f.at("group-share"), share)
	p.Innerduct = f.length("innerduct", smallDia)
	if p.ReelTurn.Set != p.ReelRadius.Set {
		d.warn(diag.KeyMissing, run.node("pull"), run.at("pull"), "a turn at the reel needs both its angle and its radius", "add \"reel-turn: 90 deg\" and \"reel-radius: 24 in\", or take both out")
	}
}

// raceway reads "PVC-40 2 in", "PVC schedule 40 2 in", "EMT 1-1/4 in".
func (d *decoder) raceway(n *node, path string) (kind string, trade unit.Trade, text string) {
	t := d.text(n, path)
	if n.kind != scalar {
		return "", 0, text
	}
	const form = "write it like \"PVC-40 2 in\" or \"EMT 1-1/4 in\""
	ws := wordsOf(t)
	text = strings.TrimSpace(t)
	if len(ws) == 0 {
		d.fault(diag.WrongShape, n, path, "the raceway is empty", form)
		return "", 0, text
	}
	word, k := strings.ToUpper(ws[0].text), 1
	if word == "PVC" {
		if k < len(ws) {
			switch strings.ToLower(strings.TrimSuffix(ws[k].text, ".")) {
			case "schedule", "sch":
				k++
			}
		}
		if k < len(ws) && (ws[k].text == "40" || ws[k].text == "80") {
			word, k = "PVC-"+ws[k].text, k+1
		} else {
			d.part(diag.WordUnknown, n, path, ws[0].from, ws[0].to, "PVC comes in more than one wall", "write \"PVC-40\" or \"PVC-80\"")
			return "", 0, text
		}
	}
	if word == "RIGID" {
		word = "RMC"
	}
	found := false
	for _, w := range RacewayKinds {
		found = found || w == word
	}
	if !found {
		mend := "use one of: " + some(RacewayKinds)
		if near, ok := nearest(word, RacewayKinds); ok {
			mend = "write " + quote(near)
		}
		d.part(diag.WordUnknown, n, path, ws[0].from, ws[0].to, quote(ws[0].text)+" is not a kind of raceway", mend)
		return "", 0, text
	}
	if k >= len(ws) {
		d.fault(diag.WrongShape, n, path, quote(t)+" has no trade size", form)
		return "", 0, text
	}
	size := t[ws[k].from:ws[len(ws)-1].to]
	known, err := unit.ParseTrade(size)
	if err != nil {
		var names []string
		for _, x := range unit.Trades() {
			names = append(names, x.Name())
		}
		d.part(diag.WordUnknown, n, path, ws[k].from, ws[len(ws)-1].to, quote(size)+" is not a trade size", "use one of: "+some(names)+", with \"in\" behind it")
		return "", 0, text
	}
	return word, known, text
}

// cable reads what a run carries: "3 x 3/0 THWN-2", "1 x 6 THWN-2 egc",
// "1 x 8 bare egc", or a map for a cable with a data sheet.
func (d *decoder) cable(n *node, path string) (Cable, bool) {
	const form = "write it like \"3 x 3/0 THWN-2\", \"1 x 6 THWN-2 egc\" or \"1 x 8 bare egc\""
	c := Cable{Span: d.place(n, path), Count: 1}
	switch n.kind {
	case mapping:
		f, ok := d.fields(n, path, "runs.*.carries[]")
		if !ok {
			return c, false
		}
		c.Name, c.OD, c.MinRadius, c.Fiber = f.text("cable"), f.length("od", smallDia), f.length("min-radius", smallLen), f.yes("fiber")
		c.Weight = quantity[unit.KgPerM](d, f.node("weight"), f.at("weight"), cableMass)
		c.Tension, c.Sidewall = quantity[unit.Newton](d, f.node("tension"), f.at("tension"), pullForce), quantity[unit.NewtonPerM](d, f.node("sidewall"), f.at("sidewall"), wallForce)
		if f.has("count") {
			c.Count = f.count("count", 1, 1000)
		}
		c.Text = c.Name
		return c, c.Count > 0
	case list:
		d.fault(diag.WrongShape, n, path, "a list stands where a cable is wanted", form)
		return c, false
	}
	t := n.text
	c.Text = strings.TrimSpace(t)
	ws := wordsOf(t)
	if len(ws) < 4 || strings.ToLower(ws[1].text) != "x" {
		d.fault(diag.WrongShape, n, path, quote(t)+" is not a cable", form+", or give a cable its data sheet: {cable: name, od: 0.5 in}")
		return c, false
	}
	v, err := strconv.Atoi(ws[0].text)
	if err != nil {
		d.part(diag.NotANumber, n, path, ws[0].from, ws[0].to, quote(ws[0].text)+" is not a count", form)
		return c, false
	}
	if v < 1 || v > 1000 {
		d.part(diag.OutOfRange, n, path, ws[0].from, ws[0].to, quote(ws[0].text)+" is out of range", "write a count from 1 to 1000")
		return c, false
	}
	c.Count = v
	k := 3
	size := ws[2].text
	if lw := ws[3].text; lw == "AWG" || lw == "kcmil" {
		size, k = size+" "+lw, 4
	}
	if c.Size, err = unit.ParseWire(size); err != nil {
		d.part(diag.WordUnknown, n, path, ws[2].from, ws[k-1].to, quote(size)+" is not a wire size", form)
		return c, false
	}
	if k >= len(ws) {
		d.fault(diag.WrongShape, n, path, quote(t)+" does not say which insulation", form)
		return c, false
	}
	found := false
	for _, w := range Insulations {
		if strings.EqualFold(w, ws[k].text) {
			c.Insulation, found = w, true
		}
	}
	if !found {
		mend := "use one of: " + some(Insulations)
		if near, ok := nearest(ws[k].text, Insulations); ok {
			mend = "write " + quote(near)
		}
		d.part(diag.WordUnknown, n, path, ws[k].from, ws[k].to, quote(ws[k].text)+" is not an insulation that is known here", mend)
		return c, false
	}
	for _, w := range ws[k+1:] {
		if !strings.EqualFold(w.text, "egc") || c.EGC {
			d.part(diag.WordUnknown, n, path, w.from, w.to, quote(w.text)+" is not known here", "write \"egc\" once for an equipment grounding conductor, or nothing")
			return c, false
		}
		c.EGC = true
	}
	return c, true
}

var compass = map[string]geom.Point3{"north": {Y: 1}, "east": {X: 1}, "south": {Y: -1}, "west": {X: -1}, "up": {Z: 1}, "down": {Z: -1}}

// heading reads a direction: a word, a bearing "N 45 E", or "toward [x, y]".
func (d *decoder) heading(n *node, path string, start geom.Point3) geom.Point3 {
	t := strings.TrimSpace(d.text(n, path))
	if n.kind != scalar {
		return geom.Point3{}
	}
	if p, ok := compass[strings.ToLower(t)]; ok {
		return p
	}
	const form = "use one of: north, east, south, west, up, down, \"N 45 E\", \"toward [x, y]\""
	if rest, ok := strings.CutPrefix(t, "toward"); ok {
		rest = strings.TrimSpace(rest)
		x, y, two := strings.Cut(strings.TrimSuffix(strings.TrimPrefix(rest, "["), "]"), ",")
		if !two || !strings.HasPrefix(rest, "[") || !strings.HasSuffix(rest, "]") || strings.Contains(y, ",") {
			d.fault(diag.WrongShape, n, path, quote(t)+" names no place", "write it like \"toward [20, 5]\"")
			return geom.Point3{}
		}
		// The two numbers stand in one scalar: their place is the scalar's.
		one := func(s string) (float64, bool) {
			return d.coordinate(&node{kind: scalar, from: n.from, to: n.to, text: strings.TrimSpace(s)}, path)
		}
		px, ok1 := one(x)
		py, ok2 := one(y)
		if !ok1 || !ok2 {
			return geom.Point3{}
		}
		v := geom.Point{X: px, Y: py}.Sub(start.Plan())
		if v.Norm() < geom.Eps {
			d.fault(diag.ZeroLength, n, path, "the run heads toward the place where it begins", "name another place")
			return geom.Point3{}
		}
		return v.Unit().At(0)
	}
	ws := wordsOf(t)
	if len(ws) == 3 {
		ns, ew := strings.ToUpper(ws[0].text), strings.ToUpper(ws[2].text)
		a, err := strconv.ParseFloat(strings.TrimSuffix(ws[1].text, "°"), 64)
		if (ns == "N" || ns == "S") && (ew == "E" || ew == "W") && err == nil {
			if !(a >= 0 && a <= 90) {
				d.part(diag.OutOfRange, n, path, ws[1].from, ws[1].to, quote(ws[1].text)+" is out of range", "write an angle from 0 to 90, from north or south toward east or west")
				return geom.Point3{}
			}
			s, c := math.Sincos(a * math.Pi / 180)
			switch a {
			case 0:
				s, c = 0, 1
			case 90:
				s, c = 1, 0
			}
			if ns == "S" {
				c = -c
			}
			if ew == "W" {
				s = -s
			}
			return geom.Point3{X: s, Y: c}
		}
	}
	mend := form
	if near, ok := nearest(t, []string{"north", "east", "south", "west", "up", "down"}); ok {
		mend = "write " + quote(near)
	}
	d.fault(diag.WordUnknown, n, path, quote(t)+" is not a heading", mend)
	return geom.Point3{}
}

// bender reads the name of a bender and checks it once they are all known.
func (f *fields) bender() string {
	t := f.text("bender")
	if t == "" {
		return ""
	}
	d, n, path := f.d, f.node("bender"), f.at("bender")
	d.later = append(d.later, func() {
		var names []string
		for _, b := range d.site.Benders {
			if spoken(b.Name) == spoken(t) {
				return
			}
			names = append(names, b.Name)
		}
		d.unknown(n, path, 0, len(n.text), t, "bender", names)
	})
	return t
}

func (d *decoder) benders(top *fields) {
	top.each("benders", func(_ int, n *node, path string) {
		f, ok := d.fields(n, path, "benders[]")
		if !ok {
			return
		}
		b := Bender{
			Span: d.place(n, path), Name: f.text("name"), Radius: f.length("radius", smallLen), TakeUp: f.length("take-up", smallLen),
			Arrow: f.length("arrow", shoeLen), End: f.length("end", restLen), Between: f.length("between", restLen),
		}
		if r := f.node("raceway"); r != nil {
			b.Raceway, b.Trade, _ = d.raceway(r, f.at("raceway"))
		}
		if f.has("arrow") && f.has("take-up") {
			d.fault(diag.Contradiction, f.node("arrow"), f.at("arrow"), "the arrow and the take-up say the same thing twice", "keep the one that was measured")
		}
		if f.has("take-up") && !f.has("radius") {
			f.missing("radius", ": without it a take-up does not tell where the arrow goes", "add the radius to the centerline, for instance \"radius: 6 in\"")
		}
		f.each("marks", func(_ int, n *node, path string) {
			if a := d.angle(n, path, bendAngle); a.Set {
				b.Marks = append(b.Marks, a)
			}
		})
		for _, o := range d.site.Benders {
			if spoken(o.Name) == spoken(b.Name) && o.Raceway == b.Raceway && o.Trade == b.Trade {
				d.fault(diag.Twice, n, path, fmt.Sprintf("the bender %s is here twice for one raceway", quote(b.Name)), "take one of them out, or give it another name")
				return
			}
		}
		d.site.Benders = append(d.site.Benders, b)
	})
}

// between reads "-10..110 F".
func (d *decoder) between(n *node, path string) (cold, hot unit.Q[unit.Celsius]) {
	t := d.text(n, path)
	if n.kind != scalar {
		return
	}
	lo, hi, two := strings.Cut(t, "..")
	if !two {
		d.fault(diag.WrongShape, n, path, quote(t)+" is not a range", "write the coldest and the hottest, like \"-10..110 F\"")
		return
	}
	lo, hi = strings.TrimSpace(lo), strings.TrimSpace(hi)
	at := strings.LastIndex(t, hi)
	low := lo
	if !strings.ContainsAny(lo, "FCK") {
		if i := strings.LastIndexAny(hi, " 0123456789"); i >= 0 {
			low = lo + " " + strings.TrimSpace(hi[i+1:])
		}
	}
	hot = measured[unit.Celsius](d, n, path, hi, max(at, 0), len(t), airTemp)
	if !hot.Set {
		return unit.Q[unit.Celsius]{}, hot
	}
	cold = measured[unit.Celsius](d, n, path, low, 0, len(lo), airTemp)
	if cold.Set && cold.SI >= hot.SI {
		d.fault(diag.Contradiction, n, path, quote(t)+": the coldest is not below the hottest", "write the coldest first")
		return unit.Q[unit.Celsius]{}, unit.Q[unit.Celsius]{}
	}
	return cold, hot
}

// Sides lists the words for the way a bend turns.
var Sides = []string{"left", "right", "up", "down", "north", "east", "south", "west"}

var stepKinds = []StepKind{Straight, Bend, Offset, Saddle, HandholeS, BoxS, Body, Entry, Expansion}

// step reads one step of the path of run number i; k is its own number.
func (d *decoder) step(n *node, path string, i, k int) (Step, bool) {
	s := Step{Span: d.place(n, path)}
	const form = "write it like \"- straight: 80 ft\" or \"- bend: 45 left\""
	if n.kind != mapping {
		d.fault(diag.WrongShape, n, path, describe(n)+" is not a step", form)
		return s, false
	}
	words := make([]string, len(stepKinds))
	for j, kind := range stepKinds {
		words[j] = string(kind)
		if _, ok := n.index[words[j]]; ok {
			if s.Kind != "" {
				e, _ := n.get(words[j])
				d.faultAt(diag.WrongShape, e.from, e.to, path, fmt.Sprintf("one step is both a %s and a %s", s.Kind, kind), "begin the second with \"- \" on a line of its own")
				return s, false
			}
			s.Kind = kind
		}
	}
	if s.Kind == "" {
		mend := "begin it with one of: " + some(words)
		e := entry{from: n.from, to: d.lineEnd(d.lineOf(n.from))}
		what := "the step does not say what it is"
		if len(n.keys) > 0 {
			e = n.keys[0]
			what = quote(e.key) + " is not a step"
			if near, ok := nearest(e.key, words); ok {
				mend = "write " + quote(near)
			}
		}
		d.faultAt(diag.KeyUnknown, e.from, e.to, join(path, e.key), what, mend)
		return s, false
	}
	key := string(s.Kind)
	f, ok := d.fields(n, path, "runs.*.path[] "+key)
	v := f.node(key)
	if !ok || v == nil {
		return s, false
	}
	vp := f.at(key)
	switch s.Kind {
	case Straight:
		s.Length = d.straight(v, vp)
		s.Where, s.Sun, s.Clear = f.word("in", "trench", "wall", "roof", "strut", "slab", "driveway", "indoor", "air"), f.yes("sun"), f.length("clear", smallLen)
		s.Ribbon = f.said("ribbon")
		return s, s.Length.Set
	case Bend:
		s.Angle, s.Toward = sided[unit.Degree](d, v, vp, bendAngle, "45 left")
		s.Radius, s.Made = f.length("radius", smallLen), f.word("made", "factory", "field", "sweep", "heated")
		s.Bender = f.bender()
		return s, s.Angle.Set && s.Toward != ""
	case Offset, Saddle:
		s.Length, s.Toward = sided[unit.Metre](d, v, vp, smallLen, "12 in up")
		s.Angle = d.angle(f.node("angle"), f.at("angle"), partAngle)
		s.Radius, s.Made = f.length("radius", smallLen), f.word("made", "factory", "field", "sweep", "heated")
		s.Bender = f.bender()
		if s.Kind == Offset {
			if n := f.node("roll"); n != nil {
				s.Roll, s.RollTo = sided[unit.Metre](d, n, f.at("roll"), smallLen, "6 in left")
			}
		}
		if s.Kind == Saddle {
			switch f.word("bends", "3", "4") {
			case "3":
				s.Bends = 3
			case "4":
				s.Bends = 4
			}
			if !f.has("bends") {
				s.Bends = 3
			}
		}
		return s, s.Length.Set && s.Toward != ""
	case HandholeS, BoxS:
		kind := Handhole
		if s.Kind == BoxS {
			kind = Box
		}
		if v.kind == mapping {
			if b, ok := d.fields(v, vp, "runs.*.path[] size"); ok {
				s.Size = d.size(b.node("size"), b.at("size"))
			}
		} else {
			d.refer(v, vp, string(kind), d.setObject(i, k), kind)
		}
		s.Toward = f.word("turns", Sides...)
		s.Turns = s.Toward != ""
		return s, true
	case Body:
		s.Letter = d.word(v, vp, []string{"LB", "LL", "LR", "T", "C"})
		s.Toward = f.word("turns", Sides...)
		s.Turns = s.Toward != ""
		switch {
		case s.Letter == "C" && s.Turns:
			d.fault(diag.Contradiction, f.node("turns"), f.at("turns"), "a C goes straight through and does not turn", "take \"turns\" out, or use an LB, LL or LR")
			return s, false
		case s.Letter != "" && s.Letter != "C" && !f.has("turns"):
			f.missing("turns", fmt.Sprintf(" for an %s", s.Letter), "add \"turns: up\", the way the run goes on")
		}
		return s, s.Letter != ""
	case Entry:
		d.refer(v, vp, "wall", d.setObject(i, k), Wall, Shelter)
		s.Core, s.SlopesOut, s.Firestop = f.length("core", smallDia), f.yes("slopes-out"), d.firestop(f)
		return s, true
	}
	s.Length = quantity[unit.Metre](d, v, vp, smallDia) // an expansion fitting
	s.Jumper = f.said("jumper", "listed")
	return s, s.Length.Set
}

// firestop reads the words of a listed system; "no" is as good as "none", and
// "yes" names no system.
func (d *decoder) firestop(f *fields) string {
	t := f.text("firestop")
	switch strings.ToLower(t) {
	case "none", "no", "false":
		return "none"
	case "yes", "true":
		d.fault(diag.WordUnknown, f.node("firestop"), f.at("firestop"), quote(t)+" names no firestop system", "write the listed system as its label says, or \"none\"")
		return ""
	}
	return t
}

func (d *decoder) setObject(run, step int) func(id string) {
	return func(id string) {
		if run < len(d.site.Runs) && step < len(d.site.Runs[run].Steps) {
			d.site.Runs[run].Steps[step].Object = id
		}
	}
}

// straight reads the length of a straight; one of no length is told as such.
func (d *decoder) straight(n *node, path string) unit.Q[unit.Metre] {
	if n.kind == scalar {
		if v, err := unit.Parse(n.text, unit.Length); err == nil && v == 0 {
			d.fault(diag.ZeroLength, n, path, "the straight has no length", "take the step out; two bends may follow each other")
			return unit.Q[unit.Metre]{}
		}
	}
	return quantity[unit.Metre](d, n, path, runLen)
}

// angle reads an angle; a bare number is in degrees, as the trade says it.
func (d *decoder) angle(n *node, path string, r reach) unit.Q[unit.Degree] {
	if n == nil {
		return unit.Q[unit.Degree]{}
	}
	t := strings.TrimSpace(d.text(n, path))
	if n.kind != scalar {
		return unit.Q[unit.Degree]{}
	}
	return measured[unit.Degree](d, n, path, degrees(t), 0, len(n.text), r)
}

func degrees(t string) string {
	if _, err := strconv.ParseFloat(t, 64); err == nil {
		return t + " deg"
	}
	return t
}

// sided reads a quantity followed by a side: "45 left", "12 in up".
func sided[T ~float64](d *decoder, n *node, path string, r reach, example string) (unit.Q[T], string) {
	t := d.text(n, path)
	if n.kind != scalar {
		return unit.Q[T]{}, ""
	}
	ws := wordsOf(t)
	form := "write it like " + quote(example)
	if len(ws) < 2 {
		d.fault(diag.WrongShape, n, path, quote(t)+" does not say to which side", form)
		return unit.Q[T]{}, ""
	}
	last := ws[len(ws)-1]
	side := ""
	for _, s := range Sides {
		if strings.EqualFold(s, last.text) {
			side = s
		}
	}
	if side == "" {
		mend := "end it with one of: " + some(Sides)
		if near, ok := nearest(last.text, Sides); ok {
			mend = "write " + quote(near)
		}
		d.part(diag.WordUnknown, n, path, last.from, last.to, quote(last.text)+" is not a side", mend)
		return unit.Q[T]{}, ""
	}
	end := ws[len(ws)-2].to
	q := t[ws[0].from:end]
	if r.dim == unit.Angle {
		q = degrees(q)
	}
	return measured[T](d, n, path, q, ws[0].from, end, r), side
}
