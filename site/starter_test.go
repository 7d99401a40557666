package site

import (
	"strings"
	"testing"
)

func TestStarterDecodesWithoutDiag(t *testing.T) {
	d := Load("starter.yaml", Starter())
	for _, x := range d.Diags {
		t.Errorf("%s", x.Show(d.Src))
	}
	s := d.Site
	if s.Governs.Work == "" || len(s.Soil.Layers) == 0 || s.Ground.Ring == nil || s.Ground.Rods == nil || len(s.Ground.Whips) == 0 || len(s.Runs) != 1 || len(s.Owner.Rules) == 0 {
		t.Error("the starter lacks something that a verdict needs")
	}
	for i, l := range strings.Split(string(d.Src), "\n") {
		if k := strings.IndexByte(l, '#'); k >= 0 && len(l)-k > 80 {
			t.Errorf("line %d: the note is %d characters long", i+1, len(l)-k)
		}
		if len(l) > 100 {
			t.Errorf("line %d is %d characters long", i+1, len(l))
		}
	}
}

func TestBlankDecodesWithoutDiag(t *testing.T) {
	d := Load("blank.yaml", Blank())
	if len(d.Diags) > 0 {
		t.Errorf("%v", d.Diags)
	}
	if len(d.Site.Objects) > 0 || d.Site.Ground.Rods != nil {
		t.Error("something stands on the blank site")
	}
}
