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
	Surface *draw.Drawing   // potential of the surface; nil where no fault current is stated
	Runs    []*draw.Drawing // for each run its elevation, then its view in space
	Points  sheet.Table
	Summary []string // short lines for the terminal
	Tables  []sheet.Table
}

// Make draws a view as it is planned, with what the document itself says of
// the state of the work.
func Make(v rule.View) Result {
	return MakeAt(v, func(string) Progress { return Planned })
}

// MakeAt draws a view with the progress that done says for every id: "ring",
// "R1", "J14", "W9", the word of a run, the id of an object.
func MakeAt(v rule.View, done func(id string) Progress) Result {
	return Result{
		Plan:    planSheet(v, done),
		Surface: SurfaceSheet(v),
		Runs:    runSheets(v, done),
		Points:  pointTable(v),
		Summary: summary(v),
		Tables:  []sheet.Table{takeoffTable(v), sectionTable(v)},
	}
}
