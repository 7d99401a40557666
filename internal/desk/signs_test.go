package desk

import (
	"bytes"
	"os"
	"slices"
	"testing"

	"stubup/base/draw"
	"stubup/internal/jot"
	"stubup/plan"
	"stubup/stage/layout"
)

// signsFile is what the browser's test of the looks lays on the sketch: every
// sign and every line alone, once in each state.
const signsFile = "../../web/e2e/signs.json"

type cell struct {
	Kind  string     `json:"kind"`
	State string     `json:"state"`
	Line  bool       `json:"line"`
	At    [4]float64 `json:"at"`   // the cell on paper, mm: x, y, w, h
	Half  [2]float64 `json:"half"` // half the sign's body, mm
}

var states = []struct {
	how  layout.Progress
	word string
}{{layout.Planned, "planned"}, {layout.Open, "open"}, {layout.In, "in"}, {layout.Covered, "covered"}}

func signs() (*draw.Drawing, []cell) {
	const point, wide, high = 12.0, 36.0, 12.0
	d := &draw.Drawing{ID: "plan", Title: "signs", Desc: "every sign and line in each state", W: 12 * point, H: 4*point + 6*high}
	var cells []cell
	var beds []draw.Item // they are drawn before all lines
	col := 0
	sign := func(kind string, halfW, halfH float64, f func(id string, at draw.Pt, how layout.Progress) []draw.Item) {
		for row, st := range states {
			at := draw.Pt{X: (float64(col) + 0.5) * point, Y: (float64(row) + 0.5) * point}
			d.Add(f(kind+" "+st.word, at, st.how)...)
			cells = append(cells, cell{kind, st.word, false, [4]float64{at.X - point/2, at.Y - point/2, point, point}, [2]float64{halfW, halfH}})
		}
		col++
	}
	const size = 3.6
	rod := func(o layout.RodLook) func(string, draw.Pt, layout.Progress) []draw.Item {
		return func(id string, at draw.Pt, how layout.Progress) []draw.Item {
			return layout.RodSign(id, at, size, how, o)
		}
	}
	sign("rod", size/2, size/2, rod(layout.RodLook{}))
	sign("rod in a test well", size/2*1.45, size/2*1.45, rod(layout.RodLook{Well: true}))
	sign("rod at 45", size/2, size/2, rod(layout.RodLook{Lies: "45"}))
	for _, k := range []plan.JointKind{plan.Tap, plan.Cross, plan.Splice, plan.ToRod, plan.ToPipe, plan.ToFlat, plan.Lug, plan.Clamp} {
		sign(string(k), size/2, size/2, func(id string, at draw.Pt, how layout.Progress) []draw.Item {
			return layout.JointSign(id, at, size, k, how)
		})
	}
	sign("whip end", 1, 1, func(id string, at draw.Pt, how layout.Progress) []draw.Item {
		return layout.WhipSign(id, at, 1, 0, how)
	})
	top := 4 * point
	line := func(kind string, n int, word string, f func(id string, pts []draw.Pt) []draw.Item) {
		x, y := float64(n)*wide, top
		id := kind + " " + word
		d.Add(f(id, []draw.Pt{{X: x + 2, Y: y + high/2}, {X: x + wide - 2, Y: y + high/2}})...)
		cells = append(cells, cell{kind, word, true, [4]float64{x, y, wide, high}, [2]float64{wide/2 - 2, 0}})
	}
	each := func(kind string, f func(id string, pts []draw.Pt, how layout.Progress) []draw.Item) {
		for n, st := range states {
			line(kind, n, st.word, func(id string, pts []draw.Pt) []draw.Item { return f(id, pts, st.how) })
		}
		top += high
	}
	open := func(width float64, f func(id string, pts []draw.Pt, how layout.Progress) []draw.Item) func(string, []draw.Pt, layout.Progress) []draw.Item {
		return func(id string, pts []draw.Pt, how layout.Progress) []draw.Item {
			beds = append(beds, layout.OpenBand(id, pts, how, width)...)
			return f(id, pts, how)
		}
	}
	each("ring", open(3.2, func(id string, pts []draw.Pt, how layout.Progress) []draw.Item {
		return layout.ConductorLine("ring", id, pts, true, how, 1)
	}))
	each("whip", open(3.2, func(id string, pts []draw.Pt, how layout.Progress) []draw.Item {
		return layout.ConductorLine("whip", id, pts, false, how, 1)
	}))
	each("run", open(4.8, layout.RacewayLine))
	each("trench", func(id string, pts []draw.Pt, how layout.Progress) []draw.Item {
		return layout.TrenchBand(id, pts, 3.2, how)
	})
	for n, service := range []string{"electric", "communication", "gas", "water"} {
		line("located "+service, n, "", func(id string, pts []draw.Pt) []draw.Item { return layout.LocatedLine(id, pts, service, 0) })
	}
	top += high
	line("located sewer", 0, "", func(id string, pts []draw.Pt) []draw.Item { return layout.LocatedLine(id, pts, "sewer", 0) })
	line("fence", 1, "", func(id string, pts []draw.Pt) []draw.Item { return layout.FenceLine(id, pts[0], pts[1]) })
	line("gate jumper", 2, "planned", func(id string, pts []draw.Pt) []draw.Item {
		return layout.JumperSign(id, pts[0], pts[1], layout.Planned)
	})
	line("gate jumper", 3, "in", func(id string, pts []draw.Pt) []draw.Item {
		return layout.JumperSign(id, pts[0], pts[1], layout.In)
	})
	d.Items = append(beds, d.Items...)
	return d, cells
}

// What the browser's test lays on the sketch is what is drawn now. Whether the
// states can be told apart is looked at there, where the strokes are painted.
func TestSignsForTheSketch(t *testing.T) {
	d, cells := signs()
	s := &screen{now: map[string]uint64{}, p: Patch{
		Stage: "layout", AsOf: "2026-03-03T07:10:00-06:00", Summary: []string{d.Desc}, Order: []string{}, Parts: map[string]jot.Raw{}, Files: []string{}, Counts: map[string]int{},
	}}
	s.sketch(d, &layout.Frame{Ratio: 48, Zero: draw.Pt{Y: d.H}, Drawn: draw.Box{X1: d.W, Y1: d.H}})
	b, err := jot.Write(map[string]any{"screen": s.p, "cells": cells})
	if err != nil {
		t.Fatal(err)
	}
	b = append(bytes.ReplaceAll(b, []byte(`,"plan/`), []byte(",\n\"plan/")), '\n')
	if os.Getenv("UPDATE_GOLDEN") != "" {
		if err := os.WriteFile(signsFile, b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	was, err := os.ReadFile(signsFile)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(was, b) {
		t.Errorf("%s is stale: run UPDATE_GOLDEN=1 go test ./internal/desk -run Signs, and look at the sketch", signsFile)
	}
	if n := slices.IndexFunc(cells, func(c cell) bool { return c.Kind == "" }); n >= 0 || len(cells) != 12*4+4*4+8 {
		t.Errorf("%d cells", len(cells))
	}
}
