// Package layout draws where everything goes: the plan of a compound to
// scale, each run in elevation and in space, and the one point list whose
// numbers drive drawing, log, photos and report.
//
// A line says what a thing is; its ink, dash and weight say how far it is.
// Everything here is a pure function of the view.
package layout

import (
	"stubup/base/draw"
	"stubup/base/sheet"
	"stubup/rule"
)

// Result is what the layout stage gives.
type Result struct {
	Plan    *draw.Drawing
	Frame   Frame           // how the ground lies on Plan
	Surface *draw.Drawing   // potential of the surface; nil where no fault current is stated
	Runs    []*draw.Drawing // for each run its elevation, then its view in space
	Points  sheet.Table
	Summary []string // short lines for the terminal
	Tables  []sheet.Table
}

// Frame ties a plan sheet to the ground: a place at x east and y north lies
// at Zero.X + 1000 x / Ratio, Zero.Y - 1000 y / Ratio on paper, mm.
type Frame struct {
	Ratio float64 // 48 is 1:48
	Zero  draw.Pt
	Drawn draw.Box // around everything that is drawn of the ground, without labels
}

// Make draws a view as it is planned, with what the document itself says of
// the state of the work.
func Make(v rule.View) Result {
	return MakeAt(v, func(string) Progress { return Planned })
}

// MakeAt draws a view with the progress that done says for every id: "ring",
// "R1", "J14", "W9", the word of a run, the id of an object.
func MakeAt(v rule.View, done func(id string) Progress) Result {
	plan, frame := planSheet(v, done)
	return Result{
		Plan:    plan,
		Frame:   frame,
		Surface: SurfaceSheet(v),
		Runs:    runSheets(v, done),
		Points:  pointTable(v),
		Summary: summary(v),
		Tables:  []sheet.Table{takeoffTable(v), sectionTable(v)},
	}
}
