// Package stubup is the front door of the engine: one site document goes in,
// and what the crew, the inspector and the owner hold comes out. The command,
// the server, the browser and library users all call Evaluate.
package stubup

import (
	"context"

	"stubup/answer"
	"stubup/base/diag"
	"stubup/base/digest"
	"stubup/plan"
	"stubup/rule"
	"stubup/rule/all"
	"stubup/site"
	"stubup/stage/change"
	"stubup/stage/handover"
	"stubup/stage/layout"
	"stubup/stage/order"
	"stubup/stage/prove"
	"stubup/stage/work"
)

// Version of the engine. A release that changes any printed number says so
// first in the changelog.
const Version = "0.1.0"

// Format of the machine-readable results.
const Format = 1

// Input is everything that a result depends on.
type Input struct {
	Name string // file name, for messages
	Site []byte // the document
	AsOf string // RFC 3339: the moment that is reported on; printed
}

// Result is one evaluation. Stages are computed when they are asked for.
type Result struct {
	Input    Input
	Hash     string // of all of Input and the engine version
	SiteHash string // of the document alone
	Document *site.Document
	Plan     *plan.Plan
	Answers  *answer.Book
	View     rule.View
	Diags    diag.List // of the document and of the plan, in order

	layout   *layout.Result
	prove    *prove.Result
	order    *order.Result
	work     *work.Result
	handover *handover.Result
}

// Evaluate reads a document and resolves it. It never gives up on a document:
// what is wrong is in Diags, and the rest is there.
func Evaluate(ctx context.Context, in Input) *Result {
	return evaluate(ctx, in, site.Load(in.Name, in.Site))
}

// With evaluates another state of the same document, which is read already.
func (r *Result) With(ctx context.Context, doc *site.Document) *Result {
	return evaluate(ctx, Input{Name: r.Input.Name, Site: doc.Src, AsOf: r.Input.AsOf}, doc)
}

func evaluate(ctx context.Context, in Input, doc *site.Document) *Result {
	r := &Result{Input: in, Document: doc}
	r.SiteHash = digest.Hex(in.Site)
	var all []byte
	for _, part := range []string{Version, in.Name, in.AsOf, r.SiteHash} {
		all = append(append(all, part...), 0)
	}
	r.Hash = digest.Hex(all)
	r.Plan = plan.Make(r.Document.Site)
	r.Answers = answer.New(ctx, r.Plan)
	r.View = rule.View{Site: r.Document.Site, Plan: r.Plan, Answer: r.Answers, AsOf: in.AsOf}
	r.Diags = append(r.Diags, r.Document.Diags...)
	for _, d := range r.Plan.Diags {
		d.File = in.Name
		r.Diags = append(r.Diags, d)
	}
	r.Diags.Sort()
	return r
}

// Layout returns the drawings and the point list.
func (r *Result) Layout() *layout.Result {
	if r.layout == nil {
		v := layout.Make(r.View)
		r.layout = &v
	}
	return r.layout
}

// Prove returns the findings, the resistance and the calculation sheets.
func (r *Result) Prove() *prove.Result {
	if r.prove == nil {
		v := prove.Make(r.View, all.Rules())
		r.prove = &v
	}
	return r.prove
}

// Order returns the bill.
func (r *Result) Order() *order.Result {
	if r.order == nil {
		v := order.Make(r.View)
		r.order = &v
	}
	return r.order
}

// Work returns today's sheets and the blank registers.
func (r *Result) Work() *work.Result {
	if r.work == nil {
		v := work.Make(r.View)
		r.work = &v
	}
	return r.work
}

// Broken reports whether a rule that binds by "shall" is broken and not waived.
func (r *Result) Broken() bool {
	for _, f := range r.Prove().Findings {
		if f.Outcome == rule.Broken && f.Rule.Force == rule.Shall {
			return true
		}
	}
	return false
}

// Change compares two evaluated revisions. Where the new one carries no
// numbers of its own it is numbered from the old one, so that a point that
// stays is not taken for another because one was added before it.
func Change(old, new *Result) change.Result {
	if len(new.Document.Site.Numbers) == 0 {
		new = new.numbered(old.Plan.Numbers)
	}
	side := func(r *Result) change.Side {
		return change.Side{View: r.View, Findings: r.Prove().Findings, Order: r.Order(), AsOf: r.Input.AsOf}
	}
	return change.Of(side(old), side(new))
}

// numbered returns the same evaluation with the points numbered from memory.
func (r *Result) numbered(ns []site.Number) *Result {
	s := *r.Document.Site
	s.Numbers = ns
	doc := *r.Document
	doc.Site = &s
	n := &Result{Input: r.Input, Hash: r.Hash, SiteHash: r.SiteHash, Document: &doc, Plan: plan.Make(&s), Diags: r.Diags}
	n.Answers = answer.New(r.Answers.Context(), n.Plan)
	n.View = rule.View{Site: &s, Plan: n.Plan, Answer: n.Answers, AsOf: r.View.AsOf}
	return n
}

// Handover returns the closeout package.
func (r *Result) Handover() *handover.Result {
	if r.handover == nil {
		v := handover.Make(handover.Input{
			View: r.View, Title: r.title(), AsOf: r.Input.AsOf, SiteHash: r.SiteHash, Engine: Version, Document: r.Input.Site,
			Layout: r.Layout(), Prove: r.Prove(), Order: r.Order(), Work: r.Work(), Diags: r.Diags,
		})
		r.handover = &v
	}
	return r.handover
}

func (r *Result) title() string {
	s := r.Document.Site
	name := s.Name
	if name == "" {
		name = r.Input.Name
	}
	if s.Revision != "" {
		name += ", revision " + s.Revision
	}
	return name
}
