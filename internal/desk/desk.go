// Package desk holds one open site: it applies edits, keeps what undoes them,
// and gives each stage as parts of which only the changed ones are told again.
// The browser engine and tests use it; it reads no file and asks no clock.
package desk

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"stubup"
	"stubup/base/diag"
	"stubup/base/unit"
	"stubup/internal/jot"
	"stubup/internal/wire"
	"stubup/rule"
	"stubup/site"
	"stubup/stage/prove"
)

// Desk is one open document with its evaluation.
type Desk struct {
	asOf   string
	res    *stubup.Result
	old    *stubup.Result               // the revision that a change is compared with
	sent   map[string]map[string]uint64 // stage: part: hash of what was last told
	thin   *site.Document               // what runs hang on of res, once it is asked for
	thinOf *stubup.Result
}

// Head is what every screen shows of the document.
type Head struct {
	Name     string         `json:"name"`
	Revision string         `json:"revision"`
	Units    string         `json:"units"`
	Grid     string         `json:"grid"`
	AsOf     string         `json:"asOf"`
	Site     string         `json:"site"` // sha256 of the document
	Engine   string         `json:"engine"`
	Numbered bool           `json:"numbered"` // the document remembers its numbers
	Counts   map[string]int `json:"counts"`
	Diags    []Diag         `json:"diags"`
}

// Diag is one thing that is wrong with the document, with the object it is at.
type Diag struct {
	Code  string `json:"code"`
	Level string `json:"level"`
	Line  int    `json:"line"`
	Path  string `json:"path"`
	What  string `json:"what"`
	Mend  string `json:"mend"`
}

// Problem is an error with what to do about it.
type Problem struct {
	What string `json:"what"`
	Mend string `json:"mend"`
}

// Error returns both parts.
func (p *Problem) Error() string { return p.What + " (" + p.Mend + ")" }

func problem(mend, format string, args ...any) error {
	return &Problem{What: fmt.Sprintf(format, args...), Mend: mend}
}

// Open puts a document on the desk.
func (d *Desk) Open(name string, text []byte, asOf string) {
	d.asOf, d.old = asOf, nil
	d.take(stubup.Evaluate(context.Background(), stubup.Input{Name: name, Site: text, AsOf: asOf}))
	d.sent = map[string]map[string]uint64{}
}

func (d *Desk) take(r *stubup.Result) { d.res = r }

// Text returns the document.
func (d *Desk) Text() []byte { return d.res.Input.Site }

// Result returns the evaluation of the document as it stands.
func (d *Desk) Result() *stubup.Result { return d.res }

// Head returns what stands over every screen.
func (d *Desk) Head() Head {
	s, p := d.res.Document.Site, d.res.Plan
	h := Head{
		Name: s.Name, Revision: s.Revision, Units: "us", AsOf: d.asOf, Site: d.res.SiteHash, Engine: stubup.Version, Numbered: len(s.Numbers) > 0,
		Counts: map[string]int{"rod": len(p.Rods), "whip": len(p.Whips), "joint": len(p.Joints), "run": len(p.Runs), "object": len(s.Objects), "welded": len(p.Welded())},
		Diags:  []Diag{},
	}
	if s.Units == unit.SI {
		h.Units = "si"
	}
	h.Grid = "m"
	if g, _ := d.res.Document.Get("grid"); strings.TrimSpace(g) == "ft" {
		h.Grid = "ft"
	}
	for _, x := range d.res.Diags {
		level := "error"
		if x.Level != diag.Error {
			level = "warning"
		}
		h.Diags = append(h.Diags, Diag{string(x.Code), level, x.Span.Line, x.Span.Path, x.What, x.Mend})
	}
	return h
}

// Edit applies edits one after the other, or none of them, and returns what
// undoes them, in the order in which that is to be applied.
func (d *Desk) Edit(edits []site.Edit) ([]site.Edit, error) {
	doc, inverse, err := apply(d.res.Document, edits)
	if err != nil {
		return nil, err
	}
	d.take(d.res.With(context.Background(), doc))
	return inverse, nil
}

func apply(doc *site.Document, edits []site.Edit) (*site.Document, []site.Edit, error) {
	if len(edits) == 0 {
		return nil, nil, problem("move or type something first", "nothing would change")
	}
	inverse := make([]site.Edit, len(edits))
	for i, e := range edits {
		do := doc.Apply
		if i < len(edits)-1 {
			do = doc.Part
		}
		next, back, err := do(e)
		switch {
		case errors.Is(err, site.ErrOldDiffers):
			return nil, nil, problem("look at it again, then repeat the change", "%s is not as it was any more", e.Path)
		case errors.Is(err, site.ErrNoSentence):
			return nil, nil, problem("give the change a sentence", "the change of %s says nothing", e.Path)
		case err != nil:
			return nil, nil, problem("write it another way", "%v", err)
		}
		doc, inverse[len(edits)-1-i] = next, back
	}
	return doc, inverse, nil
}

// Trial is what the design would be with some edits, without making them.
type Trial struct {
	Text    string `json:"text"`    // "4.71 ohm", or why it cannot be told
	Verdict string `json:"verdict"` // against the owner's limit
	Told    bool   `json:"told"`
}

// Rest goes through what a change goes through, on the document as it stands, and
// changes nothing. A browser translates code where it is first used and again
// where it is used much: the first change takes four times as long as the third,
// unless nobody waited for those two. It reports whether it came to the end.
func (d *Desk) Rest() bool {
	name, ok := d.res.Document.Get("name")
	if !ok {
		return false
	}
	doc, _, err := apply(d.res.Document, []site.Edit{{Path: "name", Old: name, New: "another", Sentence: "another name"}})
	if err != nil {
		return false
	}
	next := Desk{res: d.res.With(context.Background(), doc)}
	next.Marks(false)
	return true
}

// Try returns the design resistance with the edits made.
func (d *Desk) Try(edits []site.Edit) (Trial, error) {
	edits = slices.DeleteFunc(slices.Clone(edits), func(e site.Edit) bool { return e.Splice == nil && e.Old == e.New })
	if len(edits) == 0 { // it is where it was
		return d.Now(), nil
	}
	doc, _, err := apply(d.res.Document, edits)
	if err != nil {
		return Trial{}, err
	}
	return trial(d.res.With(context.Background(), doc)), nil
}

// Now returns the design resistance as the document stands.
func (d *Desk) Now() Trial { return trial(d.res) }

func trial(r *stubup.Result) Trial {
	a := r.Answers.Design()
	if !a.OK() {
		return Trial{Text: "cannot tell: " + a.Missing}
	}
	t := Trial{Text: a.Value.Text, Told: true, Verdict: "no limit is set"}
	if limit, _, has := prove.Limit(r.View); has {
		t.Verdict = "limit " + unit.Trim(float64(limit), 2) + ": " + prove.Margin(a.Value.SI, float64(limit))
	}
	return t
}

// Number returns the edits that write the numbers of the plan into the
// document, so that they stay with their points.
func (d *Desk) Number() ([]site.Edit, error) {
	if d.res.Diags.HasError() {
		return nil, problem("mend the document first", "no number is kept while the document has errors")
	}
	doc, err := d.res.Document.WithNumbers(d.res.Plan.Numbers)
	if err != nil {
		return nil, err
	}
	was, _ := d.res.Document.Get("numbers")
	is, _ := doc.Get("numbers")
	if bytes.Equal(doc.Src, d.res.Document.Src) || was == is {
		return nil, problem("go on", "the document keeps these numbers already")
	}
	return []site.Edit{{Path: "numbers", Old: was, New: is, Sentence: fmt.Sprintf("keep the numbers of %d points", len(d.res.Plan.Numbers))}}, nil
}

// Why is one line of a descent.
type Why struct {
	Depth int        `json:"depth"`
	Value wire.Value `json:"value"`
}

// Why returns where a value comes from, itself first, and what hangs on it.
func (d *Desk) Why(path string) (from, uses []Why, err error) {
	l := d.res.Prove().Ledger
	v := l.Get(path)
	if v == nil {
		return nil, nil, problem("open it from a number on the screen", "no value is at %q", path)
	}
	seen := map[string]bool{}
	type step struct {
		path  string
		depth int
	}
	stack := []step{{path, 0}}
	for len(stack) > 0 {
		s := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		u := l.Get(s.path)
		if u == nil || seen[s.path] {
			continue
		}
		seen[s.path] = true
		from = append(from, Why{s.depth, wire.ValueOf(u)})
		for i := len(u.From) - 1; i >= 0; i-- {
			stack = append(stack, step{u.From[i].Path, s.depth + 1})
		}
	}
	for _, u := range l.Uses(path) {
		uses = append(uses, Why{0, wire.ValueOf(u)})
	}
	return from, uses, nil
}

// Compare sets the revision that the change stage compares with.
func (d *Desk) Compare(name string, text []byte) {
	d.old = stubup.Evaluate(context.Background(), stubup.Input{Name: name, Site: text, AsOf: d.asOf})
	delete(d.sent, "change")
}

// Get returns the text that stands at a path of the document.
func (d *Desk) Get(path string) string {
	s, _ := d.res.Document.Get(path)
	return s
}

// Length reads a length as a person types it and says it back as a tape reads.
// Where a tape's marks are too coarse for what was typed, it is said back as it
// was typed, so that what is shown is always what is meant.
func (d *Desk) Length(text string) (m float64, said string, err error) {
	m, err = unit.Parse(text, unit.Length)
	if err != nil {
		var e *unit.Error
		if errors.As(err, &e) && e.Fault == unit.NoUnit {
			// A bare number is one of the document's grid; what it is said back as
			// shows the unit.
			if v, bad := strconv.ParseFloat(strings.TrimSpace(text), 64); bad == nil && (v == 0 || d.grid() > 0) {
				m, err = v*d.grid(), nil
			}
		}
	}
	if err != nil {
		var e *unit.Error
		if errors.As(err, &e) {
			return 0, "", problem(e.Mend, "%s", e.Error())
		}
		return 0, "", err
	}
	said = d.res.Document.Site.Units.Length(unit.Metre(m))
	if !d.reads(said, m) {
		said = strings.TrimSpace(text)
	}
	return m, said, nil
}

// Say writes a length, in metres, that nobody typed: a place that was tapped.
// It is written as a tape reads, or, between a tape's marks, to the
// ten-thousandth that the document keeps.
func (d *Desk) Say(m float64) string {
	u := d.res.Document.Site.Units
	if said := u.Length(unit.Metre(m)); d.reads(said, m) {
		return said
	}
	if u == unit.SI {
		return unit.Trim(m, 4) + " m"
	}
	return unit.Trim(unit.Metre(m).Ft(), 4) + " ft"
}

// reads says whether a text is read as a length, as finely as the document keeps
// a place.
func (d *Desk) reads(said string, m float64) bool {
	fine := 0.5e-4
	if d.grid() == float64(unit.Foot) {
		fine *= float64(unit.Foot)
	}
	again, err := unit.Parse(said, unit.Length)
	return err == nil && math.Abs(again-m) <= fine*1.0001
}

// Call answers one call of the browser: a name and an argument as JSON.
func (d *Desk) Call(name string, arg []byte) []byte {
	out, err := d.answer(name, arg)
	if err != nil {
		var p *Problem
		if !errors.As(err, &p) {
			p = &Problem{What: err.Error(), Mend: "try it again; the document is as it was"}
		}
		out = map[string]any{"problem": p}
	}
	b, err := jot.Write(out)
	if err != nil {
		return []byte(`{"problem":{"what":"the answer could not be written","mend":"reload the page; the document is kept"}}`)
	}
	return b
}

func (d *Desk) answer(name string, arg []byte) (any, error) {
	var in struct {
		Name, Text, AsOf, Stage, Path, File string
		Fresh                               bool
		At                                  int
		M                                   float64
		Edits                               []site.Edit
		Keys                                []string
		Fields                              []Field
		Gesture                             *Gesture
	}
	if err := jot.Read(arg, &in); err != nil {
		return nil, fmt.Errorf("the call %s cannot be read: %w", name, err)
	}
	if name == "starter" {
		return map[string]string{"text": string(site.Starter())}, nil
	}
	if name == "blank" && in.Text == "si" {
		return map[string]string{"text": string(site.BlankSI())}, nil
	}
	if name == "blank" {
		return map[string]string{"text": string(site.Blank())}, nil
	}
	if name == "sums" {
		return map[string]any{"sums": pocket()}, nil
	}
	if name == "sum" {
		return calculate(in.Name, in.Fields)
	}
	if name == "open" {
		d.Open(in.Name, []byte(in.Text), in.AsOf)
		return map[string]any{"head": d.Head()}, nil
	}
	if d.res == nil {
		return nil, problem("open a site first", "no document is open")
	}
	edits := in.Edits
	if in.Gesture != nil && name != "run" {
		var err error
		if edits, err = d.Edits(*in.Gesture); err != nil {
			return nil, err
		}
	}
	switch name {
	case "edit":
		inverse, err := d.Edit(edits)
		if err != nil {
			return nil, err
		}
		return map[string]any{"head": d.Head(), "edits": edits, "inverse": inverse, "marks": d.Marks(false)}, nil
	case "marks":
		return map[string]any{"marks": d.Marks(true)}, nil
	case "rest":
		return map[string]bool{"done": d.Rest()}, nil
	case "text":
		return map[string]string{"text": string(d.Text())}, nil
	case "number":
		edits, err := d.Number()
		return map[string]any{"edits": edits}, err
	case "try":
		return d.Try(edits)
	case "now":
		return d.Now(), nil
	case "stage":
		return d.Stage(in.Stage, in.Fresh)
	case "run":
		if in.Gesture != nil {
			return d.RunWith(*in.Gesture)
		}
		return d.Run(in.Path)
	case "survey":
		return d.Survey(), nil
	case "profiles":
		return map[string]any{"profiles": d.Profiles()}, nil
	case "under":
		return d.Under(in.Keys)
	case "ways":
		ws, err := d.Ways(in.Path)
		return map[string]any{"ways": ws}, err
	case "spots":
		return d.Spots(in.Path, in.At)
	case "swaps":
		ss, err := d.Swaps(in.Path, in.At)
		return map[string]any{"swaps": ss}, err
	case "why":
		from, uses, err := d.Why(in.Path)
		return map[string]any{"from": from, "uses": uses}, err
	case "compare":
		d.Compare(in.Name, []byte(in.Text))
		return map[string]any{}, nil
	case "fills":
		return map[string]any{"fills": d.Fills(in.Path)}, nil
	case "get":
		return map[string]any{"text": d.Get(in.Path), "keys": d.res.Document.Keys(in.Path)}, nil
	case "length":
		m, said, err := d.Length(in.Text)
		return map[string]any{"m": m, "said": said}, err
	case "say":
		return map[string]any{"said": d.Say(in.M)}, nil
	case "file":
		return d.File(in.File)
	}
	return nil, problem("reload the page", "no call is named %q", name)
}

// broken counts the findings of one outcome.
func outcomes(fs []rule.Finding) map[string]int {
	n := map[string]int{}
	for _, f := range fs {
		n[f.Outcome.String()]++
	}
	return n
}
