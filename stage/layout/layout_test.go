package layout

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"stubup/base/draw"
	"stubup/rule"
)

// texts lists the texts of a drawing.
func texts(d *draw.Drawing) []draw.Text {
	var out []draw.Text
	for _, it := range d.Items {
		if t, ok := it.(draw.Text); ok {
			out = append(out, t)
		}
	}
	return out
}

// checkSheet holds a drawing to what every sheet is held to: no text over
// another, none off the sheet, none under the least letter height, all in
// ink.
func checkSheet(t *testing.T, name string, d *draw.Drawing) {
	t.Helper()
	sheet := draw.Box{X0: 0, Y0: 0, X1: d.W, Y1: d.H}
	ts := texts(d)
	boxes := make([]draw.Box, len(ts))
	for i, x := range ts {
		boxes[i] = x.Box()
		if !boxes[i].Inside(sheet) {
			t.Errorf("%s: %q at %v is off the sheet of %g x %g mm", name, x.S, boxes[i], d.W, d.H)
		}
		if x.Size < draw.MinText {
			t.Errorf("%s: %q is %g mm high", name, x.S, x.Size)
		}
	}
	for i := range ts {
		for j := i + 1; j < len(ts); j++ {
			if boxes[i].Overlaps(boxes[j]) {
				t.Errorf("%s: %q and %q overlap", name, ts[i].S, ts[j].S)
			}
		}
	}
	if b, ok := draw.Bounds(d.Items); !ok || !b.Inside(sheet.Grow(0.5)) {
		t.Errorf("%s: drawn %v on a sheet of %g x %g", name, b, d.W, d.H)
	}
}

// ids counts how often each id of the plan stands on its sheet as a word.
func ids(d *draw.Drawing) map[string]int {
	n := map[string]int{}
	for _, x := range texts(d) {
		for _, w := range strings.Fields(x.S) {
			n[strings.TrimSuffix(w, ",")]++
		}
	}
	return n
}

func checkPoints(t *testing.T, name string, v rule.View, d *draw.Drawing) {
	t.Helper()
	n := ids(d)
	for _, p := range v.Plan.Points {
		if p.Kind == "post" {
			continue
		}
		if n[p.ID] != 1 {
			t.Errorf("%s: %s stands on the plan %d times, want once", name, p.ID, n[p.ID])
		}
	}
}

func TestRandomCompounds(t *testing.T) {
	for seed := range uint64(100) {
		name := fmt.Sprintf("seed %d", seed)
		v := view(randomSite(seed))
		r := Make(v)
		checkSheet(t, name, r.Plan)
		checkPoints(t, name, v, r.Plan)
		for _, d := range r.Runs {
			checkSheet(t, name+" "+d.ID, d)
		}
		if seed%10 == 0 && !reflect.DeepEqual(r, Make(view(randomSite(seed)))) {
			t.Errorf("%s: a second making differs", name)
		}
		if t.Failed() {
			return
		}
	}
}
