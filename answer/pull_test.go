package answer_test

import (
	"math"
	"strings"
	"testing"

	"stubup/base/unit"
	"stubup/site"
	"stubup/trade/pull"
)

// fiberRun is the reference compound with another fiber run.
func fiberRun(t testing.TB, start, heading, pulled, path string) *site.Site {
	t.Helper()
	s := with(t, "")
	const from, to = "  fiber 1:\n", "  generator 1:\n"
	doc := from + `    service: fiber
    raceway: PVC-40 2 in
    carries:
      - cable: fiber, 48 strand
        od: 0.5 in
        fiber: yes
        weight: 0.2 lb/ft
    pull: ` + pulled + `
    from: hand-off
    to: cabinet
    start: ` + start + `
    heading: ` + heading + `
    path:
` + path
	d := site.Load("t", []byte("format: 1\nname: t\nunits: us\ngrid: ft\nruns:\n"+doc))
	if d.Diags.HasError() {
		t.Fatal(d.Diags)
	}
	s.Runs = d.Site.Runs
	return s
}

// Level, one cable, by hand: straights add mu W L, a level bend at a tension far
// over W R multiplies by e^(mu a). W 0.2 lb/ft, mu 0.3: 100 ft 6 lbf, a right
// angle of 3 ft with T2 = T1 cosh(K a) + sinh(K a) sqrt(T1^2 + (W R)^2), 50 ft 3
// lbf. Fed from the far end the long straight comes last.
func TestPullByHand(t *testing.T) {
	s := fiberRun(t, "[0, 0, -2]", "east", "{friction: 0.3, held-by: pulling eye}", `      - straight: 100 ft
        in: trench
      - bend: 90 left
        radius: 36 in
      - straight: 50 ft
        in: trench
`)
	b := book(s)
	p := b.PullCard(&b.Plan.Runs[0], 0)
	if !p.OK() {
		t.Fatal(p.Missing)
	}
	a := 0.3 * math.Pi / 2
	bend := func(t1 float64) float64 {
		return t1*math.Cosh(a) + math.Sinh(a)*math.Sqrt(t1*t1+0.6*0.6)
	}
	there, back := bend(6)+3, bend(3)+6
	for _, d := range p.Card.Directions {
		want := there
		if !strings.HasPrefix(d.Feed, "hand-off") {
			want = back
		}
		close1(t, "fed at "+d.Feed, float64(d.End.High/pull.PoundForce), want, 1e-6)
	}
	if best := p.Card.Directions[p.Card.Best]; !strings.HasPrefix(best.Feed, "cabinet") {
		t.Errorf("fed at %s is said to be better: %v there, %v back", best.Feed, there, back)
	}
	if p.Card.Outcome != pull.OK || p.Card.Tension.Force != 600*pull.PoundForce {
		t.Errorf("%v, %v", p.Card.Outcome, p.Card.Tension)
	}
	// What nobody said is asked for, and a friction that is not known is a range.
	s = fiberRun(t, "[0, 0, -2]", "east", "{back: 10 lbf}", "      - straight: 100 ft\n        in: trench\n")
	p = book(s).PullCard(&book(s).Plan.Runs[0], 0)
	if p.Card == nil || p.Card.Outcome != pull.CannotTell || !strings.Contains(strings.Join(p.Card.Missing, ", "), "basket grip") {
		t.Fatalf("%+v", p)
	}
	d := p.Card.Directions[0]
	close1(t, "least friction", float64(d.End.Low/pull.PoundForce), 10+0.2*20, 1e-9)
	close1(t, "most friction", float64(d.End.High/pull.PoundForce), 10+0.5*20, 1e-9)
}

// Two right angles cost what one of 180 degrees does, and turning a run round
// swaps its directions: no figure is tied to the way it was drawn.
func TestPullTurnedRound(t *testing.T) {
	path := []string{"      - straight: 40 ft\n        in: trench\n", "      - bend: 90 left\n        radius: 36 in\n", "      - straight: 10 ft\n        in: trench\n", "      - bend: 90 right\n        radius: 36 in\n", "      - straight: 70 ft\n        in: trench\n"}
	there := book(fiberRun(t, "[0, 0, -2]", "east", "{friction: 0.4, held-by: pulling eye}", strings.Join(path, "")))
	turned := []string{path[4], path[3], path[2], path[1], path[0]}
	// Walked from the other end each bend turns to the same side again.
	back := book(fiberRun(t, "[200, 50, -2]", "west", "{friction: 0.4, held-by: pulling eye}", strings.NewReplacer("right", "left", "left", "right").Replace(strings.Join(turned, ""))))
	a, b := there.PullCard(&there.Plan.Runs[0], 0).Card, back.PullCard(&back.Plan.Runs[0], 0).Card
	close1(t, "one way", float64(a.Directions[0].End.High), float64(b.Directions[1].End.High), 1e-9)
	close1(t, "other way", float64(a.Directions[1].End.High), float64(b.Directions[0].End.High), 1e-9)
	if math.Abs(float64(a.Length-b.Length)) > 1e-9 || a.Bends != b.Bends || a.Bends != unit.Degree(180) {
		t.Errorf("%v %v, %v %v", a.Length, a.Bends, b.Length, b.Bends)
	}
}
