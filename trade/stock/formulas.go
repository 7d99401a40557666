package stock

import (
	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
)

func sym(s, meaning, u string) trace.Symbol { return trace.Symbol{Sym: s, Meaning: meaning, Unit: u} }

var byHand = cite.Ref{Work: "worked by hand", Place: "takeoff of a compound with 44 welds", Seen: cite.Derived}

func practice(place string) cite.Ref {
	c := cite.Practice
	c.Place = place
	return c
}

// Formulas describes the equations of this package.
var Formulas = []trace.Formula{
	{
		ID: "stock.spares", Name: "spares", Equation: "spare = max(1, ceil(share n))",
		Symbols: []trace.Symbol{sym("spare", "things kept over", "-"), sym("share", "share of spares", "-"), sym("n", "things the job uses", "-")},
		Range:   "n at least 1", Cite: practice("spares"),
		Checks: []trace.Check{
			{Name: "24 at 10 percent", Want: 3, Abs: true, Source: byHand, Got: func() float64 { return float64(Spares(24, 0.1)) }},
			{Name: "6 at 10 percent", Want: 1, Abs: true, Source: byHand, Got: func() float64 { return float64(Spares(6, 0.1)) }},
		},
	},
	{
		ID: "stock.packs", Name: "packs", Equation: "packs = ceil((n + spare) / size)",
		Symbols: []trace.Symbol{sym("packs", "packs to buy", "-"), sym("n", "things the job uses", "-"), sym("spare", "things kept over", "-"), sym("size", "things in a pack", "-")},
		Range:   "each item by itself", Cite: practice("packs"),
		Checks: []trace.Check{{Name: "27 in tens", Want: 3, Abs: true, Source: byHand, Got: func() float64 { return float64(Packs(27, 10)) }}},
	},
	{
		ID: "stock.conductor", Name: "conductor asked for", Equation: "asked = ceil(length (1 + share))",
		Symbols: []trace.Symbol{sym("asked", "length asked for", "ft"), sym("length", "length used", "ft"), sym("share", "share of spare", "-")},
		Range:   "whole feet", Cite: practice("spare conductor"),
		Checks: []trace.Check{{Name: "352 ft and 10 percent", Want: 388, Tol: 1e-9, Source: byHand, Got: func() float64 { p, _ := Conductor(352*unit.Foot, 0.1, nil, 0); return p.Asked.Ft() }}},
	},
	{
		ID: "stock.sticks", Name: "least number of sticks", Equation: "bound = ceil(sum of y d / most that sum of y p is on one stick)",
		Symbols: []trace.Symbol{sym("bound", "no cut list has fewer", "-"), sym("y", "price of a length, 0 to 1, from the linear program", "-"), sym("d", "pieces wanted of a length", "-"), sym("p", "pieces of a length on one stick", "-")},
		Range:   "pieces not longer than a stick, longer ones taking whole sticks first; the bound of the half sizes where that is greater", Cite: cite.Ref{Work: "cutting stock", Place: "dual of the linear program over the ways to cut a stick", Seen: cite.Derived},
		Checks: []trace.Check{{
			Name: "three of 6 ft from 10 ft", Want: 3, Abs: true, Source: cite.Ref{Work: "worked by hand", Place: "no two fit in one", Seen: cite.Derived},
			Got: func() float64 {
				s, _ := CutList([]Piece{{"a", 6 * unit.Foot}, {"b", 6 * unit.Foot}, {"c", 6 * unit.Foot}}, 10*unit.Foot, 0)
				return float64(s.Bound)
			},
		}, {
			Name: "7 of 4 ft and 7 of 3 ft from 10 ft", Want: 6, Abs: true, Source: cite.Ref{Work: "worked by hand", Place: "only 4 + 3 + 3 is full", Seen: cite.Derived},
			Got: func() float64 {
				var p []Piece
				for range 7 {
					p = append(p, Piece{"a", 4 * unit.Foot}, Piece{"b", 3 * unit.Foot})
				}
				s, _ := CutList(p, 10*unit.Foot, 0)
				return float64(s.Bound)
			},
		}},
	},
	{
		ID: "stock.supports", Name: "supports of a straight", Equation: "n = 1 + ceil((L - 2 first) / spacing), 1 for L not over 2 first",
		Symbols: []trace.Symbol{sym("n", "supports", "-"), sym("L", "length", "ft"), sym("first", "greatest distance from an end", "ft"), sym("spacing", "greatest distance between supports", "ft")},
		Range:   "one support within first of each end", Cite: cite.Ref{Work: "NFPA 70", Place: "358.30 and its kin", Seen: cite.FromMemory},
		Checks: []trace.Check{{
			Name: "16 ft of EMT: at 3 and 13 ft", Want: 2, Abs: true, Source: cite.Ref{Work: "worked by hand", Place: "3 + 10 + 3", Seen: cite.Derived},
			Got: func() float64 { return float64(Supports(16*unit.Foot, 10*unit.Foot, 3*unit.Foot)) },
		}},
	},
	{
		ID: "stock.mold", Name: "mold life", Equation: "expect = shots + joints + ceil(joints redo)",
		Symbols: []trace.Symbol{sym("expect", "shots at the end of the job", "-"), sym("shots", "shots fired", "-"), sym("joints", "joints to go", "-"), sym("redo", "share of joints done again", "-")},
		Range:   "its look decides", Cite: practice("mold life"),
		Checks: []trace.Check{{Name: "31 shots, 23 joints, 5 percent", Want: 56, Abs: true, Source: byHand, Got: func() float64 { return float64(MoldLife(31, 23, 0.05, 50, 45).Expect) }}},
	},
}
