// Package app is what a person may do with the sites of a store: bring one in,
// read it, keep a revision, and have it evaluated. The doors (command, HTTP)
// call it and know nothing of documents; the store knows nothing of them
// either.
package app

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"regexp"
	"strings"
	"time"

	"stubup"
	"stubup/base/diag"
	"stubup/internal/issue"
	"stubup/internal/store"
	"stubup/site"
)

// DocumentName is what a document of a store is called in messages, on every
// device, so that the same document gives the same bytes.
const DocumentName = "site.yaml"

// App works on one store.
type App struct {
	Store store.Store
	Now   func() time.Time
	NewID func() string
	work  turns // results
	read  turns // looks at a document alone, so that keeping one waits for no result
}

// New returns an app that evaluates at most running results at once, with at
// most waiting more requests in line.
func New(s store.Store, now func() time.Time, newID func() string, running, waiting int) *App {
	return &App{Store: s, Now: now, NewID: newID, work: newTurns(running, waiting), read: newTurns(running, waiting)}
}

// ErrBusy says that too many evaluations wait already.
var ErrBusy = errors.New("the program is busy with other results")

// DocumentError is a document that is not taken.
type DocumentError struct {
	What  string
	Mend  string
	Diags diag.List
}

func (e *DocumentError) Error() string { return e.What }

// ArgumentError is a request that makes no sense.
type ArgumentError struct{ Place, What, Mend string }

func (e *ArgumentError) Error() string { return e.Place + ": " + e.What }

// Moment returns the time that is reported on: the one given, or now to the
// minute.
func (a *App) Moment(asOf string) (string, error) {
	if asOf == "" {
		return a.Now().UTC().Truncate(time.Minute).Format(time.RFC3339), nil
	}
	t, err := time.Parse(time.RFC3339, asOf)
	if err != nil {
		return "", &ArgumentError{"as_of", fmt.Sprintf("%q is not a time", clip(asOf)), "write it like 2026-03-01T07:00:00Z"}
	}
	return t.Format(time.RFC3339), nil
}

func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}

// Evaluate evaluates a document and gives the result to f. Results are lazy,
// so f does its work here, among at most as many others as the app was made
// for.
func (a *App) Evaluate(ctx context.Context, text []byte, asOf string, f func(*stubup.Result) error) error {
	return a.EvaluateAs(ctx, DocumentName, text, asOf, f)
}

// EvaluateAs is Evaluate for a document that messages call by a name of its
// own.
func (a *App) EvaluateAs(ctx context.Context, name string, text []byte, asOf string, f func(*stubup.Result) error) error {
	at, err := a.Moment(asOf)
	if err != nil {
		return err
	}
	return a.work.in(ctx, func() error {
		err := f(stubup.Evaluate(ctx, stubup.Input{Name: name, Site: text, AsOf: at}))
		// What was cut short is not handed out as a result.
		return errors.Join(err, ctx.Err())
	})
}

// EvaluateTwo is Evaluate for two documents at one moment.
func (a *App) EvaluateTwo(ctx context.Context, old, new []byte, asOf string, f func(old, new *stubup.Result) error) error {
	at, err := a.Moment(asOf)
	if err != nil {
		return err
	}
	return a.work.in(ctx, func() error {
		o := stubup.Evaluate(ctx, stubup.Input{Name: DocumentName, Site: old, AsOf: at})
		n := stubup.Evaluate(ctx, stubup.Input{Name: DocumentName, Site: new, AsOf: at})
		return errors.Join(f(o, n), ctx.Err())
	})
}

// turns lets a few work at once and some more wait.
type turns struct {
	gate  chan struct{} // as many at once as it holds
	queue chan struct{} // as many waiting and running as it holds
}

func newTurns(running, waiting int) turns {
	return turns{make(chan struct{}, running), make(chan struct{}, running+waiting)}
}

func (t turns) in(ctx context.Context, f func() error) error {
	select {
	case t.queue <- struct{}{}:
		defer func() { <-t.queue }()
	default:
		return ErrBusy
	}
	select {
	case t.gate <- struct{}{}:
		defer func() { <-t.gate }()
	case <-ctx.Done():
		return ctx.Err()
	}
	return f()
}

// diags returns what is wrong with a document and what it calls the site.
func (a *App) diags(ctx context.Context, text []byte) (ds diag.List, name string, err error) {
	err = a.read.in(ctx, func() error {
		r := stubup.Evaluate(ctx, stubup.Input{Name: DocumentName, Site: text})
		ds, name = r.Diags, r.Document.Site.Name
		return ctx.Err()
	})
	return ds, name, err
}

// Came is a document that comes in from outside.
type Came struct {
	Text     []byte
	Author   string
	At       time.Time // when it was made; zero for now
	Sentence string    // empty for "brought in"
	Draft    bool      // take it although it has errors
	Example  bool
	Request  string // an id that the asking program made; see store.New
}

// Create makes a site of a document. A document with errors is refused with
// its diags: the person has the file. With Draft it is taken all the same, as
// long as it reads as a site at all.
func (a *App) Create(ctx context.Context, c Came) (store.Site, store.Revision, diag.List, error) {
	var x store.Site
	var r store.Revision
	// The request as it was sent: what is filled in below is not part of it.
	asked := store.Asked(c.Request, "site", string(c.Text), c.Author, sent(c.At), c.Sentence)
	if len(c.Text) > store.MaxDocument {
		return x, r, nil, &store.Error{Kind: store.TooLarge, What: fmt.Sprintf("the document has %d bytes, and %d are kept", len(c.Text), store.MaxDocument), Mend: "split the site, or take notes out of the document"}
	}
	ds, name, err := a.diags(ctx, c.Text)
	if err != nil {
		return x, r, nil, err
	}
	if !a.isSite(c.Text, ds) {
		return x, r, ds, &DocumentError{What: "this file does not read as a site", Mend: "give a site document (YAML); \"stubup init\" writes one to begin with", Diags: ds}
	}
	if ds.HasError() && !c.Draft {
		return x, r, ds, &DocumentError{What: fmt.Sprintf("the document has %d things to mend", count(ds)), Mend: "mend them in the file, or bring it in as a draft and mend it here", Diags: ds}
	}
	if c.At.IsZero() {
		c.At = a.Now()
	}
	if c.Sentence == "" {
		c.Sentence = "brought in"
	}
	x, r, err = a.Store.Create(ctx, a.NewID(), c.Example, store.New{Text: c.Text, Sentence: c.Sentence, Author: c.Author, At: c.At, Draft: ds.HasError(), Name: name, Request: asked})
	return x, r, ds, err
}

// sent is a time as it was sent; empty for none.
func sent(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339Nano)
}

// isSite reports whether a document can be read at all and has something in
// it that only a site has.
func (a *App) isSite(text []byte, ds diag.List) bool {
	for _, d := range ds {
		switch d.Code {
		case diag.Syntax, diag.TooBig, diag.Alias, diag.FormatNew:
			return false
		}
	}
	known := map[string]bool{}
	for _, s := range site.Shapes() {
		if s.Name == "document" {
			for _, k := range s.Keys {
				known[k.Name] = k.Name != "name" // which many files have
			}
		}
	}
	for _, k := range site.Load(DocumentName, text).Keys("") {
		if known[k] {
			return true
		}
	}
	return false
}

func count(ds diag.List) int {
	n := 0
	for _, d := range ds {
		if d.Level == diag.Error {
			n++
		}
	}
	return n
}

// Done is a revision as a person made it.
type Done struct {
	Parents  []string
	Text     *string // the whole document; nil where the edits alone say it
	Edits    []store.Edit
	Sentence string
	Author   string
	At       time.Time // zero for now
	Beside   bool
	Request  string // an id that the asking program made; see store.New
}

// asked is a revision as it was sent.
func (d Done) asked(site string) store.Request {
	parts := []string{"revision", site, fmt.Sprint(len(d.Parents))}
	parts = append(parts, d.Parents...)
	if d.Text != nil {
		parts = append(parts, "text", *d.Text)
	}
	for _, e := range d.Edits {
		parts = append(parts, e.Path, e.Old, e.New, e.Sentence)
	}
	return store.Asked(d.Request, append(parts, d.Sentence, d.Author, sent(d.At))...)
}

// Append keeps a revision. A document with errors is kept as a draft: what a
// person has typed is not thrown away because it is not finished.
func (a *App) Append(ctx context.Context, id string, d Done) (store.Revision, diag.List, bool, error) {
	var none store.Revision
	asked := d.asked(id)
	if len(d.Parents) == 0 {
		return none, nil, false, &ArgumentError{"parents", "is empty", "name the revision that was edited"}
	}
	if d.Text == nil && len(d.Edits) == 0 {
		return none, nil, false, &ArgumentError{"text", "neither a document nor edits", "send the document, the edits, or both"}
	}
	if len(d.Edits) > store.MaxEdits {
		return none, nil, false, &store.Error{Kind: store.TooLarge, What: fmt.Sprintf("%d edits in one revision, and %d are kept", len(d.Edits), store.MaxEdits), Mend: "keep more often"}
	}
	var text []byte
	if d.Text != nil {
		if text = []byte(*d.Text); len(text) > store.MaxDocument {
			return none, nil, false, &store.Error{Kind: store.TooLarge, What: fmt.Sprintf("the document has %d bytes, and %d are kept", len(text), store.MaxDocument), Mend: "split the site, or take notes out of the document"}
		}
	}
	if len(d.Edits) > 0 {
		_, old, err := a.Store.Document(ctx, id, d.Parents[0])
		if err != nil {
			return none, nil, false, err
		}
		made, err := a.apply(ctx, old, d.Edits)
		if err != nil {
			return none, nil, false, err
		}
		if d.Text == nil {
			text = made
		} else if string(made) != string(text) {
			return none, nil, false, &ArgumentError{"edits", "they do not lead from the parent to the document that was sent", "send the document without edits, or the edits without a document"}
		}
	}
	if d.Sentence == "" && len(d.Edits) == 1 {
		d.Sentence = d.Edits[0].Sentence
	}
	if d.At.IsZero() {
		d.At = a.Now()
	}
	ds, name, err := a.diags(ctx, text)
	if err != nil {
		return none, nil, false, err
	}
	r, added, err := a.Store.Append(ctx, id, store.New{
		Parents: d.Parents, Text: text, Sentence: d.Sentence, Edits: d.Edits, Author: d.Author, At: d.At, Beside: d.Beside, Draft: ds.HasError(), Name: name, Request: asked,
	})
	return r, ds, added, err
}

// apply makes the document that edits lead to.
func (a *App) apply(ctx context.Context, old []byte, edits []store.Edit) (text []byte, err error) {
	err = a.read.in(ctx, func() error {
		doc := site.Load(DocumentName, old)
		for i, e := range edits {
			if err := ctx.Err(); err != nil {
				return err
			}
			next, _, err := doc.Apply(site.Edit{Path: e.Path, Old: e.Old, New: e.New, Sentence: e.Sentence})
			if err != nil {
				return &ArgumentError{fmt.Sprintf("edits[%d] %s", i, clip(e.Path)), err.Error(), "read the head and make the edit again"}
			}
			doc = next
		}
		text = doc.Src
		return nil
	})
	return text, err
}

// WithExample brings the reference compound in where the store has no site.
func (a *App) WithExample(ctx context.Context, text []byte) error {
	have, err := a.Store.Sites(ctx)
	if err != nil || len(have) > 0 {
		return err
	}
	_, _, _, err = a.Create(ctx, Came{Text: text, Author: "stubup", Sentence: "the example compound, to look at and to change", Draft: true, Example: true})
	return err
}

// Files goes through the files of every stage of a result. A stage is worked
// out when its first file is reached.
func Files(r *stubup.Result) iter.Seq[Named] {
	return func(yield func(Named) bool) {
		for _, verb := range issue.Verbs {
			s, ok := issue.Of(r, verb)
			if !ok {
				continue
			}
			for _, f := range s.Files {
				if !yield(Named{verb, f}) {
					return
				}
			}
		}
	}
}

// Named is a file of a stage.
type Named struct {
	Stage string
	issue.File
}

var notName = regexp.MustCompile(`[^\p{L}\p{N}]+`)

// FileName returns the name under which a site is saved as a file.
func FileName(name string) string {
	n := strings.Trim(notName.ReplaceAllString(strings.ToLower(name), "-"), "-")
	if r := []rune(n); len(r) > 60 {
		n = strings.TrimRight(string(r[:60]), "-")
	}
	if n == "" {
		return DocumentName
	}
	return n + ".yaml"
}
