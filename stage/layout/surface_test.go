package layout_test

import (
	"context"
	"math"
	"os"
	"strings"
	"testing"

	"stubup/answer"
	"stubup/base/diag"
	"stubup/base/draw"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
	"stubup/stage/layout"
)

func faulted(t *testing.T, fault string) (*answer.Surface, *draw.Drawing) {
	t.Helper()
	src, err := os.ReadFile("../../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d := site.Load("t", append(src, "\nfault:\n  duration: 0.5 s\n  source: stated for this test\n"+fault...))
	for _, x := range d.Diags {
		if x.Level == diag.Error {
			t.Error(x.Show(d.Src))
		}
	}
	p := plan.Make(d.Site)
	v := rule.View{Site: d.Site, Plan: p, Answer: answer.New(context.Background(), p)}
	return v.Answer.SurfaceVoltage(), layout.SurfaceSheet(v)
}

// Every line of equal potential has its volts on it, and the ground is hatched
// exactly where the worst touch is over what the body bears.
func TestSurfaceIsHatchedOverTheLimit(t *testing.T) {
	strokes := func(d *draw.Drawing) (n int) {
		for _, it := range d.Items {
			if l, ok := it.(draw.Line); ok && l.Layer == "over" {
				n++
			}
		}
		return n
	}
	said := func(d *draw.Drawing, what string) bool {
		for _, it := range d.Items {
			if x, ok := it.(draw.Text); ok && strings.Contains(x.S, what) {
				return true
			}
		}
		return false
	}
	s, d := faulted(t, "  earth-current: 900 A\n  body: 50 kg\n")
	most, ok := s.TouchLimit()
	if !ok || s.TouchV.SI <= most {
		t.Fatalf("900 A: worst touch %v of %g V borne", s.TouchV, most)
	}
	if strokes(d) == 0 || !said(d, "hatched: within reach of metal over the ") {
		t.Error("over the limit and nothing is hatched")
	}
	lines := map[string]bool{}
	for _, it := range d.Items {
		if l, ok := it.(draw.Line); ok && l.Layer == "potential" {
			lines[l.ID] = true
		}
	}
	if len(lines) < 4 {
		t.Errorf("%d lines of equal potential", len(lines))
	}
	for volts := range lines {
		if !strings.HasSuffix(volts, " V") || !said(d, volts) {
			t.Errorf("the line of %s does not carry its volts", volts)
		}
	}
	// The worst place is one of those hatched; beyond reach nothing is.
	if !s.TouchOver(s.Touch.At[0], s.Touch.At[1], most) && !s.TouchOver((s.Touch.At[0]+0.98*(s.Touch.To[0]-s.Touch.At[0])), s.Touch.At[1]+0.02*(s.Touch.To[1]-s.Touch.At[1]), most) {
		near := math.Hypot(s.Touch.At[0]-s.Touch.To[0], s.Touch.At[1]-s.Touch.To[1])
		t.Errorf("the worst touch, %.3f m from its metal, is not hatched", near)
	}
	if s.TouchOver(s.Grid.X0+0.1, s.Grid.Y0+0.1, 0) {
		t.Error("a place that no metal is near counts as touched")
	}
	s, d = faulted(t, "  earth-current: 5 A\n  body: 50 kg\n")
	if most, _ := s.TouchLimit(); s.TouchV.SI > most || strokes(d) != 0 || !said(d, "nowhere within reach") {
		t.Errorf("5 A: %d strokes", strokes(d))
	}
	if _, d = faulted(t, "  earth-current: 900 A\n"); strokes(d) != 0 || !said(d, "nothing is hatched") {
		t.Error("hatched against a limit that nobody stated")
	}
}
