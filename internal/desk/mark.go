package desk

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"stubup"
	"stubup/answer"
	"stubup/base/diag"
	"stubup/rule"
	"stubup/rule/all"
)

// Mark is one thing that is wrong or cannot be told, at the thing on the plan
// that it belongs to.
type Mark struct {
	IDs   []string     `json:"ids"`   // the things it belongs to, as the list has them; the first is what it is about
	Wrong bool         `json:"wrong"` // broken, or an error of the document; else it cannot be told
	Said  string       `json:"said"`
	Mend  string       `json:"mend,omitempty"`
	At    [][2]float64 `json:"at"`              // m, where it is marked
	Along bool         `json:"along,omitempty"` // all along the first thing, not only at a place
	Later bool         `json:"later,omitempty"` // it is worked out after the others
}

// late are the rules that wait for a solve of the field or for the pull of a
// whole run. All others are looked at as soon as a change is made.
var late = []string{"owner.resistance-limit", "owner.margin", "mil-hdbk-419a.target", "nfpa70.250.53.single-rod", "good-practice.pull"}

func isLate(r *rule.Rule) bool { return slices.Contains(late, r.ID) }

func early() []*rule.Rule { return slices.DeleteFunc(all.Rules(), isLate) }

// Marks returns what is marked on the plan: at once what needs no solve, with
// whole set all of it.
func (d *Desk) Marks(whole bool) []Mark {
	if whole {
		return marks(d.res, d.res.Prove().Findings)
	}
	// In a book of its own: the order in which values are first asked for is
	// the order in which they are printed.
	v := d.res.View
	v.Answer = answer.New(d.res.Answers.Context(), d.res.Plan)
	return marks(d.res, rule.Run(v, early()))
}

func marks(r *stubup.Result, fs []rule.Finding) []Mark {
	out := []Mark{}
	at := map[string]Thing{}
	byPath := map[string][]string{}
	for _, t := range things(r) {
		if _, has := at[t.ID]; !has {
			at[t.ID] = t
		}
		byPath[t.Path] = append(byPath[t.Path], t.ID)
	}
	add := func(m Mark, paths []string, points []string) {
		var ids []string
		for _, p := range paths {
			if ids = about(p, byPath); len(ids) > 0 {
				break
			}
		}
		for _, id := range append(ids, points...) {
			if _, has := at[id]; has && !slices.Contains(m.IDs, id) {
				m.IDs = append(m.IDs, id)
			}
		}
		if len(m.IDs) == 0 {
			return
		}
		// It is marked at its points; where it has none, at the thing.
		for _, id := range m.IDs {
			if slices.Contains(points, id) || len(points) == 0 {
				m.At = append(m.At, spot(at[id]))
			}
		}
		if len(m.At) == 0 {
			m.At = append(m.At, spot(at[m.IDs[0]]))
		}
		m.Along = m.Wrong && len(points) == 0 && len(at[m.IDs[0]].Lines) > 1
		m.At = apart(m.At)
		out = append(out, m)
	}
	for _, x := range r.Diags {
		add(Mark{Wrong: x.Level == diag.Error, Said: x.What, Mend: x.Mend}, []string{x.Span.Path}, nil)
	}
	for _, f := range fs {
		if f.Outcome != rule.Broken && f.Outcome != rule.CannotTell {
			continue
		}
		said := f.Outcome.String() + ": " + f.Required
		if f.Found != "" {
			said += "; found " + f.Found
		}
		if f.Margin != "" {
			said += ", " + f.Margin
		}
		if f.Waived != nil {
			said += "; set aside by " + f.Waived.Who
		}
		add(Mark{Wrong: f.Outcome == rule.Broken, Said: said, Mend: f.Mend, Later: isLate(f.Rule)}, []string{f.Span.Path, f.Path}, f.Points)
	}
	return out
}

// about returns the things that a path of the document speaks of: an object, a
// run, the ring, or all that an entry places.
func about(path string, byPath map[string][]string) []string {
	for p := path; p != ""; {
		if ids := byPath[p]; len(ids) > 0 {
			return ids
		}
		if i := strings.LastIndexAny(p, ".["); i > 0 {
			p = p[:i]
			continue
		}
		break
	}
	if path == "ground" { // the metal as a whole is marked at its ring
		return []string{"ring"}
	}
	for _, kind := range []string{"objects.", "runs."} {
		rest, ok := strings.CutPrefix(path, kind)
		if !ok {
			continue
		}
		if q, err := strconv.QuotedPrefix(rest); err == nil {
			q, _ = strconv.Unquote(q)
			return []string{q}
		}
		id, _, _ := strings.Cut(rest, ".")
		id, _, _ = strings.Cut(id, "[")
		return []string{id}
	}
	return nil
}

// spot returns where a thing is marked: on its first side, since its corners
// are full of joints, or where it stands.
func spot(t Thing) [2]float64 {
	if len(t.Lines) < 2 {
		return t.At
	}
	k := (len(t.Lines) - 1) / 2
	if t.Closed {
		k = 0
	}
	a, b := t.Lines[k], t.Lines[k+1]
	return [2]float64{round((a[0] + b[0]) / 2), round((a[1] + b[1]) / 2)}
}

// apart leaves out places that lie within a hand of an earlier one.
func apart(ps [][2]float64) [][2]float64 {
	var out [][2]float64
	for _, p := range ps {
		if !slices.ContainsFunc(out, func(q [2]float64) bool { return math.Hypot(p[0]-q[0], p[1]-q[1]) < 0.1 }) {
			out = append(out, p)
		}
	}
	return out
}
