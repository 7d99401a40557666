// Package answer computes what is asked of a plan: resistance, fill, bend
// sums, expansion, boxes, cover, feeder figures. Every answer is lazy, is
// computed once, can be cancelled through its context, and carries its whole
// descent as a trace.Value. What cannot be computed says which input is
// missing; it is never a guess.
package answer

import (
	"context"
	"sync"

	"stubup/base/trace"
	"stubup/plan"
)

// Book holds the answers of one plan.
type Book struct {
	Plan   *plan.Plan
	ctx    context.Context
	ledger trace.Ledger
	mu     sync.Mutex
	once   map[string]any
}

// New returns the answers of a plan. Nothing is computed yet.
func New(ctx context.Context, p *plan.Plan) *Book {
	return &Book{Plan: p, ctx: ctx, once: map[string]any{}}
}

// Context returns the context that ends the computing.
func (b *Book) Context() context.Context { return b.ctx }

// Answer is one value, or the words that say why there is none.
type Answer struct {
	Value   *trace.Value // nil where it cannot be told
	Missing string       // "the outside diameter of post 3"; empty where Value is there
}

// OK reports whether there is a value.
func (a Answer) OK() bool { return a.Value != nil }

// Ledger returns every value computed so far, inputs first.
func (b *Book) Ledger() *trace.Ledger { return &b.ledger }

// memo computes an answer once. f must not ask for the same key.
func memo[T any](b *Book, key string, f func() T) T {
	b.mu.Lock()
	if v, ok := b.once[key]; ok {
		b.mu.Unlock()
		return v.(T)
	}
	b.mu.Unlock()
	v := f()
	b.mu.Lock()
	b.once[key] = v
	b.mu.Unlock()
	return v
}

// keep puts a value into the ledger and returns the answer of it.
func (b *Book) keep(v *trace.Value) Answer {
	if v == nil {
		return Answer{Missing: "nothing to compute"}
	}
	if !v.Finite() {
		return Answer{Missing: "a finite result: the inputs are outside of what can be computed"}
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	return Answer{Value: b.ledger.Add(v)}
}

func cannot(what string) Answer { return Answer{Missing: what} }
