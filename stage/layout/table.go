package layout

import (
	"fmt"
	"math"
	"strings"

	"stubup/answer"
	"stubup/base/sheet"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
)

// pointTable is the one point list.
func pointTable(v rule.View) sheet.Table {
	t := sheet.Table{
		ID: "layout.points", Title: "Points, " + strings.TrimSpace(v.Site.Name),
		Columns: []sheet.Column{{Head: "Id"}, {Head: "Kind"}, {Head: "What"}, {Head: "Depth or height"}, {Head: "Where, by two tapes"}},
		Empty:   "No points yet: the site has no ring, no rods and no runs.",
		Notes:   []string{"Depth is from finished grade: of a rod to its top, of conductors and raceways to their middle. Tapes are held to the middle of a post. The number of a point never changes."},
	}
	if len(v.Site.Numbers) == 0 && len(v.Plan.Points) > 0 {
		t.Notes[0] = strings.Replace(t.Notes[0], "The number of a point never changes.", "The numbers are not kept in the document yet: run \"layout --number\" before tags are hung, or an edit may number afresh.", 1)
	}
	for _, p := range v.Plan.Points {
		t.Rows = append(t.Rows, sheet.Row{{Text: p.ID, Bold: true}, sheet.T(string(p.Kind)), sheet.T(p.What), sheet.T(heightWords(v.Site.Units, p.At.Z)), sheet.T(p.Place)})
	}
	return t
}

// heightWords says how deep or how high.
func heightWords(u unit.System, z float64) string {
	switch {
	case math.IsNaN(z) || math.IsInf(z, 0):
		return "cannot tell"
	case math.Abs(z) < 0.0005:
		return "at grade"
	case z < 0:
		return u.Short(unit.Metre(-z)) + " deep"
	}
	return u.Short(unit.Metre(z)) + " above grade"
}

// jointKinds are the kinds in the order in which they are listed.
var jointKinds = []plan.JointKind{plan.Tap, plan.Cross, plan.Splice, plan.ToRod, plan.ToPipe, plan.ToFlat, plan.Lug, plan.Clamp}

func jointCounts(p *plan.Plan) map[plan.JointKind]int {
	n := map[plan.JointKind]int{}
	for _, j := range p.Joints {
		n[j.Kind]++
	}
	return n
}

// summary are the short lines for a terminal.
func summary(v rule.View) []string {
	p, u := v.Plan, v.Site.Units
	var out []string
	if r := p.Ring; r != nil {
		long := u.Run(r.Takeoff)
		if b := u.Run(r.Built); b != long {
			long += " takeoff, " + b + " built with its corners bent"
		}
		out = append(out, fmt.Sprintf("ring     %s, %s deep, %s", long, u.Short(r.Depth), r.Name))
	}
	if len(p.Rods) > 0 {
		s := fmt.Sprintf("rods     %d", len(p.Rods))
		if w := v.Site.Ground.Rods; w != nil && w.Diameter.Set && w.Length.Set {
			s += ", " + w.Diameter.Text + " x " + w.Length.Text
		}
		refused := 0
		for _, r := range p.Rods {
			if r.Refused {
				refused++
			}
		}
		if refused > 0 {
			s += fmt.Sprintf(", %d refused", refused)
		}
		out = append(out, s)
	}
	if len(p.Whips) > 0 {
		sum := unit.Metre(0)
		for _, w := range p.Whips {
			sum += w.Length
		}
		out = append(out, fmt.Sprintf("whips    %d, %s", len(p.Whips), u.Run(sum)))
	}
	if len(p.Radials) > 0 {
		sum := unit.Metre(0)
		for _, r := range p.Radials {
			sum += r.Length
		}
		out = append(out, fmt.Sprintf("radials  %d, %s", len(p.Radials), u.Run(sum)))
	}
	if c := p.Conductor(); c > 0 {
		s := fmt.Sprintf("bare     %s in all", u.Run(c))
		if w := p.Wire(); w.Text != "" {
			s += ", " + w.Text
		}
		out = append(out, s)
	}
	if len(p.Joints) > 0 {
		n := jointCounts(p)
		var parts []string
		welded := 0
		for _, k := range jointKinds {
			if n[k] > 0 && k.Welded() {
				welded += n[k]
				parts = append(parts, fmt.Sprintf("%s %d", k.Words(), n[k]))
			}
		}
		s := fmt.Sprintf("joints   %d welded: %s", welded, strings.Join(parts, ", "))
		if welded == 0 {
			s = "joints   none welded"
		}
		if n[plan.Lug] > 0 {
			s += fmt.Sprintf("; %s %d", plan.Lug.Words(), n[plan.Lug])
		}
		out = append(out, s)
	}
	if n := len(p.Jumpers); n > 0 {
		out = append(out, fmt.Sprintf("jumpers  %s, %d clamped ends", count(n, "gate jumper"), 2*n))
	}
	posts := 0
	for _, q := range p.Posts {
		if q.Fence != "" {
			posts++
		}
	}
	if posts > 0 {
		out = append(out, fmt.Sprintf("posts    %d on the fence", posts))
	}
	for i := range p.Runs {
		r := &p.Runs[i]
		s := fmt.Sprintf("run      %s: %s, %s degrees", r.ID, u.Run(r.Length), unit.Trim(float64(r.Degrees()), 1))
		if n := len(r.Pulls) - 2; n > 0 {
			s += ", " + count(n, "pull point")
		}
		if !r.OK {
			s += ", only as far as it can be built"
		}
		out = append(out, s)
	}
	if n := len(p.Diags); n > 0 {
		out = append(out, fmt.Sprintf("%s left out or doubtful: see the messages", count(n, "thing")))
	}
	if len(out) == 0 {
		out = append(out, "nothing is laid out yet: the site has no ring, no rods and no runs")
	}
	return out
}

// takeoffTable counts what is laid out.
func takeoffTable(v rule.View) sheet.Table {
	p, u := v.Plan, v.Site.Units
	t := sheet.Table{
		ID: "layout.count", Title: "What is laid out", Columns: []sheet.Column{{Head: "Item"}, {Head: "Count", Align: sheet.Right}, {Head: "Length", Align: sheet.Right}},
		Empty: "Nothing is laid out yet.",
	}
	row := func(item string, n int, l unit.Metre) {
		c := sheet.T("")
		if l > 0 {
			c = lengthCell(u, l)
		}
		t.Rows = append(t.Rows, sheet.Row{sheet.T(item), sheet.N(float64(n), fmt.Sprint(n)), c})
	}
	if r := p.Ring; r != nil {
		row("ring, point to point", 1, r.Takeoff)
		row("ring, as built with its corners bent", 1, r.Built)
	}
	if len(p.Rods) > 0 {
		sum := unit.Metre(0)
		for _, r := range p.Rods {
			sum += r.Length
		}
		row("rods", len(p.Rods), sum)
	}
	if len(p.Whips) > 0 {
		sum := unit.Metre(0)
		for _, w := range p.Whips {
			sum += w.Length
		}
		row("whips", len(p.Whips), sum)
	}
	if len(p.Radials) > 0 {
		sum := unit.Metre(0)
		for _, r := range p.Radials {
			sum += r.Length
		}
		row("radials", len(p.Radials), sum)
	}
	n := jointCounts(p)
	for _, k := range jointKinds {
		if n[k] > 0 {
			what := k.Words()
			if k.Welded() {
				what += " joints, welded"
			} else {
				what += "s"
			}
			row(what, n[k], 0)
		}
	}
	if len(p.Jumpers) > 0 {
		row("gate jumpers, flexible", len(p.Jumpers), 0)
	}
	for i := range p.Runs {
		row("run "+p.Runs[i].ID, 1, p.Runs[i].Length)
	}
	return t
}

func lengthCell(u unit.System, l unit.Metre) sheet.Cell {
	if u == unit.SI {
		return sheet.N(float64(l), u.Run(l))
	}
	return sheet.N(l.Ft(), u.Run(l))
}

// sectionTable lists the sections of the runs with their bend sums.
func sectionTable(v rule.View) sheet.Table {
	t := sheet.Table{
		ID: "layout.sections", Title: "Runs, from pull point to pull point",
		Columns: []sheet.Column{{Head: "Run"}, {Head: "Section"}, {Head: "Length", Align: sheet.Right}, {Head: "Bends", Align: sheet.Right}, {Head: "Sum of limit"}},
		Empty:   "No runs yet.",
		Notes:   []string{"Sum of limit: degrees of bend, of the owner's limit where one is known, then of the code's."},
	}
	for i := range v.Plan.Runs {
		r := &v.Plan.Runs[i]
		limits := answer.EveryBendLimit(v.Site, r)
		for _, s := range r.Sections {
			bends := 0
			for _, q := range s.Pieces {
				if q.Arc {
					bends++
				}
			}
			text, over := answer.BendTally(s.Degrees, limits)
			c := sheet.T(text)
			if over {
				c.Mark = sheet.Broken
				c.Text += ", over"
			}
			t.Rows = append(t.Rows, sheet.Row{sheet.T(r.ID), sheet.T(s.Name()), lengthCell(v.Site.Units, s.Length), sheet.N(float64(bends), fmt.Sprint(bends)), c})
		}
	}
	return t
}
