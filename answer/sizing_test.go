package answer_test

import (
	"math"
	"strings"
	"testing"

	"stubup/base/unit"
)

func sized(t testing.TB, change ...string) (w, device string, say string) {
	t.Helper()
	s := with(t, "", change...)
	b := book(s)
	z := b.FeederSize(&s.Feeders[0])
	if !z.OK() {
		return "", z.Missing, strings.Join(z.Say, "; ")
	}
	return z.Size.String(), amps(float64(z.Device)), strings.Join(z.Say, "; ")
}

func amps(a float64) string { return unit.Trim(a, 0) + " A" }

// The generator's feeder of the reference compound, from its document, by hand
// from the printed tables: THWN-2 in a raceway below grade is 90 C, 110 F is
// 43.3 C and so 0.87, two hot conductors of a three-wire single-phase feeder
// count.
func TestFeederFromTheSite(t *testing.T) {
	const written = "    amps: 100 A\n"
	for _, c := range []struct {
		name, size, device, says string
		change                   []string
	}{
		// 100 A at 75 C terminals: 3 AWG, and 115 x 0.87 = 100.05 A hold.
		{"as written", "3 AWG", "100 A", "", nil},
		// Not marked: the 60 C column up to 100 A, 1 AWG carries 110.
		{"not marked", "1 AWG", "100 A", "marking is not said", []string{"    terminals: 75 C\n", ""}},
		// All continuous: 125 A asks for 1 AWG and a 125 A device.
		{"continuous", "1 AWG", "125 A", "", []string{written, written + "    continuous: 100 A\n", "    ocpd: 100 A\n", ""}},
		// 125 F is 51.7 C: 0.76 x 130 = 98.8 A is under 100, 2 AWG no longer does.
		{"hotter", "1 AWG", "100 A", "", []string{written, written + "    ambient: 125 F\n"}},
		// A generator of 104 A asks 1.15 x 104 = 119.6 A: 1 AWG at 130.
		{"generator", "1 AWG", "100 A", "nameplate", []string{written, written + "    nameplate: 104 A\n"}},
		{"generator that cannot be overloaded", "2 AWG", "100 A", "", []string{written, written + "    nameplate: 104 A\n    no-overload: yes\n"}},
		// Half a percent of 240 V over 35 ft at 100 A is 0.171 ohm/kft: 2 AWG
		// 0.19 x 0.85 + 0.045 x 0.527 = 0.185, 1 AWG 0.15 x 0.85 + 0.046 x 0.527 = 0.152.
		{"drop", "1 AWG", "100 A", "", []string{written, written + "    drop-limit: 0.5 %\n"}},
	} {
		size, device, say := sized(t, c.change...)
		if size != c.size || device != c.device || !strings.Contains(say, c.says) {
			t.Errorf("%s: %s on %s (%s), want %s on %s", c.name, size, device, say, c.size, c.device)
		}
	}
	if _, missing, _ := sized(t, "3 x 3 THWN-2", "3 x 3 THHN", "1 x 8 THWN-2 egc", "1 x 8 THWN-2 egc"); !strings.Contains(missing, "wet") {
		t.Errorf("THHN below grade: %q", missing)
	}
	if _, missing, _ := sized(t, "    run: generator 1\n", ""); !strings.Contains(missing, "the run of feeder") {
		t.Errorf("without its run: %q", missing)
	}
}

// What is left in the fiber's raceway, by hand: 31 % of pi/4 2.047^2 for two,
// less a cable of 0.5 in; and the same with the cable left out, a spare: 53 %.
func TestRoomLeft(t *testing.T) {
	s := with(t, "")
	b := book(s)
	a := math.Pi / 4 * 2.047 * 2.047
	r := b.RoomLeft(b.Plan.RunByID("fiber 1"))
	if !r.OK() {
		t.Fatal(r.Missing)
	}
	left := 0.31*a - math.Pi/4*0.25
	close1(t, "area", r.Value.SI/(0.0254*0.0254), left, 1e-3)
	close1(t, "next cable", r.Next.In(), math.Sqrt(4*left/math.Pi), 1e-3)
	s.Runs[0].Carries = nil
	b = book(s)
	r = b.RoomLeft(b.Plan.RunByID("fiber 1"))
	close1(t, "spare", r.Value.SI/(0.0254*0.0254), 0.53*a, 1e-3)
	// A full one has no room: eight cables of 0.5 in leave less than nothing at 40 %.
	s = with(t, "", "        od: 0.5 in\n        fiber: yes\n", "        od: 0.5 in\n        count: 8\n        fiber: yes\n")
	b = book(s)
	if r = b.RoomLeft(b.Plan.RunByID("fiber 1")); r.Value.SI != 0 || r.Next != 0 {
		t.Errorf("%v, %v", r.Value.Text, r.Next)
	}
}
