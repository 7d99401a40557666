package site

import (
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
	for _, w := range s.Ground.Whips {
		t.Logf("%+v", w)
	}
	t.Logf("%+v", s.Ground.Ring)
	t.Logf("%+v", s.Ground.Rods)
	t.Logf("%+v", s.Owner)
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
