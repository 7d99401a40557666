package rule

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"stubup/base/cite"
	"stubup/base/geom"
	"stubup/base/stable"
	"stubup/base/unit"
	"stubup/site"
)

// Ids of the works that rules belong to.
const (
	NFPA70       = "nfpa-70"
	NFPA780      = "nfpa-780"
	NESC         = "nesc"
	IEC62305     = "iec-62305-3"
	MilHdbk419A  = "mil-hdbk-419a"
	TIA569       = "tia-569"
	GoodPractice = "good-practice"
	Owner        = "owner"
)

// code reports whether a work governs ground: its rules bind only where
// somebody said that it does.
func code(work string) bool { return work == NFPA70 || work == NESC }

// Run looks at a design with every rule that is in force and returns what
// they saw, the most urgent first: broken, cannot tell, holds, does not
// apply; then by rule id and path. A work that the site has not adopted is not
// run: Skipped says which. A waiver is attached to what it sets aside and
// hides nothing.
func Run(v View, rules []*Rule) []Finding {
	var out []Finding
	for _, r := range rules {
		switch standing(v, r) {
		case notRun:
			continue
		case untold:
			out = append(out, Finding{
				Rule: r, Outcome: CannotTell, Path: "governs", Cite: r.Cite,
				Required: r.Title, Found: "nobody has said who governs",
				Mend: `say who governs: "governs: work: nfpa-70", nesc for ground under the utility's own rules, or other; the authority having jurisdiction decides`,
				Note: "cannot tell which works apply",
			})
			continue
		}
		for _, f := range r.Look(v) {
			f.Rule = r
			if f.Cite.IsZero() {
				f.Cite = r.Cite
			}
			shared(v, &f)
			lean(v, &f)
			if f.Outcome == Holds || f.Outcome == NotApply {
				f.Mend = ""
			} else if f.Mend == "" {
				f.Mend = "change the design so that it is " + f.Required + ", or have it accepted in writing by who may"
			}
			if f.Required == "" && f.Outcome != NotApply {
				f.Required = r.Title
			}
			if f.Path == "" {
				f.Path = f.Span.Path
			}
			out = append(out, f)
		}
	}
	out = merge(out)
	for i := range out {
		for k := range v.Site.Waivers {
			if w := &v.Site.Waivers[k]; w.Rule == out[i].Rule.ID && out[i].Outcome == Broken {
				out[i].Waived = w
			}
		}
	}
	stable.Sort(out, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.Outcome, b.Outcome), cmp.Compare(a.Rule.ID, b.Rule.ID), comparePath(a.Path, b.Path))
	})
	return out
}

// lean says what a finding leans on beyond its own citation: a figure from
// memory among its inputs, or an edition that its figure is not of.
func lean(v View, f *Finding) {
	if f.Outcome == NotApply {
		return
	}
	add := func(s string) { f.Note = strings.TrimPrefix(f.Note+"; "+s, "; ") }
	if f.Value != nil && f.Cite.Seen != cite.FromMemory && f.Value.Seen() == cite.FromMemory {
		add("it leans on a figure from memory")
	}
	from, to, ok := years(f.Rule.Cite.Edition)
	if !ok {
		return
	}
	for _, w := range v.Site.Adopted {
		if y, _, is := years(w.Edition); w.ID == f.Rule.Work && is && (y < from || y > to) {
			add(fmt.Sprintf("the figure is of the %s editions, this site adopts %s", f.Rule.Cite.Edition, w.Edition))
		}
	}
}

// years reads "2023" and "2011-2023".
func years(s string) (from, to int, ok bool) {
	from, rest, ok := unit.Whole(s)
	if !ok {
		return 0, 0, false
	}
	if to, _, ok = unit.Whole(strings.TrimPrefix(rest, "-")); ok && rest[0] == '-' {
		return from, to, true
	}
	return from, from, from > 1000
}

// merge makes one line of the places where a rule does not apply for the same
// reason, so that what does apply can be seen.
func merge(in []Finding) []Finding {
	var out []Finding
	at := map[string]int{}
	for _, f := range in {
		if f.Outcome != NotApply {
			out = append(out, f)
			continue
		}
		key := f.Rule.ID + "\x00" + f.Note
		if i, ok := at[key]; ok {
			if !slices.Contains(strings.Split(out[i].Path, "; "), f.Path) {
				out[i].Path += "; " + f.Path
			}
			continue
		}
		at[key] = len(out)
		out = append(out, f)
	}
	return out
}

// comparePath orders paths so that "rod R2" comes before "rod R10".
func comparePath(a, b string) int {
	for a != "" && b != "" {
		na, ra := leadingDigits(a)
		nb, rb := leadingDigits(b)
		if na != "" && nb != "" {
			x, y := strings.TrimLeft(na, "0"), strings.TrimLeft(nb, "0")
			if c := cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(x, y)); c != 0 {
				return c
			}
			a, b = ra, rb
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

func leadingDigits(s string) (digits, rest string) {
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	return s[:i], s[i:]
}

type force int

const (
	inForce force = iota
	untold        // who governs is not said
	notRun        // not adopted, or another work governs
)

// standing says whether a rule is looked at on this site.
func standing(v View, r *Rule) force {
	if r.Work == Owner {
		return inForce
	}
	adopted := slices.ContainsFunc(v.Site.Adopted, func(w site.Work) bool { return w.ID == r.Work })
	g := v.Site.Governs
	if !code(r.Work) {
		if adopted {
			return inForce
		}
		return notRun
	}
	switch {
	case g.Work == "":
		return untold
	case g.Work == r.Work:
		return inForce
	case len(g.Boundary) > 2 && (adopted || r.Work == NESC):
		return inForce // on its own side of the boundary
	}
	return notRun
}

// shared takes a finding of a code rule back where the site is shared by two
// works and the place lies on the other one's side: ground inside the
// boundary is under the utility's own rules, ground outside is not.
func shared(v View, f *Finding) {
	g := v.Site.Governs
	if len(g.Boundary) < 3 || !code(f.Rule.Work) || f.Outcome == NotApply {
		return
	}
	at := slices.Clone(f.At)
	for _, id := range f.Points {
		for _, p := range v.Plan.Points {
			if p.ID == id {
				at = append(at, p.At.Plan())
			}
		}
	}
	if len(at) == 0 {
		return
	}
	in := 0
	for _, q := range at {
		if inside(g.Boundary, q) {
			in++
		}
	}
	switch utility := f.Rule.Work == NESC; {
	case in == len(at) && !utility:
		f.Outcome, f.Note = NotApply, "inside the boundary of the ground under the utility's own rules"
	case in == 0 && utility:
		f.Outcome, f.Note = NotApply, "outside the boundary of the ground under the utility's own rules"
	case in > 0 && in < len(at):
		f.Note = strings.TrimPrefix(f.Note+"; it lies on both sides of the boundary of the utility's ground", "; ")
	}
}

func inside(o geom.Outline, p geom.Point) bool { return o.Contains(p) }

// Skip is a work whose rules were not run.
type Skip struct {
	Work  string
	Rules int
	Why   string
}

// Skipped returns the works that were not run on this site, in the order in
// which their rules are listed, and why: the short list of what was not
// looked at.
func Skipped(v View, rules []*Rule) []Skip {
	var out []Skip
	for _, r := range rules {
		if standing(v, r) != notRun {
			continue
		}
		if n := len(out); n > 0 && out[n-1].Work == r.Work {
			out[n-1].Rules++
			continue
		}
		why := "not adopted by this site"
		if code(r.Work) {
			why = fmt.Sprintf("%s governs here", v.Site.Governs.Work)
		}
		out = append(out, Skip{Work: r.Work, Rules: 1, Why: why})
	}
	return out
}

// Tally counts findings by outcome.
type Tally struct {
	Broken, CannotTell, Holds, NotApply int
	Shall                               int // broken rules that say "shall", waived ones too
	Waived                              int // broken ones that were set aside in writing
}

// Count tallies findings. A waived finding is still broken.
func Count(fs []Finding) Tally {
	var t Tally
	for _, f := range fs {
		switch f.Outcome {
		case Broken:
			t.Broken++
			if f.Rule.Force == Shall {
				t.Shall++
			}
			if f.Waived != nil {
				t.Waived++
			}
		case CannotTell:
			t.CannotTell++
		case Holds:
			t.Holds++
		case NotApply:
			t.NotApply++
		}
	}
	return t
}
