package desk

import (
	"fmt"
	"math/rand"
	"slices"
	"testing"

	"stubup/internal/jot"
)

// What is told at once and what is told later are together the whole, after
// every one of many gestures; and a document that went through them on the desk
// is evaluated as one that is opened afresh.
func TestEarlyAndLateAreTheWhole(t *testing.T) {
	d := open(t, "compound-a.yaml")
	r := rand.New(rand.NewSource(20260504))
	far := func() float64 { return float64(r.Intn(13)-6) * 0.5 * ft }
	gestures := []func() Gesture{
		func() Gesture {
			return Gesture{Op: "rod", ID: fmt.Sprintf("R%d", 1+r.Intn(6)), At: [2]float64{float64(r.Intn(40)) * ft, float64(r.Intn(30)) * ft}}
		},
		func() Gesture {
			return Gesture{Op: "rod", At: [2]float64{float64(r.Intn(40)) * ft, float64(r.Intn(30)) * ft}}
		},
		func() Gesture { return Gesture{Op: "remove", ID: fmt.Sprintf("R%d", 1+r.Intn(8))} },
		func() Gesture {
			return Gesture{Op: "move", ID: []string{"generator", "platform", "fence", "h-frame", "tower-ring"}[r.Intn(5)], By: [2]float64{far(), far()}}
		},
		func() Gesture {
			c := d.object("fence").Outline[r.Intn(4)]
			for i, p := range d.object("fence").Outline {
				if p == c {
					return Gesture{Op: "point", Path: fmt.Sprintf("objects.fence.corners[%d]", i), At: [2]float64{c.X + far()/3, c.Y + far()/3}}
				}
			}
			return Gesture{}
		},
		func() Gesture {
			return Gesture{Op: "set", Path: "ground.ring.depth", Text: fmt.Sprintf("%d in", 16+2*r.Intn(10))}
		},
		func() Gesture { return Gesture{Op: "limit", Text: fmt.Sprintf("%d ohm", 3+r.Intn(4))} },
		func() Gesture { return Gesture{Op: "whip", Text: "fence line posts", Fields: []Field{{"end", "pipe"}}} },
		func() Gesture {
			return Gesture{Op: "add", Kind: "trench", Places: [][2]float64{{0, far()}, {5, far()}, {9, far()}}, Fields: []Field{{"width", "12 in"}, {"depth", "24 in"}}}
		},
	}
	const n = 24
	late, seen := 0, map[string]bool{}
	for made := 0; made < n; {
		g := gestures[r.Intn(len(gestures))]()
		es, err := d.Edits(g)
		if err != nil {
			continue
		}
		if _, err := d.Edit(es); err != nil {
			continue
		}
		made++
		seen[g.Op] = true
		early := d.Marks(false)
		// In the order in which a page asks, and each by itself.
		for _, of := range []func(*Desk) any{
			func(d *Desk) any { return d.Head() },
			func(d *Desk) any { return d.Now() },
			func(d *Desk) any { p, _ := d.Stage("layout", true); return p },
			func(d *Desk) any { p, _ := d.Stage("prove", true); return p },
			func(d *Desk) any { return d.Marks(true) },
		} {
			if made%6 != 1 {
				break // a page afresh takes long
			}
			fresh := &Desk{}
			fresh.Open(d.res.Input.Name, d.Text(), d.asOf)
			a, _ := jot.Write(of(d))
			b, _ := jot.Write(of(fresh))
			if string(a) != string(b) {
				k := 0
				for k < min(len(a), len(b)) && a[k] == b[k] {
					k++
				}
				t.Fatalf("after %d gestures, %s: not as it is read afresh:\n%.400s\n%.400s", made, es[0].Sentence, a[max(0, k-200):], b[max(0, k-200):])
			}
		}
		whole := d.Marks(true)
		var rest []Mark
		for _, m := range whole {
			if m.Later {
				late++
				continue
			}
			rest = append(rest, m)
		}
		say := func(m Mark) string { b, _ := jot.Write(m); return string(b) }
		said := func(ms []Mark) (out []string) {
			for _, m := range ms {
				out = append(out, say(m))
			}
			slices.Sort(out)
			return out
		}
		if a, b := said(early), said(rest); !slices.Equal(a, b) {
			t.Fatalf("after %d gestures, %s:\n%q at once,\n%q of the whole", made, es[0].Sentence, a, b)
		}
	}
	if late == 0 || len(seen) < 6 {
		t.Errorf("%d late in all, of %v: the test sees too little", late, seen)
	}
}
