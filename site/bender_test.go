package site

import (
	"math"
	"strings"
	"testing"

	"stubup/base/diag"
)

const bendersYAML = "benders:\n  - name: hand bender\n    raceway: EMT 1 in\n    radius: 6 in\n    take-up: 8 in\n    marks: [10, 22.5, 30 deg, 45]\n    end: 0 in\n    between: 2 in\n"

func TestBenders(t *testing.T) {
	d := Load("t", []byte(head+bendersYAML+"  - {name: table, raceway: RMC 2 in, arrow: -1/2 in}\n"+runYAML+
		"      - offset: 12 in up\n        roll: 6 in left\n        bender: Hand Bender\n"))
	for _, x := range d.Diags {
		t.Error(x.Show(d.Src))
	}
	if len(d.Site.Benders) != 2 {
		t.Fatalf("%+v", d.Site.Benders)
	}
	b := d.Site.Benders[0]
	if b.Name != "hand bender" || b.Raceway != "EMT" || b.Trade.Name() != "1" || math.Abs(b.TakeUp.SI.In()-8) > 1e-9 || len(b.Marks) != 4 || b.Marks[1].SI != 22.5 || !b.End.Set || b.End.SI != 0 {
		t.Errorf("%+v", b)
	}
	if b := d.Site.Benders[1]; math.Abs(b.Arrow.SI.In()+0.5) > 1e-9 || b.Radius.Set || b.End.Set {
		t.Errorf("%+v", b)
	}
	s := d.Site.Runs[0].Steps[0]
	if math.Abs(s.Roll.SI.In()-6) > 1e-9 || s.RollTo != "left" || s.Bender != "Hand Bender" {
		t.Errorf("%+v", s)
	}
}

func TestBrokenBenders(t *testing.T) {
	for _, c := range []struct {
		code diag.Code
		doc  string
		say  string
	}{
		{diag.KeyMissing, "benders:\n  - raceway: EMT 1 in\n", "name"},
		{diag.KeyMissing, "benders:\n  - name: a\n", "raceway"},
		{diag.WordUnknown, "benders:\n  - {name: a, raceway: EMU 1 in}\n", "EMU"},
		{diag.KeyMissing, "benders:\n  - {name: a, raceway: EMT 1 in, take-up: 8 in}\n", "radius"},
		{diag.Contradiction, "benders:\n  - {name: a, raceway: EMT 1 in, radius: 6 in, take-up: 8 in, arrow: 1 in}\n", "twice"},
		{diag.Twice, "benders:\n  - {name: a, raceway: EMT 1 in}\n  - {name: A, raceway: EMT 1 in}\n", "one raceway"},
		{diag.OutOfRange, "benders:\n  - {name: a, raceway: EMT 1 in, marks: [30, 200]}\n", "200"},
		{diag.NotPositive, "benders:\n  - {name: a, raceway: EMT 1 in, radius: -6 in}\n", "-6 in"},
		{diag.KeyUnknown, "benders:\n  - {name: a, raceway: EMT 1 in, angles: [30]}\n", "angles"},
		{diag.RefUnknown, bendersYAML + runYAML + "      - bend: 90 left\n        bender: hand bendre\n", "hand bendre"},
		{diag.RefUnknown, strings.Replace(runYAML, "    start", "    bender: none here\n    start", 1) + "      - straight: 4 ft\n", "none here"},
		{diag.WordUnknown, runYAML + "      - offset: 12 in up\n        roll: 6 in\n", "not a side"},
	} {
		d := Load("t", []byte(head+c.doc))
		found := false
		for _, x := range d.Diags {
			found = found || x.Code == c.code && strings.Contains(x.What, c.say)
		}
		if !found || len(d.Diags) != 1 {
			t.Errorf("%q: want one %s that says %q, got %+v", c.doc, c.code, c.say, d.Diags)
		}
	}
}
