package site

import (
	"math"
	"os"
	"testing"
)

func TestLoadCompoundA(t *testing.T) {
	src, err := os.ReadFile("../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d := Load("compound-a.yaml", src)
	for _, x := range d.Diags {
		t.Errorf("%s", x.Show(src))
	}
	s := d.Site
	if len(s.Objects) != 8 || len(s.Ground.Whips) != 9 || len(s.Supplies.Molds) != 5 || len(s.Supplies.PutUps) != 4 {
		t.Errorf("objects %d whips %d molds %d put-ups %d", len(s.Objects), len(s.Ground.Whips), len(s.Supplies.Molds), len(s.Supplies.PutUps))
	}
	r := s.Ground.Ring
	if r == nil || r.Inside != "fence" || r.Depth.Text != "30 in" || math.Abs(float64(r.Depth.SI)-0.762) > 1e-12 {
		t.Errorf("%+v", r)
	}
	for i, w := range s.Ground.Whips {
		if w.Object == "" || w.Which == "" || w.End == "" || w.Span.Line == 0 {
			t.Errorf("whip %d: %+v", i, w)
		}
	}
}

func BenchmarkLoad(b *testing.B) {
	src, err := os.ReadFile("../examples/compound-a.yaml")
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(src)))
	for b.Loop() {
		Load("compound-a.yaml", src)
	}
}
