package feeder

import (
	"math"
	"strings"
	"testing"

	"stubup/base/unit"
	"stubup/trade/conductor"
)

func system(t *testing.T, s string) System {
	t.Helper()
	y, err := ParseSystem(s)
	if err != nil {
		t.Fatal(err)
	}
	return y
}

func wire(t *testing.T, s string) unit.Wire {
	t.Helper()
	w, err := unit.ParseWire(s)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// The question is whether the switch opens the neutral; the poles of each
// system as the trade has them (120/240 three-wire: 2 solid, 3 switched;
// 208Y/120: 3 solid, 4 switched). NFPA 70 Article 100 and 250.30, from memory.
func TestJudge(t *testing.T) {
	for _, c := range []struct {
		system  string
		neutral Neutral
		poles   int
		want    Answer
		contra  bool
	}{
		{"120/240", NeutralSolid, 2, No, false},
		{"120/240", NeutralSwitched, 3, Yes, false},
		{"120/240", NeutralSolid, 0, No, false},
		{"120/240", NeutralSwitched, 0, Yes, false},
		{"120/240", NeutralSolid, 3, CannotTell, true},
		{"120/240", NeutralSwitched, 2, CannotTell, true},
		{"120/240", NeutralUnknown, 2, CannotTell, false},
		{"120/240", NeutralUnknown, 3, CannotTell, false},
		{"120/240", NeutralUnknown, 0, CannotTell, false},
		{"120/240", NeutralUnknown, 4, CannotTell, true},
		{"120/240", NeutralSolid, 4, CannotTell, true},
		{"208Y/120", NeutralSolid, 3, No, false},
		{"208Y/120", NeutralSwitched, 4, Yes, false},
		{"208Y/120", NeutralSolid, 4, CannotTell, true},
		{"208Y/120", NeutralSwitched, 3, CannotTell, true},
		{"480Y/277", NeutralSwitched, 4, Yes, false},
		{"240 delta", NeutralUnknown, 3, Yes, false},
		{"240 delta", NeutralSolid, 3, CannotTell, true},
		{"240 delta", NeutralUnknown, 4, CannotTell, true},
		{"120/240", "maybe", 2, CannotTell, true},
	} {
		f := Judge(Transfer{System: system(t, c.system), Neutral: c.neutral, Poles: c.poles})
		if f.SeparatelyDerived != c.want || (len(f.Contradictions) > 0) != c.contra {
			t.Errorf("%s, neutral %q, %d poles: %+v", c.system, c.neutral, c.poles, f)
		}
		if f.Why == "" || len(f.Cite) == 0 || (f.SeparatelyDerived == CannotTell) == (len(f.Bonding) > 0) {
			t.Errorf("%s, neutral %q, %d poles: nothing said or too much: %+v", c.system, c.neutral, c.poles, f)
		}
	}
	if f := Judge(Transfer{}); f.SeparatelyDerived != CannotTell || f.Missing == "" {
		t.Errorf("%+v", f)
	}
}

func TestBondingWords(t *testing.T) {
	has := func(f Finding, s string) bool { return strings.Contains(strings.Join(f.Bonding, "\n"), s) }
	solid := Judge(Transfer{System: system(t, "120/240"), Neutral: NeutralSolid, Poles: 2, Bonded: Yes, Portable: true})
	if !has(solid, "EGC with the feeder") || !has(solid, "removed") || !has(solid, "as found and as left") || !has(solid, "portable") || has(solid, "GEC") {
		t.Errorf("%q", solid.Bonding)
	}
	sw := Judge(Transfer{System: system(t, "120/240"), Neutral: NeutralSwitched, Bonded: No})
	if !has(sw, "ONE place") || !has(sw, "GEC from that same place") || !has(sw, "without a bond") || has(sw, "removed") {
		t.Errorf("%q", sw.Bonding)
	}
}

func TestTogether(t *testing.T) {
	y, n, u := Finding{SeparatelyDerived: Yes}, Finding{SeparatelyDerived: No}, Finding{SeparatelyDerived: CannotTell}
	for _, c := range []struct {
		f                 []Finding
		disagree, unknown bool
	}{{nil, false, false}, {[]Finding{y, y}, false, false}, {[]Finding{y, n}, true, false}, {[]Finding{n, u}, false, true}, {[]Finding{u, y, n}, true, true}} {
		if d, k := Together(c.f); d != c.disagree || k != c.unknown {
			t.Errorf("%v: %v %v", c.f, d, k)
		}
	}
}

// Table 9 example run through the whole path: 250 kcmil copper in steel at
// 0.85 is 0.073 ohm/1000 ft (NFPA 70 Chapter 9 Table 9 worked example).
func TestDropOf(t *testing.T) {
	d, err := DropOf(Run{Size: wire(t, "250"), Conduit: InSteel, Current: ThreePhase, Volts: 480, Amps: 200, Length: 1000 * unit.Foot})
	if err != nil {
		t.Fatal(err)
	}
	if z := d.Z / perKft; math.Abs(z-0.073) > 0.0005 {
		t.Errorf("Z %v", z)
	}
	if want := math.Sqrt(3) * (d.Z / perKft) * 200; math.Abs(float64(d.Volts)-want) > 1e-9 || math.Abs(float64(d.Share)-want/480) > 1e-12 {
		t.Errorf("%+v", d)
	}
	two, _ := DropOf(Run{Size: wire(t, "250"), Conduit: InSteel, Current: ThreePhase, Sets: 2, Volts: 480, Amps: 200, Length: 1000 * unit.Foot})
	if math.Abs(float64(two.Volts*2-d.Volts)) > 1e-9 {
		t.Error("two sets do not halve the drop")
	}
	// -48 V: 2 AWG at 75 C is 0.194 ohm/1000 ft (Table 8): 50 A over 50 ft out
	// and back is 0.97 V.
	dc, err := DropOf(Run{Size: wire(t, "2"), Current: Direct, Volts: 48, Amps: 50, Length: 50 * unit.Foot})
	if err != nil || math.Abs(float64(dc.Volts)-0.97) > 1e-9 {
		t.Error(dc, err)
	}
	for _, bad := range []Run{
		{},
		{Size: wire(t, "2"), Conduit: "clay", Volts: 120, Amps: 1, Length: 1},
		{Size: wire(t, "2"), Conduit: InPVC, Volts: 120, Amps: 1, Length: 1, PF: 1.1},
		{Volts: 48, Amps: 1, Length: 1, Current: Direct},
	} {
		if _, err := DropOf(bad); err == nil {
			t.Errorf("%+v passes", bad)
		}
	}
	one, both, _ := Advice()
	if one != 0.03 || both != 0.05 {
		t.Error(one, both)
	}
}

// Working space at the edges of its rows (WAC 296-24-95703 Table S-1 for the
// first two).
func TestWorkspace(t *testing.T) {
	for _, c := range []struct {
		v    unit.Volt
		cond int
		want float64
	}{{150, 3, 3}, {151, 2, 3.5}, {600, 3, 4}, {601, 3, 5}, {1000, 1, 3}} {
		w, ok := WorkspaceFor(c.v, c.cond)
		if !ok || math.Abs(w.Depth.Ft()-c.want) > 1e-9 {
			t.Errorf("%v V condition %d: %+v", c.v, c.cond, w)
		}
	}
	if _, ok := WorkspaceFor(1001, 1); ok {
		t.Error("1001 V has a row")
	}
	if _, ok := WorkspaceFor(120, 4); ok {
		t.Error("condition 4")
	}
}

// A 200 A feeder of 3/0 copper: 200 A at 75 C, so a 200 A device, 6 AWG EGC,
// 4 AWG GEC and jumper (NFPA 70 310.16, 250.122, 250.66, 250.102(C)(1)).
func TestGroundingFor(t *testing.T) {
	g, err := GroundingFor(Feeder{Size: wire(t, "3/0"), Edition: 2023})
	if err != nil || g.Device != 200 || g.EGC.Size != wire(t, "6") || g.GEC.Size != wire(t, "4") || g.Jumper != wire(t, "4") {
		t.Errorf("%+v %v", g, err)
	}
	// To the ring alone the GEC need not be over 2 AWG.
	g, err = GroundingFor(Feeder{Size: wire(t, "500"), Sets: 2, Edition: 2023, To: conductor.ToRing})
	if err != nil || g.GEC.Size != wire(t, "2") || !g.GEC.Capped || g.Jumper != wire(t, "2/0") {
		t.Errorf("%+v %v", g, err)
	}
	// 1 AWG run where 3 is needed for a 100 A device: EGC 16510 x 83690/52620 = 26259 cmil, over 6 AWG (26240).
	g, err = GroundingFor(Feeder{Size: wire(t, "1"), Needed: wire(t, "3"), Device: 100, Edition: 2023})
	if err != nil || g.EGC.Size != wire(t, "4") {
		t.Errorf("%+v %v", g.EGC, err)
	}
	if _, err := GroundingFor(Feeder{Edition: 2023}); err == nil {
		t.Error("no size passes")
	}
}
