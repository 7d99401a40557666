package soil

import (
	"testing"

	"stubup/base/unit"
)

func TestSeason(t *testing.T) {
	three := Model{{100, 1}, {400, 2}, {50, 0}}
	for _, c := range []struct {
		m      Model
		depth  unit.Metre
		factor unit.Ratio
		want   Model
	}{
		{Single(100), 1.2, 10, Model{{1000, 1.2}, {100, 0}}},
		{TwoLayer(100, 900, 1.5), 0.5, 10, Model{{1000, 0.5}, {100, 1}, {900, 0}}},
		{TwoLayer(100, 900, 1.5), 1.5, 10, Model{{1000, 1.5}, {900, 0}}},
		{TwoLayer(100, 900, 1.5), 2.5, 10, Model{{1000, 1.5}, {9000, 1}, {900, 0}}},
		{TwoLayer(100, 1000, 1.5), 1.5, 10, Single(1000)}, // frozen clay over rock alike
		{three, 1 + 1e-12, 2, Model{{200, 1}, {400, 2}, {50, 0}}},
		{three, 2, 2, Model{{200, 1}, {800, 1}, {400, 1}, {50, 0}}},
		{three, 3, 1, three},
	} {
		got, err := c.m.Frozen(c.depth, c.factor)
		if err != nil || len(got) != len(c.want) {
			t.Errorf("%v frozen to %v: %v (%v), want %v", c.m, c.depth, got, err, c.want)
			continue
		}
		for i := range got {
			if rel(float64(got[i].Resistivity), float64(c.want[i].Resistivity)) > 1e-12 || got[i].Thickness-c.want[i].Thickness > 1e-9 || c.want[i].Thickness-got[i].Thickness > 1e-9 {
				t.Errorf("%v frozen to %v: %v, want %v", c.m, c.depth, got, c.want)
			}
		}
	}
	wet, err := Single(100).Dried(0.5, 0.5)
	if err != nil || wet[0].Resistivity != 50 || wet[1].Resistivity != 100 {
		t.Error(wet, err)
	}
	// A survey over the changed earth reads the top at small spacing and what
	// was there before at large.
	frozen, _ := TwoLayer(100, 900, 3).Frozen(1, 20)
	near, _ := frozen.Wenner(0.05)
	if rel(float64(near), 2000) > 1e-3 {
		t.Errorf("%v", near)
	}
	for _, c := range []struct {
		depth  unit.Metre
		factor unit.Ratio
	}{{0, 5}, {-1, 5}, {1, 0.5}, {1, unit.Ratio(-1)}, {1e9, 5}} {
		if m, err := Single(100).Frozen(c.depth, c.factor); err == nil {
			t.Errorf("%+v: %v", c, m)
		}
	}
	if m, err := Single(100).Dried(1, 0); err == nil {
		t.Error(m)
	}
	if m, err := (Model{{1, 1}, {2, 1}, {3, 1}, {4, 1}, {5, 1}, {6, 0}}).Frozen(0.5, 7); err == nil {
		t.Errorf("seven layers: %v", m)
	}
}
