package desk

import (
	"context"
	"encoding/json"
	"os"
	"testing"

	"stubup"
	"stubup/internal/jot"
	"stubup/plan"
	"stubup/rule"
	"stubup/rule/all"
	"stubup/site"
)

// What one move of the picked rod costs, part by part: go test -bench Move ./internal/desk
func BenchmarkMove(b *testing.B) {
	d := &Desk{}
	text, err := os.ReadFile("../../examples/compound-a.yaml")
	if err != nil {
		b.Fatal(err)
	}
	d.Open("site.yaml", text, "2026-05-04T07:00:00-05:00")
	d.Now()
	g := func(i int) Gesture {
		return Gesture{Op: "rod", ID: "R2", At: [2]float64{(18 + float64(i%8)*0.25) * ft, 2 * ft}}
	}
	part := func(name string, f func(i int)) {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for i := range b.N {
				f(i)
			}
		})
	}
	part("call", func(i int) {
		arg, _ := json.Marshal(map[string]any{"Gesture": g(i)})
		d.Call("edit", arg)
	})
	part("edits", func(i int) { _, _ = d.Edits(g(i)) })
	part("apply", func(i int) {
		es, _ := d.Edits(g(i))
		_, _, _ = apply(d.res.Document, es)
	})
	part("load", func(int) { site.Load("site.yaml", d.Text()) })
	part("plan", func(int) { plan.Make(d.res.Document.Site) })
	part("evaluate", func(int) { stubup.Evaluate(context.Background(), d.res.Input) })
	part("head", func(int) { d.Head() })
	part("things", func(int) { things(d.res) })
	fresh := func() *stubup.Result { return stubup.Evaluate(context.Background(), d.res.Input) }
	part("evaluate and rules", func(int) { rule.Run(fresh().View, early()) })
	part("evaluate and marks", func(int) { (&Desk{res: fresh()}).Marks(false) })
	part("marks again", func(int) { d.Marks(false) })
	ms := d.Marks(false)
	part("write marks", func(int) { _, _ = jot.Write(map[string]any{"marks": ms}) })
	part("evaluate and now", func(int) { trial(fresh()) })
	part("evaluate and layout", func(int) {
		e := &Desk{res: fresh(), sent: map[string]map[string]uint64{}}
		_, _ = e.Stage("layout", true)
	})
	for _, r := range all.Rules() {
		part("rule/"+r.ID, func(int) { rule.Run(fresh().View, []*rule.Rule{r}) })
	}
}
