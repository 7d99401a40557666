package raceway

import (
	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/trade/conductor"
)

func tradeSize(s string) unit.Trade {
	t, err := unit.ParseTrade(s)
	if err != nil {
		panic(err)
	}
	return t
}

func wire(s string) unit.Wire {
	w, err := unit.ParseWire(s)
	if err != nil {
		panic(err)
	}
	return w
}

func thhn(n int, size string) Filler {
	f, _, err := Conductors(n, conductor.Insulated{Size: wire(size), Insulation: conductor.THHN})
	if err != nil {
		panic(err)
	}
	return f
}

func sym(s, meaning, u string) trace.Symbol { return trace.Symbol{Sym: s, Meaning: meaning, Unit: u} }

var (
	byHand     = cite.Ref{Work: "worked by hand", Place: "right triangle", Seen: cite.Derived}
	navy       = cite.Ref{Work: "NAVEDTRA 14026", Place: "p. 5-26 and Table 5-3", Seen: cite.Read}
	lesson     = cite.Ref{Work: "apprenticeship text, conduit fabrication", Place: "lesson 4 worked example", Seen: cite.Read}
	sheet      = cite.Ref{Work: "hand-bender instruction sheet", Place: "pp. 2, 9", Seen: cite.Read}
	geoFormula = geometryRef
)

// Formulas describes the equations of this package.
var Formulas = []trace.Formula{
	{
		ID: "raceway.fill.area", Name: "area of a set of conductors against the allowed share", Equation: "sum(A) <= share x pi/4 ID^2",
		Symbols: []trace.Symbol{sym("sum(A)", "areas of all conductors and cables", "in2"), sym("share", "allowed share: 0.53 one, 0.31 two, 0.40 more, 0.60 nipple", "-"), sym("ID", "inside diameter", "in")},
		Range:   "any set; the count test replaces it for conductors of one size", Cite: cite.Ref{Work: "NFPA 70", Edition: "2011-2023", Place: "Chapter 9 Tables 1, 4, 5", Seen: cite.Read},
		Checks: []trace.Check{
			{
				Name: "3 x 500 kcmil + 250 + 3 AWG THHN", Want: 2.6162, Tol: 0.0001, Abs: true, Source: cite.Ref{Work: "trade magazine", Place: "code calculations", Seen: cite.Read},
				Got: func() float64 {
					f, _ := CheckFill(PVC40, tradeSize("3"), []Filler{thhn(3, "500"), thhn(1, "250"), thhn(1, "3")}, false)
					return f.Used.In2()
				},
			},
			{
				Name: "three cables of 1.6 in", Want: 6.03, Tol: 0.005, Abs: true, Source: cite.Ref{Work: "trade magazine", Edition: "2001", Place: "cable pulling, November", Seen: cite.Read},
				Got: func() float64 {
					f, _ := CheckFill(PVC40, tradeSize("6"), []Filler{Cable(3, "cable", 1.6*unit.Inch)}, false)
					return f.Used.In2()
				},
			},
		},
	},
	{
		ID: "raceway.fill.count", Name: "greatest count of conductors of one size", Equation: "n = share x pi/4 ID^2 / A, 0.8 and over rounds up",
		Symbols: []trace.Symbol{sym("n", "greatest count", "-"), sym("share", "allowed share", "-"), sym("ID", "inside diameter", "in"), sym("A", "printed area of one conductor", "in2")},
		Range:   "conductors of one size and insulation; within 0.02 of the rounding a printed count may differ by one", Cite: cite.Ref{Work: "NFPA 70", Edition: "2011-2023", Place: "Chapter 9 Table 1 note 7", Seen: cite.Read},
		Checks: []trace.Check{
			{
				Name: "14 AWG THHN in 1/2 EMT", Want: 12, Abs: true, Source: cite.Ref{Work: "NFPA 70", Place: "Annex C, EMT"},
				Got: func() float64 {
					n, _, _ := MaxCount(EMT, tradeSize("1/2"), thhn(1, "14").Area)
					return float64(n)
				},
			},
			{
				Name: "500 kcmil THHN in 5 PVC-80", Want: 10, Abs: true, Source: cite.Ref{Work: "NFPA 70", Place: "Annex C, PVC schedule 80"},
				Got: func() float64 {
					n, _, _ := MaxCount(PVC80, tradeSize("5"), thhn(1, "500").Area)
					return float64(n)
				},
			},
		},
	},
	{
		ID: "raceway.box.straight", Name: "pull box, straight pull", Equation: "L = 8 x largest",
		Symbols: []trace.Symbol{sym("L", "least length between the walls", "in"), sym("largest", "largest trade size by name", "in")},
		Range:   "trade size 3/4 and larger with 4 AWG and larger, up to 1000 V", Cite: cite.Ref{Work: "NFPA 70", Place: "314.28(A)(1)", Seen: cite.Read},
		Checks: []trace.Check{{
			Name: "2-1/2, 2 and 1-1/2", Want: 20, Tol: 1e-9, Source: cite.Ref{Work: "trade magazine", Edition: "2000", Place: "quiz on pull boxes", Seen: cite.Read},
			Got: func() float64 {
				l, _ := StraightPull(tradeSize("2-1/2"), tradeSize("2"), tradeSize("1-1/2"))
				return l.In()
			},
		}},
	},
	{
		ID: "raceway.box.angle", Name: "pull box, angle and U pulls and splices", Equation: "D = 6 x largest + sum of the others in the row",
		Symbols: []trace.Symbol{sym("D", "least distance to the opposite wall", "in"), sym("largest", "largest trade size of the row", "in")},
		Range:   "trade size 3/4 and larger with 4 AWG and larger, up to 1000 V; the greatest over the rows", Cite: cite.Ref{Work: "NFPA 70", Place: "314.28(A)(2)", Seen: cite.Read},
		Checks: []trace.Check{{
			Name: "4, 2 and 2", Want: 28, Tol: 1e-9, Source: cite.Ref{Work: "public answer page", Place: "314.28", Seen: cite.Read},
			Got: func() float64 {
				l, _ := AnglePull(tradeSize("4"), tradeSize("2"), tradeSize("2"))
				return l.In()
			},
		}},
	},
	{
		ID: "raceway.box.fill", Name: "box fill", Equation: "V = sum(n v)",
		Symbols: []trace.Symbol{sym("V", "least volume of the box", "in3"), sym("n", "count of an allowance", "-"), sym("v", "volume of its conductor size", "in3")},
		Range:   "18 to 6 AWG", Cite: cite.Ref{Work: "NFPA 70", Edition: "2023", Place: "314.16(B)", Seen: cite.Read},
		Checks: []trace.Check{{
			Name: "four 14, two 12, clamps, three EGC, a 12 AWG duplex", Want: 21.5, Tol: 1e-9, Source: cite.Ref{Work: "public page", Place: "314.16 example", Seen: cite.Read},
			Got: func() float64 {
				b, _ := BoxFillOf(BoxContent{
					Conductors: map[unit.Wire]int{wire("14"): 4, wire("12"): 2}, Clamps: true,
					Grounds: []unit.Wire{wire("12"), wire("12"), wire("12")}, Devices: []Device{{Size: wire("12")}}, Edition: 2023,
				})
				return b.Volume.In3()
			},
		}},
	},
	{
		ID: "raceway.body", Name: "conduit body for small conductors", Equation: "A = 2 x pi/4 ID^2",
		Symbols: []trace.Symbol{sym("A", "least inside cross-section of the body", "in2"), sym("ID", "inside diameter of the largest raceway", "in")},
		Range:   "6 AWG and smaller; larger conductors make the body a pull box", Cite: cite.Ref{Work: "NFPA 70", Place: "314.16(C)(1)", Seen: cite.FromMemory},
		Checks: []trace.Check{{
			Name: "2 EMT, twice the printed 3.356", Want: 6.712, Tol: 0.001, Abs: true, Source: cite.Ref{Work: "NFPA 70", Edition: "2011", Place: "Chapter 9 Table 4"},
			Got: func() float64 { a, _, _ := BodyArea(EMT, tradeSize("2")); return a.In2() },
		}},
	},
	{
		ID: "raceway.expansion.change", Name: "thermal change of length", Equation: "d = a L dT",
		Symbols: []trace.Symbol{sym("d", "change of length", "in"), sym("a", "thermal coefficient", "1/F"), sym("L", "length of the run", "in"), sym("dT", "temperature change of the pipe", "F")},
		Range:   "PVC, RTRC, steel, aluminum; HDPE by its maker", Cite: cite.Ref{Work: "NFPA 70", Edition: "2020-2023", Place: "352.44(A), Table 352.44(A)", Seen: cite.Read},
		Checks: []trace.Check{
			{
				Name: "90 ft of PVC, -10 to 110 F", Want: 4.38, Tol: 0.01, Abs: true, Source: cite.Ref{Work: "expansion-fitting manual", Place: "p. 4", Seen: cite.Read},
				Got: func() float64 {
					d, _, _ := LengthChange(PVC, 90*unit.Foot, 120*unit.Celsius(5)/9)
					return d.In()
				},
			},
			{
				Name: "100 ft of steel over 100 F", Want: 0.78, Tol: 0.005, Abs: true, Source: cite.Ref{Work: "steel conduit expansion", Place: "Table 3", Seen: cite.Read},
				Got: func() float64 {
					d, _, _ := LengthChange(Steel, 100*unit.Foot, 100*unit.Celsius(5)/9)
					return d.In()
				},
			},
		},
	},
	{
		ID: "raceway.expansion.set", Name: "setting of an expansion fitting", Equation: "open = travel (Tmax - Tset)/(Tmax - Tmin)",
		Symbols: []trace.Symbol{sym("open", "travel left for growth", "in"), sym("travel", "travel of the fittings", "in"), sym("Tmax", "hottest pipe", "F"), sym("Tmin", "coldest pipe", "F"), sym("Tset", "pipe when it is set", "F")},
		Range:   "Tset within the range; slack shared in proportion", Cite: cite.Ref{Work: "expansion-fitting manual", Place: "p. 4", Seen: cite.Read},
		Checks: []trace.Check{{
			Name: "4 in of travel, -10 to 140 F, set at 70 F", Want: 1.87, Tol: 0.005, Abs: true, Source: cite.Ref{Work: "worked by hand", Place: "4 x 70/150", Seen: cite.Derived},
			Got: func() float64 {
				f := unit.FromFahrenheit
				e, _ := Expand(PVC, 60*unit.Foot, f(-10), f(140), f(70), 4*unit.Inch)
				return e.Open.In()
			},
		}},
	},
	{
		ID: "raceway.expansion.longest", Name: "longest run without an expansion fitting", Equation: "L = trigger / (a dT)",
		Symbols: []trace.Symbol{sym("L", "length", "ft"), sym("trigger", "change that asks for a fitting", "in"), sym("a", "thermal coefficient", "1/F"), sym("dT", "temperature change of the pipe", "F")},
		Range:   "as the change of length", Cite: cite.Ref{Work: "NFPA 70", Place: "352.44(A)", Seen: cite.Read},
		Checks: []trace.Check{{
			Name: "PVC over 100 F", Want: 6.2, Tol: 0.05, Abs: true, Source: cite.Ref{Work: "expansion fitting use and care guide", Place: "p. 65", Seen: cite.Read},
			Got: func() float64 {
				l, _ := LongestWithout(PVC, 100*unit.Celsius(5)/9)
				return l.Ft()
			},
		}},
	},
	{
		ID: "raceway.bend.length", Name: "developed length of a bend", Equation: "L = R t",
		Symbols: []trace.Symbol{sym("L", "pipe in the bend", "in"), sym("R", "centerline radius", "in"), sym("t", "angle", "rad")},
		Range:   "one radius", Cite: geoFormula,
		Checks: []trace.Check{{
			Name: "24 in radius, 90 degrees, by the shop factor 1.57", Want: 37.68, Tol: 0.02, Abs: true, Source: lesson,
			Got: func() float64 { return DevelopedLength(24*unit.Inch, 90).In() },
		}},
	},
	{
		ID: "raceway.bend.tangent", Name: "corner of the centerlines to the end of the bend", Equation: "T = R tan(t/2)",
		Symbols: []trace.Symbol{sym("T", "distance", "in"), sym("R", "centerline radius, or the spacing of a rack", "in"), sym("t", "angle", "rad")},
		Range:   "under 180 degrees", Cite: geoFormula,
		Checks: []trace.Check{{Name: "90 degrees: the radius itself", Want: 24, Tol: 1e-12, Source: byHand, Got: func() float64 { return Tangent(24*unit.Inch, 90).In() }}},
	},
	{
		ID: "raceway.bend.gain", Name: "gain of a bend", Equation: "G = 2 R tan(t/2) - R t",
		Symbols: []trace.Symbol{sym("G", "pipe saved against a square corner of the centerlines", "in"), sym("R", "centerline radius", "in"), sym("t", "angle", "rad")},
		Range:   "under 180 degrees; to the backs of a 90 degree bend add the outside diameter", Cite: geoFormula,
		Checks: []trace.Check{{
			Name: "90 degrees: 0.4292 R", Want: 4.292, Tol: 0.0005, Abs: true, Source: cite.Ref{Work: "common shop factor", Place: "gain of a 90 degree bend", Seen: cite.FromMemory},
			Got: func() float64 { return Gain(10*unit.Inch, 90).In() },
		}},
	},
	{
		ID: "raceway.bend.cut", Name: "pipe for a stub and a leg", Equation: "L = stub + leg - ((2 - pi/2) R + OD)",
		Symbols: []trace.Symbol{sym("L", "pipe", "in"), sym("stub", "stub to the back of the bend", "in"), sym("leg", "leg to the back of the bend", "in"), sym("R", "centerline radius", "in"), sym("OD", "outside diameter", "in")},
		Range:   "one 90 degree bend", Cite: geoFormula,
		Checks: []trace.Check{{
			Name: "the parts of the segment bend of 48 and 44 in add up to it", Want: 22.8125 + 37.68 + 18.8125, Tol: 0.03, Abs: true, Source: lesson,
			Got: func() float64 { return CutLength(48*unit.Inch, 44*unit.Inch, 24*unit.Inch, 2.375*unit.Inch).In() },
		}},
	},
	{
		ID: "raceway.offset.marks", Name: "offset: multiplier and straight between bends", Equation: "between = H / sin t; straight = (H - 2R (1 - cos t)) / sin t",
		Symbols: []trace.Symbol{sym("between", "corner to corner of the centerlines", "in"), sym("straight", "straight between the bends", "in"), sym("H", "offset between centerlines", "in"), sym("R", "centerline radius", "in"), sym("t", "angle of each bend", "rad")},
		Range:   "straight not negative, otherwise refused; up to 90 degrees", Cite: geoFormula,
		Checks: []trace.Check{{
			Name: "30 degrees: multiplier 2", Want: 2, Tol: 0.001, Abs: true, Source: navy,
			Got: func() float64 { o, _ := OffsetOf(unit.Inch, 30, 0); return o.Multiplier },
		}},
	},
	{
		ID: "raceway.offset.shrink", Name: "offset: shrink", Equation: "shrink = H tan(t/2) - 2R (2 tan(t/2) - t)",
		Symbols: []trace.Symbol{sym("shrink", "pipe used less distance gained", "in"), sym("H", "offset between centerlines", "in"), sym("R", "centerline radius", "in"), sym("t", "angle of each bend", "rad")},
		Range:   "as the offset", Cite: geoFormula,
		Checks: []trace.Check{{
			Name: "8 in at 30 degrees, shop constant 1/4 in per in", Want: 2, Tol: 0.15, Abs: true, Source: cite.Ref{Work: "residential wiring textbook", Edition: "2021", Place: "p. 145", Seen: cite.Read},
			Got: func() float64 { o, _ := OffsetOf(8*unit.Inch, 30, 0); return o.Shrink.In() },
		}},
	},
	{
		ID: "raceway.saddle3", Name: "three-bend saddle", Equation: "outer = H / sin t; shift = H tan(t/2) - 2R (2 tan(t/2) - t); shrink = 2 shift",
		Symbols: []trace.Symbol{sym("outer", "corner of an outer bend to the corner of half the center bend", "in"), sym("shift", "center mark away from the near end", "in"), sym("shrink", "of the whole saddle", "in"), sym("H", "height to the centerline", "in"), sym("R", "centerline radius", "in"), sym("t", "angle of an outer bend, half of the center bend", "rad")},
		Range:   "as the offset", Cite: geoFormula,
		Checks: []trace.Check{{
			Name: "4 in, 45 degree center: shift by shop constants 0.75", Want: 0.75, Tol: 0.05, Abs: true, Source: navy,
			Got: func() float64 { s, _ := Saddle3Of(4*unit.Inch, 22.5, 0); return s.Shift.In() },
		}},
	},
	{
		ID: "raceway.kick", Name: "kick", Equation: "travel = H / sin t; mark = travel - R tan(t/2)",
		Symbols: []trace.Symbol{sym("travel", "corner to the end of the leg", "in"), sym("mark", "end of the leg to the bend", "in"), sym("H", "rise", "in"), sym("R", "centerline radius", "in"), sym("t", "angle", "rad")},
		Range:   "under 90 degrees, mark not negative", Cite: geoFormula,
		Checks: []trace.Check{{Name: "4 in at 30 degrees", Want: 8, Tol: 1e-9, Source: byHand, Got: func() float64 { k, _ := KickOf(4*unit.Inch, 30, 0); return k.Travel.In() }}},
	},
	{
		ID: "raceway.rolling", Name: "rolling offset", Equation: "H = sqrt(rise^2 + roll^2)",
		Symbols: []trace.Symbol{sym("H", "true offset", "in"), sym("rise", "rise", "in"), sym("roll", "roll", "in")},
		Range:   "any", Cite: geoFormula,
		Checks: []trace.Check{{Name: "3, 4, 5", Want: 5, Tol: 1e-12, Source: byHand, Got: func() float64 { h, _ := Rolling(3*unit.Inch, 4*unit.Inch); return h.In() }}},
	},
	{
		ID: "raceway.segment", Name: "segment bend", Equation: "D1 = stub - (R + OD/2); D2 = leg - (R + OD/2); spacing = R pi/2 / n; total = D1 + R pi/2 + D2",
		Symbols: []trace.Symbol{sym("D1", "end of the stub to the arc", "in"), sym("D2", "end of the leg to the arc", "in"), sym("spacing", "between shots", "in"), sym("total", "pipe", "in"), sym("stub", "stub to the back", "in"), sym("leg", "leg to the back", "in"), sym("R", "centerline radius", "in"), sym("OD", "outside diameter", "in"), sym("n", "shots", "-")},
		Range:   "90 degrees", Cite: geoFormula,
		Checks: []trace.Check{
			{Name: "D1", Want: 22.8125, Tol: 0.0001, Abs: true, Source: lesson, Got: func() float64 {
				s, _ := SegmentedOf(48*unit.Inch, 44*unit.Inch, 24*unit.Inch, 2.375*unit.Inch, 18)
				return s.D1.In()
			}},
			{Name: "spacing of 18 shots", Want: 2.09, Tol: 0.006, Abs: true, Source: lesson, Got: func() float64 {
				s, _ := SegmentedOf(48*unit.Inch, 44*unit.Inch, 24*unit.Inch, 2.375*unit.Inch, 18)
				return s.Spacing.In()
			}},
		},
	},
	{
		ID: "raceway.concentric", Name: "concentric bends", Equation: "R2 = R1 + OD1/2 + gap + OD2/2",
		Symbols: []trace.Symbol{sym("R2", "radius of the next bend", "in"), sym("R1", "radius of this bend", "in"), sym("OD1", "outside diameter of this", "in"), sym("gap", "clear gap", "in"), sym("OD2", "outside diameter of the next", "in")},
		Range:   "bends of one center", Cite: geoFormula,
		Checks: []trace.Check{{
			Name: "20 in, two of 2.375 in, gap 2 in", Want: 24.375, Tol: 0.001, Abs: true, Source: cite.Ref{Work: "published summary", Place: "concentric bends", Seen: cite.Read},
			Got: func() float64 {
				return ConcentricRadius(20*unit.Inch, 2.375*unit.Inch, 2*unit.Inch, 2.375*unit.Inch).In()
			},
		}},
	},
	{
		ID: "raceway.tank", Name: "raceway round a tank", Equation: "t = 360 L / (2 pi R)",
		Symbols: []trace.Symbol{sym("t", "bend of each stick", "deg"), sym("L", "length of a stick", "ft"), sym("R", "centerline radius", "ft")},
		Range:   "sticks bent evenly", Cite: geoFormula,
		Checks: []trace.Check{{Name: "six sticks of 10 ft round a circle of 60 ft", Want: 60, Tol: 1e-4, Source: byHand, Got: func() float64 { return float64(TankAngle(9.5493*unit.Foot, 10*unit.Foot)) }}},
	},
	{
		ID: "raceway.takeup", Name: "mark of a stub", Equation: "mark = stub - takeup",
		Symbols: []trace.Symbol{sym("mark", "arrow from the end of the pipe", "in"), sym("stub", "height of the stub", "in"), sym("takeup", "take-up of the shoe", "in")},
		Range:   "hand benders; the shoe in hand decides", Cite: sheet,
		Checks: []trace.Check{{Name: "8 in stub, 1/2 EMT", Want: 3, Tol: 1e-9, Source: sheet, Got: func() float64 { m, _, _ := TakeUpMark(EMT, tradeSize("1/2"), 8*unit.Inch); return m.In() }}},
	},
	{
		ID: "raceway.lead", Name: "arrow of a shoe before the start of the arc", Equation: "lead = takeup - (R + OD/2)",
		Symbols: []trace.Symbol{sym("lead", "arrow to the start of the arc, along the pipe", "in"), sym("takeup", "back of a 90 degree bend to the arrow", "in"), sym("R", "radius of the shoe to the centerline", "in"), sym("OD", "outside diameter", "in")},
		Range:   "any angle, the hook toward the measuring end; the shoe in hand decides", Cite: geoFormula,
		Checks: []trace.Check{{
			Name: "1 in EMT, take-up 8 in, radius 6 in", Want: 1.4185, Tol: 0.0001, Abs: true, Source: byHand,
			Got: func() float64 {
				l, _ := Bender{Kind: EMT, Trade: tradeSize("1"), Radius: 6 * unit.Inch, TakeUp: 8 * unit.Inch}.Lead()
				return l.In()
			},
		}},
	},
	{
		ID: "raceway.pvc.heated", Name: "pipe to be heated for a bend of PVC", Equation: "heated = (R + OD/2) t",
		Symbols: []trace.Symbol{sym("heated", "along the outside of the bend", "in"), sym("R", "radius to the centerline", "in"), sym("OD", "outside diameter", "in"), sym("t", "angle", "rad")},
		Range:   "PVC, R no less than Table 2 and 4.5 OD", Cite: geoFormula,
		Checks: []trace.Check{{
			Name: "2 in PVC, 90 degrees on 24 in", Want: 39.5644, Tol: 0.0001, Abs: true, Source: cite.Ref{Work: "worked by hand", Place: "(24 + 1.1875) pi/2", Seen: cite.Derived},
			Got: func() float64 {
				f, _ := HeatFormOf(PVC40, tradeSize("2"), 90, 24*unit.Inch)
				return f.Heated.In()
			},
		}},
	},
	{
		ID: "raceway.rack.start", Name: "raceways of a rack bent to one radius", Equation: "start = offset tan(t/2)",
		Symbols: []trace.Symbol{sym("start", "arc begins later than that of the innermost by", "in"), sym("offset", "centerline from that of the innermost", "in"), sym("t", "angle", "rad")},
		Range:   "one plane, one radius; 0 for concentric bends", Cite: geoFormula,
		Checks: []trace.Check{{
			Name: "2 pipes of 1 in, 1 in apart, 30 degrees", Want: 0.5359, Tol: 0.0001, Abs: true, Source: cite.Ref{Work: "worked by hand", Place: "2 tan 15", Seen: cite.Derived},
			Got: func() float64 {
				q, _ := Parallel([]unit.Metre{unit.Inch, unit.Inch}, unit.Inch, 8*unit.Inch, 30)
				return q[1].Start.In()
			},
		}},
	},
	{
		ID: "raceway.pvc.heat", Name: "heating time of PVC", Equation: "t = 30 s x trade / (1/2 in)",
		Symbols: []trace.Symbol{sym("t", "time of even heat", "s"), sym("trade", "trade size by name", "in")},
		Range:   "identified heating equipment only, no torch", Cite: cite.Ref{Work: "bender manual, name withheld", Place: "p. 8", Seen: cite.Read},
		Checks: []trace.Check{{
			Name: "trade size 2", Want: 120, Tol: 1e-9, Source: cite.Ref{Work: "bender manual, name withheld", Place: "p. 8", Seen: cite.Read},
			Got: func() float64 { s, _ := MinHeatTime(tradeSize("2")); return float64(s) },
		}},
	},
	{
		ID: "raceway.telecom.radius", Name: "bend radius of a telecom pathway", Equation: "R = 6 ID to 2 in, 10 ID above and for fiber backbone",
		Symbols: []trace.Symbol{sym("R", "least inside radius", "in"), sym("ID", "inside diameter, taken as the trade size", "in")},
		Range:   "telecom pathways", Cite: cite.Ref{Work: "ANSI/TIA-569", Place: "pathways, bend radius", Seen: cite.FromMemory},
		Checks: []trace.Check{{
			Name: "trade size 4", Want: 40, Tol: 1e-9, Source: cite.Ref{Work: "ANSI/TIA-569", Place: "pathways, bend radius", Seen: cite.FromMemory},
			Got: func() float64 { r, _ := TelecomRadius(tradeSize("4"), false); return r.In() },
		}},
	},
	{
		ID: "raceway.fiber.radius", Name: "bend radius of fiber cable", Equation: "r = 10 OD at rest, 20 OD while pulled",
		Symbols: []trace.Symbol{sym("r", "least bend radius", "in"), sym("OD", "outside diameter of the cable", "in")},
		Range:   "outside plant; the cable's sheet decides", Cite: cite.Ref{Work: "ANSI/TIA-568-B.3", Place: "outside plant cable", Seen: cite.Read},
		Checks: []trace.Check{{
			Name: "0.5 in at rest", Want: 5, Tol: 1e-9, Source: cite.Ref{Work: "ANSI/TIA-568-B.3", Place: "limits, public summary", Seen: cite.Read},
			Got: func() float64 { r, _ := FiberRadius(0.5*unit.Inch, Resting); return r.In() },
		}},
	},
}
