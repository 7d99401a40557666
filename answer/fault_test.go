package answer_test

import (
	"math"
	"strings"
	"testing"

	"stubup/answer"
	"stubup/trade/ground"
)

const faultDoc = `fault:
  current: 4 kA
  earth-current: 600 A
  duration: 0.5 s
  x-over-r: 8
  hertz: 60
  body: 50 kg
  surface: 3000 ohm-m
  surface-thickness: 4 in
  source: the utility's letter
`

// By hand from IEEE Std 80-2000 (from memory): K 7.00 for annealed copper from 40
// C to its fusing at 1083 C (Table 2, printed to three figures, 1 %), and to
// 250 C more by the root of the logarithms of (234 + Tm)/(234 + 40);
// Df = sqrt(1 + Ta/tf) with Ta = 8/(2 pi 60); A = K I sqrt(t). Touch and step by
// eq. 29 to 33 with Cs = 1 - 0.09 (1 - rho/rhos)/(2 h + 0.09).
func TestFaultByHand(t *testing.T) {
	b := book(with(t, faultDoc))
	hs := b.FaultHeating()
	if len(hs) != 2 {
		t.Fatalf("%d kinds of joint", len(hs))
	}
	df := math.Sqrt(1 + 8/(2*math.Pi*60)/0.5)
	for i, k := range []float64{7, 7 * math.Sqrt(math.Log(1317./274)/math.Log(484./274))} {
		h := hs[i]
		if !h.OK() {
			t.Fatal(h.Missing)
		}
		close1(t, h.Joints+", least area", h.Value.SI, k*4*df*math.Sqrt(0.5), 0.01)
		close1(t, h.Joints+", bears", h.Bears.SI, 1000*66.36/(k*math.Sqrt(0.5)*df), 0.01)
		if !h.Holds {
			t.Error("2 AWG does not bear it")
		}
	}
	s := b.SurfaceVoltage()
	if s == nil || s.Missing != "" {
		t.Fatal("no surface")
	}
	close1(t, "rise", s.Rise.SI, 600*b.Design().Value.SI, 1e-12)
	cs := 1 - 0.09*(1-100.0/3000)/(2*0.1016+0.09)
	ib := 0.116 / math.Sqrt(0.5)
	close1(t, "touch borne on stone", float64(s.Limits.Touch), (1000+1.5*cs*3000)*ib, 1e-9)
	close1(t, "step borne on stone", float64(s.Limits.Step), (1000+6*cs*3000)*ib, 1e-9)
	close1(t, "touch borne on soil", float64(s.Bare.Touch), (1000+1.5*100)*ib, 1e-9)

	// The worst touch is what the field itself says at that place.
	sol, err := ground.Solve(t.Context(), b.SoilModel().Model, []ground.Electrode{{ID: "g", Wires: answer.Wires(b.Plan, answer.Electrode{})}}, ground.Options{})
	if err != nil {
		t.Fatal(err)
	}
	u, err := sol.Potential(0, [3]float64{s.Touch.At[0], s.Touch.At[1], 0})
	if err != nil {
		t.Fatal(err)
	}
	close1(t, "worst touch", s.TouchV.SI, s.Rise.SI-600*u, 1e-3)
	if d := math.Hypot(s.Touch.At[0]-s.Touch.To[0], s.Touch.At[1]-s.Touch.To[1]); math.Abs(d-1) > 1e-6 {
		t.Errorf("the reach is %v m", d)
	}
	// Every level lies between the least and the most of the surface, and at
	// least one line closes round the ring.
	closed := false
	for k, c := range s.Lines {
		if !(s.Levels[k] < s.Rise.SI) {
			t.Errorf("a line of %v V on a ground at %v V", s.Levels[k], s.Rise.SI)
		}
		for _, l := range c.Lines {
			closed = closed || l[0] == l[len(l)-1] && len(l) > 20
		}
	}
	if !closed || len(s.Lines) < 4 {
		t.Errorf("%d lines, closed %v", len(s.Lines), closed)
	}
}

// Twin: another fault. Twice the current doubles every volt; four times the
// duration halves what a body bears and doubles the copper; without X/R there is
// no offset.
func TestFaultScales(t *testing.T) {
	one := book(with(t, strings.NewReplacer("  x-over-r: 8\n", "", "  hertz: 60\n", "").Replace(faultDoc)))
	two := book(with(t, strings.NewReplacer("  x-over-r: 8\n", "", "  hertz: 60\n", "", "600 A", "1.2 kA", "0.5 s", "2 s").Replace(faultDoc)))
	a, b := one.SurfaceVoltage(), two.SurfaceVoltage()
	close1(t, "rise", b.Rise.SI, 2*a.Rise.SI, 1e-12)
	close1(t, "touch", b.TouchV.SI, 2*a.TouchV.SI, 1e-12)
	close1(t, "step", b.StepV.SI, 2*a.StepV.SI, 1e-12)
	close1(t, "borne", float64(b.Limits.Touch), float64(a.Limits.Touch)/2, 1e-12)
	close1(t, "copper", two.FaultHeating()[0].Value.SI, 2*one.FaultHeating()[0].Value.SI, 1e-12)
	if one.FaultHeating()[0].Offset != 1 {
		t.Error("an offset without X/R")
	}
	// A fault too large for 2 AWG, and what is not stated is not told.
	big := book(with(t, strings.Replace(faultDoc, "current: 4 kA", "current: 16 kA", 1))).FaultHeating()
	if big[0].Holds || big[1].Holds {
		t.Error("2 AWG bears 16 kA for half a second")
	}
	if b := book(with(t, "")); b.FaultHeating() != nil || b.SurfaceVoltage() != nil {
		t.Error("a fault that nobody stated")
	}
	b2 := book(with(t, "fault:\n  earth-current: 600 A\n  duration: 0.5 s\n  source: x\n"))
	if hs := b2.FaultHeating(); len(hs) != 1 || hs[0].OK() {
		t.Errorf("%v", hs)
	}
	if s := b2.SurfaceVoltage(); s.Bare != nil || s.Limits != nil {
		t.Error("limits for a body that nobody named")
	}
}
