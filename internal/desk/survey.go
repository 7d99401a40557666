package desk

import (
	"stubup/base/sheet"
	"stubup/internal/jot"
	"stubup/stage/prove"
)

// Survey returns the soil survey with its fitted curve as parts of the prove
// screen. It is asked for by itself, since the fit would keep the first result
// waiting.
func (d *Desk) Survey() Patch {
	s := &screen{d: d, now: map[string]uint64{}, p: Patch{
		Stage: "survey", Site: d.res.SiteHash, AsOf: d.asOf, Summary: []string{}, Order: []string{}, Parts: map[string]jot.Raw{}, Files: []string{}, Counts: map[string]int{},
	}}
	x := prove.SurveyOf(d.res.View)
	s.p.Summary = x.Said
	if x.Drawing != nil {
		s.sketch(x.Drawing, nil)
	}
	s.tables(x.Tables)
	if x.Drawing != nil {
		s.p.Files = append(s.p.Files, x.Drawing.ID+".svg")
	}
	s.files(x.Tables)
	s.p.Counts["readings"] = len(d.res.Document.Site.Soil.Readings)
	return s.p
}

// surveyTables are the figures of the survey, for a file.
func (d *Desk) surveyTables() []sheet.Table { return prove.SurveyOf(d.res.View).Tables }
