package sums

import (
	"fmt"
	"strings"

	"stubup/base/cite"
	"stubup/base/sheet"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/trade/conductor"
	"stubup/trade/feeder"
	"stubup/trade/ground"
	"stubup/trade/pull"
	"stubup/trade/raceway"
	"stubup/trade/stock"
)

// call is one sum being answered.
type call struct {
	sum    *Sum
	data   map[string]datum
	vals   map[string]*trace.Value
	res    *Result
	faults Faults
}

func (c *call) fail(input, what, mend string) {
	c.faults = append(c.faults, Fault{input, what, mend})
}

func (c *call) has(name string) bool { _, ok := c.data[name]; return ok }

func (c *call) metre(name string) unit.Metre { return unit.Metre(c.data[name].si) }

// in returns the values of inputs, for the descent of a row.
func (c *call) in(names ...string) []*trace.Value {
	var out []*trace.Value
	for _, n := range names {
		if v, ok := c.vals[n]; ok {
			out = append(out, v)
		}
	}
	return out
}

func (c *call) note(format string, a ...any) {
	c.res.Notes = append(c.res.Notes, fmt.Sprintf(format, a...))
}

func (c *call) caution(words ...string) { c.res.Cautions = append(c.res.Cautions, words...) }

// outside says that a row leaves its range: beside the row and once below.
func (c *call) outside(v *trace.Value, why string) {
	v.Outside = why
	for _, o := range c.res.Outside {
		if o == why {
			return
		}
	}
	c.res.Outside = append(c.res.Outside, why)
}

// number is a value with its unit and its words.
type number struct {
	si   float64
	unit string
	text string
}

func (c *call) path(key string) string { return c.sum.Name + "." + key }

// figure keeps a table figure that goes in.
func (c *call) figure(key, name string, q number, ref cite.Ref) *trace.Value {
	v := trace.Input(c.path("figure."+key), name, q.si, q.unit, q.text, trace.Entered, dated(ref))
	c.res.Figures = append(c.res.Figures, v)
	return v
}

// dated drops the edition of a work that has none.
func dated(r cite.Ref) cite.Ref {
	if r.Edition == "any" {
		r.Edition = ""
	}
	return r
}

// row adds a row of the result.
func (c *call) row(key, name string, q number, by trace.By, from ...*trace.Value) *trace.Value {
	by.Cite = dated(by.Cite)
	v := trace.Derive(c.path(key), name, q.si, q.unit, q.text, by, from...)
	c.res.Rows = append(c.res.Rows, Row{Value: v})
	return v
}

// verdict adds a row that says whether a limit holds.
func (c *call) verdict(key, name string, holds bool, words string, by trace.By, from ...*trace.Value) {
	q, mark := number{0, "", words}, sheet.Broken
	if holds {
		q.si, mark = 1, sheet.Holds
	}
	c.row(key, name, q, by, from...)
	c.res.Rows[len(c.res.Rows)-1].Mark = mark
}

// by returns a formula of the trade by its id.
func by(id string) trace.By {
	var all []trace.Formula
	switch pkg, _, _ := strings.Cut(id, "."); pkg {
	case "raceway":
		all = raceway.Formulas
	case "conductor":
		all = conductor.Formulas
	case "feeder":
		all = feeder.Formulas
	case "ground":
		all = ground.Formulas
	case "pull":
		all = pull.Formulas
	case "stock":
		all = stock.Formulas
	}
	for _, f := range all {
		if f.ID == id {
			return trace.By{ID: f.ID, Equation: f.Equation, Cite: f.Cite}
		}
	}
	panic("no formula " + id)
}

// from returns a source without an equation.
func from(ref cite.Ref) trace.By { return trace.By{Cite: ref} }

// plain returns an equation of this package's own, that anyone can check by
// hand.
func plain(equation string) trace.By {
	return trace.By{Equation: equation, Cite: cite.Ref{Work: "arithmetic", Seen: cite.Derived}}
}

func inches(m unit.Metre) number { return number{float64(m), "m", unit.Inches(m)} }

func hundredths(m unit.Metre) number {
	return number{float64(m), "m", unit.Fixed(m.In(), 2) + " in"}
}

func thousandths(m unit.Metre) number {
	return number{float64(m), "m", unit.Fixed(m.In(), 3) + " in"}
}

func feet(m unit.Metre) number { return number{float64(m), "m", unit.Fixed(m.Ft(), 1) + " ft"} }

func feetInches(m unit.Metre) number { return number{float64(m), "m", unit.FeetInches(m)} }

func degrees(d unit.Degree) number {
	return number{float64(d), "deg", unit.Trim(float64(d), 2) + " deg"}
}

func area(a conductor.Area) number {
	return number{float64(a), "m2", unit.Fixed(a.In2(), 4) + " in2"}
}

func volume(v raceway.Volume) number {
	return number{float64(v), "m3", unit.Trim(v.In3(), 2) + " in3"}
}

func share(r unit.Ratio) number {
	return number{float64(r), "", unit.Trim(float64(r)*100, 1) + " %"}
}

func factor(v float64, d int) number { return number{v, "", unit.Trim(v, d)} }

func count(n int) number { return number{float64(n), "", fmt.Sprint(n)} }

func amps(i unit.Ampere) number { return number{float64(i), "A", unit.Trim(float64(i), 1) + " A"} }

func volts(v unit.Volt) number { return number{float64(v), "V", unit.Fixed(float64(v), 2) + " V"} }

func ohms(r unit.Ohm) number { return number{float64(r), "ohm", unit.Ohms(r)} }

func wireSize(w unit.Wire) number { return number{metal(w), "m2", w.String()} }

func tradeSize(t unit.Trade) number { return number{t.Nominal(), "trade size", t.String()} }

func warm(t unit.Celsius) number {
	return number{float64(t), "C", fmt.Sprintf("%s F (%s C)", unit.Trim(t.Fahrenheit(), 1), unit.Trim(float64(t), 1))}
}

func words(s string) number { return number{0, "", s} }

// dim returns the dimensions of a raceway, or says which sizes are near.
func (c *call) dim(kind, trade string) (raceway.Dimensions, bool) {
	k, t := c.data[kind].kind, c.data[trade].trade
	d, ok := raceway.Dim(k, t)
	if !ok {
		mend := nearest(raceway.Sizes(k), t.Nominal())
		if len(raceway.Sizes(k)) == 0 {
			mend = "no dimensions are carried for this kind: its maker has them"
		}
		c.fail(trade, fmt.Sprintf("%s %v is not carried", k, t), mend)
	}
	return d, ok
}

// material reads a material input.
func (c *call) material(name string) conductor.Material {
	m, err := conductor.ParseMaterial(c.data[name].word)
	if err != nil {
		c.fail(name, err.Error(), "write copper or aluminum")
	}
	return m
}
