package desk

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"stubup/rule"
	"stubup/site"
)

// Profile is one body of rules that the site can stand under.
type Profile struct {
	Key  string `json:"key"`
	Said string `json:"said"`
	On   bool   `json:"on"`
}

const ownerKey = "owner"

// Profiles lists the works that rules are known of, and the owner's own where
// the document has any, with those that are on.
func (d *Desk) Profiles() []Profile {
	s := d.res.Document.Site
	out := []Profile{}
	for _, id := range site.Works {
		p := Profile{Key: id, Said: id}
		for _, w := range s.Adopted {
			if w.ID == id {
				p.On, p.Said = true, strings.TrimSpace(id+" "+w.Edition)
			}
		}
		out = append(out, p)
	}
	if len(s.Owner.Rules) > 0 {
		said := s.Owner.Name
		if said == "" {
			said = "the owner's rules"
		}
		out = append(out, Profile{ownerKey, said, true})
	}
	return out
}

// Turned is a finding that another profile would change.
type Turned struct {
	Title string `json:"title"`
	Place string `json:"place"`
	Was   string `json:"was"`   // its outcome now; empty where it is not looked at
	Would string `json:"would"` // under the other profile
	Cite  string `json:"cite"`
}

// Difference is what would change if the site stood under other rules.
type Difference struct {
	Turned []Turned       `json:"turned"`
	Same   int            `json:"same"` // findings that stay as they are
	Counts map[string]int `json:"counts"`
	Edits  []site.Edit    `json:"edits"` // that write it into the site
}

// Under evaluates the document under the profiles named, without changing it,
// and returns which findings would change.
func (d *Desk) Under(keys []string) (Difference, error) {
	s := d.res.Document.Site
	var lines []string
	for _, w := range s.Adopted {
		if slices.Contains(keys, w.ID) {
			lines = append(lines, "- "+strings.TrimSpace(w.ID+" "+w.Edition))
		}
	}
	for _, id := range site.Works {
		has := slices.ContainsFunc(s.Adopted, func(w site.Work) bool { return w.ID == id })
		if !has && slices.Contains(keys, id) {
			lines = append(lines, "- "+id)
		}
	}
	for _, k := range keys {
		if k != ownerKey && !slices.Contains(site.Works, k) {
			return Difference{}, problem("pick one that is listed", "no rules are known under %q", k)
		}
	}
	say := "stand under " + strings.Join(keys, ", ")
	if len(keys) == 0 {
		say = "stand under no rules"
	}
	var edits []site.Edit
	if is, was := strings.Join(lines, "\n"), d.Get("adopted"); is != was {
		edits = append(edits, site.Edit{Path: "adopted", Old: was, New: is, Sentence: say})
	}
	if len(s.Owner.Rules) > 0 && !slices.Contains(keys, ownerKey) {
		edits = append(edits, site.Edit{Path: "owner", Old: d.Get("owner"), Sentence: say})
	}
	out := Difference{Turned: []Turned{}, Edits: []site.Edit{}}
	now := d.res.Prove().Findings
	out.Counts = outcomes(now)
	out.Same = len(now)
	if len(edits) == 0 {
		return out, nil
	}
	doc, _, err := apply(d.res.Document, edits)
	if err != nil {
		return Difference{}, err
	}
	then := d.res.With(context.Background(), doc).Prove().Findings
	out.Edits, out.Counts, out.Same = edits, outcomes(then), 0
	key := func(f rule.Finding) string { return f.Rule.ID + "\n" + f.Path }
	was := map[string]rule.Finding{}
	for _, f := range now {
		was[key(f)] = f
	}
	turn := func(f rule.Finding, was, would string) {
		out.Turned = append(out.Turned, Turned{f.Rule.Title, f.Path, was, would, fmt.Sprint(f.Cite)})
	}
	for _, f := range then {
		old, has := was[key(f)]
		delete(was, key(f))
		switch {
		case !has:
			turn(f, "", f.Outcome.String())
		case old.Outcome != f.Outcome || old.Required != f.Required:
			turn(f, old.Outcome.String()+dash(old.Required), f.Outcome.String()+dash(f.Required))
		default:
			out.Same++
		}
	}
	for _, f := range now {
		if _, gone := was[key(f)]; gone {
			turn(f, f.Outcome.String(), "")
		}
	}
	return out, nil
}

func dash(s string) string {
	if s == "" {
		return ""
	}
	return ", " + s
}
