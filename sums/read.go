package sums

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"stubup/base/cite"
	"stubup/base/diag"
	"stubup/base/unit"
	"stubup/trade/conductor"
	"stubup/trade/pull"
	"stubup/trade/raceway"
)

// Bounds on what is read: no compound has more, and beyond them a result
// would only be noise.
const (
	maxText  = 400
	maxItems = 60
	maxCount = 100_000
	maxSI    = 1e6
)

// datum is one input as read.
type datum struct {
	text  string // as a person reads it back
	si    float64
	unit  string
	cite  cite.Ref
	n     int
	yes   bool
	word  string
	wire  unit.Wire
	trade unit.Trade
	kind  raceway.Kind
	bare  conductor.Bare
	items []item
}

// item is one member of a list.
type item struct {
	n          int
	wire       unit.Wire
	insulation conductor.Insulation // empty: bare
	solid      bool
	od         unit.Metre
	trade      unit.Trade
	out        unit.Trade // trade size by which a pull leaves
	from, to   raceway.Wall
	spliced    bool
	element    pull.Element
	text       string
}

var siUnits = map[unit.Dim]string{
	unit.Length: "m", unit.Resistance: "ohm", unit.Resistivity: "ohm-m", unit.Angle: "deg", unit.Temperature: "C", unit.Mass: "kg", unit.Force: "N",
	unit.Current: "A", unit.Voltage: "V", unit.Time: "s", unit.Share: "", unit.MassPerLength: "kg/m", unit.ForcePerLength: "N/m", unit.TemperatureDifference: "C",
}

// parse reads one entry of the input. It never panics, whatever the text.
func (in Input) parse(e Entry) (datum, *Fault) {
	fault := func(what, mend string) (datum, *Fault) {
		if mend == "" {
			mend = "write it like " + in.Write()
		}
		return datum{}, &Fault{in.Name, what, mend}
	}
	text := strings.TrimSpace(e.Text)
	if e.IsSI {
		if math.IsNaN(e.SI) || math.IsInf(e.SI, 0) {
			return fault("is not a finite number", "")
		}
		text = strconv.FormatFloat(e.SI, 'g', -1, 64)
	}
	switch {
	case text == "":
		return fault("is empty", "")
	case len(text) > maxText:
		return fault(fmt.Sprintf("is over %d letters", maxText), "")
	}
	for _, r := range text {
		if r < ' ' || r == 0x7f || r == '\uFFFD' {
			return fault(fmt.Sprintf("%q has signs that cannot be read", text), "")
		}
	}
	switch in.Kind {
	case Quantity:
		return in.quantity(e, text, fault)
	case Volume:
		return in.volume(e, text, fault)
	case Count:
		n, err := strconv.Atoi(text)
		least := 1
		if in.Zero {
			least = 0
		}
		most := maxCount
		if in.Most > 0 {
			most = int(in.Most)
		}
		if err != nil || n < least || n > most {
			return fault(fmt.Sprintf("%q is not a count", text), fmt.Sprintf("write a whole number from %d to %d", least, most))
		}
		return datum{text: strconv.Itoa(n), si: float64(n), n: n}, nil
	case Number:
		v, err := strconv.ParseFloat(text, 64)
		most := in.Most
		if most == 0 {
			most = maxSI
		}
		if err != nil || math.IsNaN(v) || v > most || !(v > 0) {
			return fault(fmt.Sprintf("%q is not a number above 0 and up to %s", text, unit.Trim(most, 3)), "")
		}
		return datum{text: unit.Trim(v, 6), si: v}, nil
	case Year:
		n, err := strconv.Atoi(text)
		if err != nil || n < 2008 || n > 2099 {
			return fault(fmt.Sprintf("%q is not the year of an edition", text), "")
		}
		return datum{text: text, si: float64(n), n: n}, nil
	case Choice:
		for _, w := range in.Choices {
			if strings.EqualFold(w.Name, text) {
				return datum{text: w.Name, word: w.Name}, nil
			}
		}
		var names []string
		for _, w := range in.Choices {
			names = append(names, w.Name)
		}
		mend := "write one of " + in.words()
		if n, ok := diag.Nearest(text, names); ok {
			mend = fmt.Sprintf("is it %s? %s", n, mend)
		}
		return fault(fmt.Sprintf("%q is not a choice", text), mend)
	case YesNo:
		switch strings.ToLower(text) {
		case "yes", "y", "true":
			return datum{text: "yes", si: 1, yes: true}, nil
		case "no", "n", "false":
			return datum{text: "no"}, nil
		}
		return fault(fmt.Sprintf("%q is neither yes nor no", text), "")
	case RacewayKind:
		k, err := raceway.ParseKind(text)
		if err != nil {
			var names []string
			for _, k := range raceway.Kinds() {
				names = append(names, string(k))
			}
			mend := "write one of " + strings.Join(names, ", ")
			if n, ok := diag.Nearest(text, names); ok {
				mend = fmt.Sprintf("is it %s? %s", n, mend)
			}
			return fault(fmt.Sprintf("%q is not a kind of raceway", text), mend)
		}
		return datum{text: string(k), word: string(k), kind: k}, nil
	case TradeSize:
		t, mend := readTrade(text)
		if t == 0 {
			return fault(fmt.Sprintf("%q is not a trade size", text), mend)
		}
		return datum{text: t.String(), si: t.Nominal(), unit: "trade size", trade: t}, nil
	case WireSize:
		w, mend := readWire(text)
		if w == 0 {
			return fault(fmt.Sprintf("%q is not a wire size", text), mend)
		}
		return datum{text: w.String(), si: metal(w), unit: "m2", wire: w}, nil
	case BareWire:
		b, err := conductor.ParseBare(normalBare(text))
		if err != nil {
			return fault(err.Error(), "")
		}
		d, ref := b.Diameter()
		if !(d > 0) {
			return fault(fmt.Sprintf("%q: no diameter is carried for it", text), "")
		}
		return datum{text: b.String(), si: float64(d), unit: "m", bare: b, wire: b.Size, cite: ref}, nil
	}
	return in.list(text, fault)
}

type faulting func(what, mend string) (datum, *Fault)

func (in Input) quantity(e Entry, text string, fault faulting) (datum, *Fault) {
	v := e.SI
	if !e.IsSI {
		var err error
		v, err = unit.Parse(text, in.Dim)
		var ue *unit.Error
		if errors.As(err, &ue) && ue.Fault == unit.NoUnit {
			// Where the trade has one unit only a bare number can mean nothing else.
			if u, ok := map[unit.Dim]string{unit.Angle: " deg", unit.Current: " A", unit.Voltage: " V"}[in.Dim]; ok {
				text += u
				v, err = unit.Parse(text, in.Dim)
			}
		}
		if err != nil {
			mend := ""
			if errors.As(err, &ue) {
				mend = ue.Mend
			}
			return fault(err.Error(), mend)
		}
	} else {
		switch u := siUnits[in.Dim]; {
		case in.Dim == unit.Share:
			text = unit.Trim(v*100, 6) + " %"
		default:
			text += " " + u
		}
	}
	lo, hi := 0.0, in.Most
	open := !in.Zero
	if in.Dim == unit.Temperature {
		lo, open = -273.15, true
		if hi == 0 {
			hi = 1000
		}
	}
	if hi == 0 {
		hi = maxSI
	}
	switch {
	case math.IsNaN(v) || v < lo || open && v == lo:
		return fault(fmt.Sprintf("%q is too small", text), "")
	case v > hi:
		return fault(fmt.Sprintf("%q is too large", text), "")
	case v > 0 && v < 1e-9 && in.Dim != unit.Temperature:
		return fault(fmt.Sprintf("%q is too small", text), "")
	}
	return datum{text: text, si: v, unit: siUnits[in.Dim]}, nil
}

func (in Input) volume(e Entry, text string, fault faulting) (datum, *Fault) {
	if e.IsSI {
		if !(e.SI > 1e-9) || e.SI > 1 {
			return fault(fmt.Sprintf("%q m3 is not the volume of a box", text), "")
		}
		return datum{text: unit.Fixed(raceway.Volume(e.SI).In3(), 1) + " in3", si: e.SI, unit: "m3"}, nil
	}
	for _, u := range []struct {
		name string
		k    float64
	}{{"cubic inches", float64(raceway.CubicInch)}, {"cu in", float64(raceway.CubicInch)}, {"cu. in.", float64(raceway.CubicInch)}, {"in3", float64(raceway.CubicInch)}, {"cm3", 1e-6}, {"mL", 1e-6}, {"ml", 1e-6}} {
		num, ok := strings.CutSuffix(text, u.name)
		if !ok {
			continue
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(num), 64)
		if err != nil || !(v*u.k > 1e-9) || v*u.k > 1 {
			break
		}
		return datum{text: text, si: v * u.k, unit: "m3"}, nil
	}
	return fault(fmt.Sprintf("%q is not the volume of a box", text), "")
}

// list reads the kinds that have members, parted by commas, plus signs or
// semicolons.
func (in Input) list(text string, fault faulting) (datum, *Fault) {
	var d datum
	var words []string
	slope := 0.0 // of a route, so far
	for _, part := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == '+' || r == ';' }) {
		part = strings.TrimSpace(part)
		if part == "" {
			continue
		}
		var it item
		what, mend := "", ""
		switch in.Kind {
		case TradeSizes:
			it.trade, mend = readTrade(part)
			it.text = it.trade.String()
			if it.trade == 0 {
				what = fmt.Sprintf("%q is not a trade size", part)
			}
		case Pulls:
			it, what, mend = readPull(part)
		case Route:
			it, slope, what, mend = readRoute(part, slope)
		default:
			it, what, mend = readCounted(in.Kind, part)
		}
		if what != "" {
			return fault(what, mend)
		}
		words = append(words, it.text)
		d.items = append(d.items, it)
		d.si += float64(max(1, it.n))
	}
	switch {
	case len(d.items) == 0:
		return fault(fmt.Sprintf("%q names nothing", text), "")
	case len(d.items) > maxItems:
		return fault(fmt.Sprintf("has more than %d members", maxItems), "split it")
	}
	sep := " + "
	if in.Kind == Pulls || in.Kind == TradeSizes || in.Kind == Route {
		sep = ", "
	}
	d.text = strings.Join(words, sep)
	return d, nil
}

// readCounted reads "4 x 14 AWG", "3x500 THHN", "1 #8 bare", "2 x 0.44 in".
func readCounted(k Kind, part string) (it item, what, mend string) {
	i := 0
	for i < len(part) && part[i] >= '0' && part[i] <= '9' {
		i++
	}
	n, err := strconv.Atoi(part[:i])
	rest := part[i:]
	after := strings.TrimLeft(rest, " ")
	parted := after != rest
	for _, sep := range []string{"x ", "X ", "×", "x", "X"} {
		if r, ok := strings.CutPrefix(after, sep); ok {
			after, parted = strings.TrimSpace(r), true
			break
		}
	}
	if err != nil || !parted || after == "" {
		return it, fmt.Sprintf("%q does not say how many of what", part), ""
	}
	if n < 1 || n > maxCount {
		return it, fmt.Sprintf("%q: a count of %s", part, strconv.Itoa(n)), ""
	}
	it.n = n
	switch k {
	case Cables:
		v, err := unit.Parse(after, unit.Length)
		if err != nil {
			var ue *unit.Error
			if errors.As(err, &ue) {
				mend = fmt.Sprintf("the diameter of the cable after its count: %s", ue.Mend)
			}
			return it, err.Error(), mend
		}
		if !(v > 1e-5) || v > 1 {
			return it, fmt.Sprintf("%q is not the diameter of a cable", after), ""
		}
		it.od = unit.Metre(v)
		it.text = fmt.Sprintf("%d x %s", n, after)
		return it, "", ""
	case Wires:
		it.wire, mend = readWire(after)
		if it.wire == 0 {
			return it, fmt.Sprintf("%q is not a wire size", after), mend
		}
		it.text = fmt.Sprintf("%d x %v", n, it.wire)
		return it, "", ""
	}
	size, ins := splitSize(after)
	if it.wire, mend = readWire(size); it.wire == 0 {
		if _, err := conductor.ParseInsulation(size); err == nil {
			return it, fmt.Sprintf("%q does not say how many of what", part), ""
		}
		return it, fmt.Sprintf("%q is not a wire size", size), mend
	}
	low := strings.ToLower(ins)
	switch {
	case ins == "":
		return it, fmt.Sprintf("%q does not say its insulation", part), fmt.Sprintf(`write "%d x %s THHN", or XHHW, THW, RHW with its cover, or bare`, n, it.wire.Name())
	case strings.HasPrefix(low, "bare"):
		it.solid = strings.Contains(low, "solid")
		if _, ok := conductor.Table8(it.wire, it.solid); !ok {
			return it, fmt.Sprintf("no bare %v is carried", it.wire), "bare solid goes to 8 AWG; write bare for stranded"
		}
		it.text = fmt.Sprintf("%d x %v bare", n, it.wire)
		if it.solid {
			it.text += " solid"
		}
		return it, "", ""
	}
	in, err := conductor.ParseInsulation(ins)
	if err != nil {
		return it, err.Error(), "write THHN, XHHW, THW, RHW no cover, RHW with cover, or bare"
	}
	it.insulation = in
	if _, _, _, ok := (conductor.Insulated{Size: it.wire, Insulation: in}).Dimensions(); !ok {
		return it, fmt.Sprintf("no dimensions are carried for %v %s", it.wire, in), ""
	}
	it.text = fmt.Sprintf("%d x %v", n, conductor.Insulated{Size: it.wire, Insulation: in})
	return it, "", ""
}

// splitSize parts "500 kcmil THHN" into size and insulation.
func splitSize(s string) (size, rest string) {
	f := strings.Fields(s)
	if len(f) > 1 && (f[0] == "#" || strings.EqualFold(f[0], "no.")) {
		f = append([]string{f[0] + f[1]}, f[2:]...)
	}
	n := 1
	if len(f) > 1 {
		switch strings.ToLower(f[1]) {
		case "awg", "kcmil", "mcm":
			n = 2
		}
	}
	if len(f) < n {
		return s, ""
	}
	return strings.Join(f[:n], " "), strings.Join(f[n:], " ")
}

// readWire reads a wire size as people write it. A zero size comes with what
// to write.
func readWire(s string) (unit.Wire, string) {
	t := strings.ToLower(strings.TrimSpace(s))
	t = strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(t, "#"), "no."))
	u := ""
	for _, x := range []struct{ word, as string }{{"awg", " AWG"}, {"kcmil", " kcmil"}, {"mcm", " kcmil"}} {
		if r, ok := strings.CutSuffix(t, x.word); ok {
			t, u = strings.TrimSpace(r), x.as
			break
		}
	}
	if w, err := unit.ParseWire(t + u); err == nil {
		return w, ""
	}
	if n, ok := map[string]string{"0": "1/0", "00": "2/0", "000": "3/0", "0000": "4/0"}[t]; ok {
		return 0, fmt.Sprintf("write %q", n)
	}
	const span = "sizes are 18, 16, 14, 12, 10, 8, 6, 4, 3, 2, 1, 1/0 to 4/0 AWG, then 250 to 2000 kcmil"
	if v, err := strconv.ParseFloat(t, 64); err == nil && v > 4 {
		var below, above unit.Wire
		for _, w := range unit.Wires() {
			x, err := strconv.ParseFloat(w.Name(), 64)
			if err != nil || (x >= 250) != (v > 18) {
				continue
			}
			if x < v {
				if bx, _ := strconv.ParseFloat(below.Name(), 64); below == 0 || x > bx {
					below = w
				}
			}
			if x > v {
				if ax, _ := strconv.ParseFloat(above.Name(), 64); above == 0 || x < ax {
					above = w
				}
			}
		}
		switch {
		case below != 0 && above != 0:
			return 0, fmt.Sprintf("the nearest are %v and %v", below, above)
		case below != 0 || above != 0:
			return 0, fmt.Sprintf("the nearest is %v", max(below, above))
		}
	}
	return 0, span
}

func normalBare(s string) string {
	size, rest := splitSize(s)
	if w, _ := readWire(size); w != 0 {
		return w.String() + " " + rest
	}
	return s
}

// readTrade reads a trade size. A zero size comes with the nearest ones.
func readTrade(s string) (unit.Trade, string) {
	if t, err := unit.ParseTrade(s); err == nil {
		return t, ""
	}
	v, err := unit.Parse(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSpace(s), "in"), `"`)+" in", unit.Length)
	if err != nil {
		return 0, `write it like "3/4", "2-1/2" or "2.5"`
	}
	mend := nearest(unit.Trades(), v/float64(unit.Inch))
	if t := strings.TrimSpace(s); len(t) > 1 {
		if meant, err := unit.ParseTrade(t[:1] + "-" + t[1:]); err == nil { // "21/2"
			mend = fmt.Sprintf("is it %s? %s", meant.Name(), mend)
		}
	}
	return 0, mend
}

// nearest names the sizes beside v inches.
func nearest(all []unit.Trade, v float64) string {
	var below, above unit.Trade
	for _, t := range all {
		if t.Nominal() < v {
			below = t
		}
		if t.Nominal() > v && above == 0 {
			above = t
		}
	}
	switch {
	case below != 0 && above != 0:
		return fmt.Sprintf("the nearest are %v and %v", below, above)
	case below != 0 || above != 0:
		return fmt.Sprintf("the nearest is %v", max(below, above))
	}
	return "no sizes are carried"
}

var walls = map[string]raceway.Wall{"west": raceway.West, "left": raceway.West, "east": raceway.East, "right": raceway.East, "south": raceway.South, "bottom": raceway.South, "north": raceway.North, "top": raceway.North, "back": raceway.Back}

// readPull reads "3 west to east", "3 west to 2-1/2 north", "2 south spliced".
func readPull(s string) (it item, what, mend string) {
	bad := func() (item, string, string) {
		return item{}, fmt.Sprintf("%q is not a pull", s), "write the trade size, the wall it enters and the wall it leaves by: " + Input{Kind: Pulls}.Write() + "; walls are west, east, south, north, back"
	}
	side := func(f []string) (t unit.Trade, w raceway.Wall, mend string, ok bool) {
		if len(f) == 0 {
			return 0, 0, "", false
		}
		w, ok = walls[strings.ToLower(f[len(f)-1])]
		if !ok {
			return 0, 0, "", false
		}
		if size := strings.TrimSpace(strings.TrimSuffix(strings.Join(f[:len(f)-1], " "), " in")); size != "" {
			if t, mend = readTrade(size); t == 0 {
				return 0, w, mend, true
			}
		}
		return t, w, "", true
	}
	f := strings.Fields(s)
	cut := -1
	for i, w := range f {
		if strings.EqualFold(w, "to") {
			cut = i
		}
	}
	var first, last []string
	switch {
	case cut >= 0:
		first, last = f[:cut], f[cut+1:]
	case len(f) > 1 && (strings.EqualFold(f[len(f)-1], "spliced") || strings.EqualFold(f[len(f)-1], "splice")):
		first, it.spliced = f[:len(f)-1], true
	default:
		return bad()
	}
	var ok bool
	if it.trade, it.from, mend, ok = side(first); !ok {
		return bad()
	}
	if it.trade == 0 {
		if mend == "" {
			return bad()
		}
		return item{}, fmt.Sprintf("%q has no trade size that is made", s), mend
	}
	if it.spliced {
		it.text = fmt.Sprintf("%v %v spliced", it.trade, it.from)
		return it, "", ""
	}
	if it.out, it.to, mend, ok = side(last); !ok {
		return bad()
	}
	if it.out == 0 && mend != "" {
		return item{}, fmt.Sprintf("%q has no trade size that is made", s), mend
	}
	if it.from == raceway.Back && it.to == raceway.Back {
		return item{}, fmt.Sprintf("%q enters and leaves by the back", s), "one end must be in a side wall"
	}
	it.text = fmt.Sprintf("%v %v to %v", it.trade, it.from, it.to)
	if it.out == 0 {
		it.out = it.trade
	} else if it.out != it.trade {
		it.text = fmt.Sprintf("%v %v to %v %v", it.trade, it.from, it.out, it.to)
	}
	return it, "", ""
}

func metal(w unit.Wire) float64 {
	return conductor.CircularMils(w) * float64(conductor.CircularMil)
}
