package site

import (
	"fmt"
	"slices"
	"strings"

	"stubup/base/diag"
	"stubup/base/geom"
	"stubup/base/unit"
)

// keysOfMethod says which keys of an earth test belong to one method only.
var keysOfMethod = []struct {
	key    string
	method TestMethod
}{
	{"toward", FallOfPotential},
	{"outer", FallOfPotential},
	{"zero", FallOfPotential},
	{"asked", FallOfPotential},
	{"around", ClampOn},
}

// leastReadings is how many places of the inner stake show whether a curve is
// flat: one about the middle and one to either side. Common practice, no
// source.
const leastReadings = 3

// tests reads the earth tests. What a test needs to be judged is not asked
// for here: an old report may not say it, and then nobody can tell.
func (d *decoder) tests(top *fields) {
	ids := map[string]string{}
	top.each("tests", func(_ int, n *node, path string) {
		f, ok := d.fields(n, path, "tests[]")
		if !ok {
			return
		}
		t := EarthTest{
			Span: d.place(n, path), ID: f.text("id"), Method: TestMethod(f.word("method", string(FallOfPotential), string(ClampOn), string(TwoPoint))),
			Outer: f.length("outer", runLen), Zero: f.word("zero", "clip", "center"), Trench: f.word("trench", "open", "backfilled"),
			Disconnected: f.said("disconnected", "unknown"), Rain: quantity[unit.Second](d, f.node("rain"), f.at("rain"), waitTime),
			Frozen: f.length("frozen", frostDepth), Wetted: f.said("wetted"), Date: f.date("date"), Calibrated: f.date("calibrated"), Around: f.text("around"),
			Asked: f.lengths("asked", runLen),
		}
		if f.has("clip") {
			t.Clip, t.HasClip = f.point("clip")
		}
		if f.has("toward") {
			t.Toward, t.HasToward = f.point("toward")
		}
		if t.HasClip && t.HasToward && t.Clip.Dist(t.Toward) < geom.Eps {
			d.fault(diag.ZeroLength, f.node("toward"), f.at("toward"), "the lead runs toward the place where it is clipped", "name a place farther along the lead")
			t.Toward, t.HasToward = geom.Point{}, false
		}
		for _, k := range keysOfMethod {
			if f.has(k.key) && t.Method != "" && t.Method != k.method {
				e := f.key(k.key)
				d.fault(diag.KeyUnknown, e, f.at(k.key), fmt.Sprintf("a %s test has no %s", t.Method, quote(k.key)), fmt.Sprintf("take it out, or write \"method: %s\"", k.method))
			}
		}
		d.earthReadings(f, &t)
		if t.Date != "" && t.Calibrated != "" && day(t.Calibrated) > day(t.Date) {
			d.warn(diag.Contradiction, f.node("calibrated"), f.at("calibrated"), fmt.Sprintf("the meter was calibrated after the test of %s", t.Date), "write the last calibration before the test, as the meter's certificate says")
		}
		if t.ID != "" {
			if other, twice := ids[spoken(t.ID)]; twice {
				what := quote(t.ID) + " is here twice"
				if other != t.ID {
					what = fmt.Sprintf("%s and %s are one name when spoken", quote(t.ID), quote(other))
				}
				d.fault(diag.Twice, f.node("id"), f.at("id"), what, "give each test a name of its own")
				return
			}
			ids[spoken(t.ID)] = t.ID
		}
		d.site.Tests = append(d.site.Tests, t)
	})
}

func (d *decoder) earthReadings(f *fields, t *EarthTest) {
	stakes := t.Method == FallOfPotential
	var places []unit.Metre
	f.each("readings", func(_ int, n *node, path string) {
		r, ok := d.fields(n, path, "tests[].readings[]")
		if !ok {
			return
		}
		x := EarthReading{Span: d.place(n, path), At: r.length("at", runLen), Ohms: quantity[unit.Ohm](d, r.node("ohms"), r.at("ohms"), pinOhms)}
		switch {
		case r.has("at") && t.Method != "" && !stakes:
			d.fault(diag.KeyUnknown, r.key("at"), r.at("at"), fmt.Sprintf("a reading of a %s test has no \"at\": there is no inner stake", t.Method), fmt.Sprintf("take it out, or write \"method: %s\"", FallOfPotential))
			x.At = unit.Q[unit.Metre]{}
		case stakes && !r.has("at"):
			d.warn(diag.KeyMissing, n, path, "this reading does not say where the inner stake stood", "add \"at: 40 ft\"; without it nobody can judge the reading")
		case x.At.Set && t.Outer.Set && x.At.SI >= t.Outer.SI-geom.Eps:
			d.fault(diag.Contradiction, r.node("at"), r.at("at"), fmt.Sprintf("the inner stake (%s) is not on this side of the outer stake (%s)", clip(x.At.Text), clip(t.Outer.Text)), "look at the tape again; both are measured from its zero")
			return
		}
		if !x.Ohms.Set {
			return // its diag is told
		}
		t.Readings = append(t.Readings, x)
		if x.At.Set && !slices.Contains(places, x.At.SI) {
			places = append(places, x.At.SI)
		}
	})
	// A fault above took readings out: their number is then not what was
	// written, and one diag is enough.
	if n := f.node("readings"); stakes && n != nil && len(n.items) == len(t.Readings) && len(t.Readings) > 0 && len(places) < leastReadings {
		d.warn(diag.KeyMissing, n, f.at("readings"), fmt.Sprintf("the inner stake stood in %s, and at least %d show whether the curve is flat", count(len(places), "place"), leastReadings), "move the inner stake along the line and add what the meter shows")
	}
}

// continuity reads what was measured between two points.
func (d *decoder) continuity(top *fields) {
	top.each("continuity", func(_ int, n *node, path string) {
		f, ok := d.fields(n, path, "continuity[]")
		if !ok {
			return
		}
		c := Continuity{
			Span: d.place(n, path), From: f.pointID("from"), To: f.pointID("to"), Ohms: quantity[unit.Ohm](d, f.node("ohms"), f.at("ohms"), pinOhms),
			Temperature: quantity[unit.Celsius](d, f.node("temperature"), f.at("temperature"), airTemp),
		}
		if c.From == "" || c.To == "" || !c.Ohms.Set {
			return
		}
		if c.From == c.To {
			d.fault(diag.ZeroLength, f.node("to"), f.at("to"), fmt.Sprintf("the reading goes from %s to itself", c.From), "name the point at the other lead")
			return
		}
		d.site.Continuity = append(d.site.Continuity, c)
	})
}

// pointID reads the number of a point, by its form alone.
func (f *fields) pointID(key string) string {
	n, t := f.node(key), f.text(key)
	if n == nil || n.kind != scalar || isID(t) {
		return t
	}
	f.d.fault(diag.WordUnknown, n, f.at(key), quote(t)+" is not a point number", "write it like J4, as the tag says")
	return ""
}

// date reads a date or a time, kept as written; empty after a diag.
func (f *fields) date(key string) string {
	n, t := f.node(key), f.text(key)
	if n == nil || n.kind != scalar || isTime(t) {
		return t
	}
	f.d.fault(diag.WordUnknown, n, f.at(key), quote(t)+" is not a date", "write it like 2026-05-18")
	return ""
}

// day returns the part of a date or time that days are compared by.
func day(t string) string { return strings.SplitN(t, "T", 2)[0] }

// lengths reads a length, or a list of them.
func (f *fields) lengths(key string, r reach) (out []unit.Q[unit.Metre]) {
	one := func(n *node, path string) {
		if q := quantity[unit.Metre](f.d, n, path, r); q.Set {
			out = append(out, q)
		}
	}
	if n := f.node(key); n != nil && n.kind == scalar {
		one(n, f.at(key))
		return out
	}
	f.each(key, func(_ int, n *node, path string) { one(n, path) })
	return out
}
