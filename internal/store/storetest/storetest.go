// Package storetest is what every store has to do. A store's own tests call
// Run with a way to open one.
package storetest

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"stubup/internal/store"
)

// Opener returns an empty store that is closed when the test ends, and a
// function that closes it and opens it again.
type Opener func(t *testing.T) (s store.Store, reopen func() store.Store)

var day = time.Date(2026, 3, 1, 7, 0, 0, 123456789, time.UTC)

func first(text string) store.New {
	return store.New{Text: []byte(text), Sentence: "first", Author: "R. Mast", At: day, Name: "north yard"}
}

func next(text string, parents ...string) store.New {
	return store.New{
		Text: []byte(text), Sentence: "ring deeper", Author: "R. Mast", At: day.Add(time.Hour), Name: "north yard", Parents: parents,
		Edits: []store.Edit{{Path: "ground.ring.depth", Old: "30 in", New: "36 in", Sentence: "ring deeper"}},
	}
}

func must[T any](v T, err error) func(t *testing.T) T {
	return func(t *testing.T) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func kind(t *testing.T, err error, want store.Kind) {
	t.Helper()
	if store.KindOf(err) != want {
		t.Fatalf("error %v has kind %q, want %q", err, store.KindOf(err), want)
	}
	if want != "" && store.Mend(err) == "" {
		t.Errorf("error %v says no mend", err)
	}
}

// Run checks a store.
func Run(t *testing.T, open Opener) {
	tests := []struct {
		name string
		run  func(t *testing.T, open Opener)
	}{
		{"empty", testEmpty},
		{"bytes", testBytes},
		{"line", testLine},
		{"conflict", testConflict},
		{"join", testJoin},
		{"same again", testSameAgain},
		{"asked again", testAskedAgain},
		{"asked at once", testAskedAtOnce},
		{"limits", testLimits},
		{"not there", testNotThere},
		{"sites apart", testSitesApart},
		{"pages", testPages},
		{"at once", testAtOnce},
		{"reopened", testReopened},
		{"cancelled", testCancelled},
	}
	for _, x := range tests {
		t.Run(x.name, func(t *testing.T) { x.run(t, open) })
	}
}

func testEmpty(t *testing.T, open Opener) {
	s, _ := open(t)
	if got := must(s.Sites(t.Context()))(t); got == nil || len(got) != 0 {
		t.Errorf("an empty store lists %v", got)
	}
	if rep := must(s.Verify(t.Context()))(t); !rep.Whole() || rep.Revisions != 0 {
		t.Errorf("an empty store verifies as %v %v", rep, rep.Faults)
	}
}

// A document comes back byte by byte, whatever the bytes.
func testBytes(t *testing.T, open Opener) {
	s, _ := open(t)
	for i, text := range []string{"", "a: 1\r\n\tb", "\xef\xbb\xbfname: x\n", "\x00\xff\xfe", "ring: \"⏚\"\n", strings.Repeat("x", store.MaxDocument)} {
		id := fmt.Sprintf("S%d", i)
		_, r, err := s.Create(t.Context(), id, false, first(text))
		if err != nil {
			t.Fatal(err)
		}
		got, b, err := s.Document(t.Context(), id, "")
		if err != nil {
			t.Fatal(err)
		}
		if string(b) != text || got.Size != len(text) {
			t.Errorf("document %d came back as other bytes", i)
		}
		if diff := cmp.Diff(r, got); diff != "" {
			t.Errorf("the revision came back otherwise: %s", diff)
		}
		if got.Hash() != got.ID {
			t.Error("the revision's name is not its hash")
		}
	}
}

func testLine(t *testing.T, open Opener) {
	s, _ := open(t)
	x, a, err := s.Create(t.Context(), "S", true, first("depth: 30 in\n"))
	if err != nil {
		t.Fatal(err)
	}
	if !x.Example || x.Head != a.ID || x.Name != "north yard" || x.Revisions != 1 || x.Created.IsZero() || len(a.Parents) != 0 {
		t.Errorf("a new site is %+v", x)
	}
	n := next("depth: 36 in\n", a.ID)
	n.Name, n.Draft = "south yard", true
	b, added, err := s.Append(t.Context(), "S", n)
	if err != nil || !added {
		t.Fatal(added, err)
	}
	x = must(s.Site(t.Context(), "S"))(t)
	if x.Head != b.ID || len(x.Heads) != 1 || x.Name != "south yard" || x.Revisions != 2 || x.Changed.Before(x.Created) {
		t.Errorf("after one edit the site is %+v", x)
	}
	got := must(s.Revision(t.Context(), "S", b.ID))(t)
	if diff := cmp.Diff(b, got); diff != "" {
		t.Error(diff)
	}
	if !got.Draft || got.Sentence != "ring deeper" || got.Author != "R. Mast" || !got.At.Equal(day.Add(time.Hour).Truncate(time.Microsecond)) || cmp.Diff(got.Edits, n.Edits) != "" || got.Parents[0] != a.ID {
		t.Errorf("the revision is %+v", got)
	}
	if _, old, err := s.Document(t.Context(), "S", a.ID); err != nil || string(old) != "depth: 30 in\n" {
		t.Errorf("the old document is %q, %v", old, err)
	}
}

func testConflict(t *testing.T, open Opener) {
	s, _ := open(t)
	_, a, err := s.Create(t.Context(), "S", false, first("0"))
	if err != nil {
		t.Fatal(err)
	}
	b, _, err := s.Append(t.Context(), "S", next("1", a.ID))
	if err != nil {
		t.Fatal(err)
	}
	_, _, err = s.Append(t.Context(), "S", next("2", a.ID))
	kind(t, err, store.Clash)
	var c *store.Conflict
	if !errors.As(err, &c) || c.Parent != a.ID || cmp.Diff(c.Heads, []string{b.ID}) != "" {
		t.Fatalf("the conflict says %+v", c)
	}
	if x := must(s.Site(t.Context(), "S"))(t); x.Revisions != 2 || x.Head != b.ID {
		t.Errorf("a refused revision left %+v", x)
	}
	// Beside: kept as a second head; the main line stays where it was, and
	// goes on.
	n := next("2", a.ID)
	n.Beside = true
	side, _, err := s.Append(t.Context(), "S", n)
	if err != nil {
		t.Fatal(err)
	}
	x := must(s.Site(t.Context(), "S"))(t)
	if x.Head != b.ID || cmp.Diff(x.Heads, []string{b.ID, side.ID}) != "" {
		t.Fatalf("beside: %+v", x)
	}
	d, _, err := s.Append(t.Context(), "S", next("3", b.ID))
	if err != nil {
		t.Fatal(err)
	}
	if x = must(s.Site(t.Context(), "S"))(t); x.Head != d.ID || cmp.Diff(x.Heads, []string{side.ID, d.ID}) != "" {
		t.Errorf("the main line did not go on: %+v", x)
	}
	// A conflict names the main line first.
	_, _, err = s.Append(t.Context(), "S", next("4", b.ID))
	if !errors.As(err, &c) || cmp.Diff(c.Heads, []string{d.ID, side.ID}) != "" {
		t.Errorf("the conflict says %v", err)
	}
	// The side line goes on as well, and does not become the main one.
	if _, _, err = s.Append(t.Context(), "S", next("5", side.ID)); err != nil {
		t.Fatal(err)
	}
	if x = must(s.Site(t.Context(), "S"))(t); x.Head != d.ID || len(x.Heads) != 2 {
		t.Errorf("the side line took over: %+v", x)
	}
}

func testJoin(t *testing.T, open Opener) {
	s, _ := open(t)
	_, a, err := s.Create(t.Context(), "S", false, first("0"))
	if err != nil {
		t.Fatal(err)
	}
	b, _, err := s.Append(t.Context(), "S", next("1", a.ID))
	if err != nil {
		t.Fatal(err)
	}
	n := next("2", a.ID)
	n.Beside = true
	side, _, err := s.Append(t.Context(), "S", n)
	if err != nil {
		t.Fatal(err)
	}
	j, _, err := s.Append(t.Context(), "S", next("12", side.ID, b.ID))
	if err != nil {
		t.Fatal(err)
	}
	x := must(s.Site(t.Context(), "S"))(t)
	if x.Head != j.ID || len(x.Heads) != 1 || cmp.Diff(j.Parents, []string{side.ID, b.ID}) != "" {
		t.Errorf("joined: %+v %+v", x, j)
	}
	if rep := must(s.Verify(t.Context()))(t); !rep.Whole() || rep.Revisions != 4 || rep.Sites != 1 || rep.Documents != 4 {
		t.Errorf("verify: %v %v", rep, rep.Faults)
	}
}

// The same revision sent again, since its answer was lost, is there once.
func testSameAgain(t *testing.T, open Opener) {
	s, _ := open(t)
	_, a, err := s.Create(t.Context(), "S", false, first("0"))
	if err != nil {
		t.Fatal(err)
	}
	b, _, err := s.Append(t.Context(), "S", next("1", a.ID))
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := s.Append(t.Context(), "S", next("2", b.ID)); err != nil {
		t.Fatal(err)
	}
	again, added, err := s.Append(t.Context(), "S", next("1", a.ID))
	if err != nil || added || cmp.Diff(b, again) != "" {
		t.Errorf("the same again: %v %v %s", added, err, cmp.Diff(b, again))
	}
	if x := must(s.Site(t.Context(), "S"))(t); x.Revisions != 3 {
		t.Errorf("%d revisions", x.Revisions)
	}
}

// A program that did not hear the answer asks again under the same id: it gets
// the first answer, whatever has happened since, and nothing is written twice.
// Something else under that id is refused.
func testAskedAgain(t *testing.T, open Opener) {
	s, reopen := open(t)
	made := first("0")
	made.Request = store.Asked("q1", "0")
	x, a, err := s.Create(t.Context(), "S", false, made)
	if err != nil {
		t.Fatal(err)
	}
	n := next("1", a.ID)
	n.Request = store.Asked("q2", "1")
	b, _, err := s.Append(t.Context(), "S", n)
	if err != nil {
		t.Fatal(err)
	}
	later := next("2", b.ID)
	later.Name = "south yard"
	if _, _, err := s.Append(t.Context(), "S", later); err != nil {
		t.Fatal(err)
	}
	for i := range 2 {
		if i == 1 {
			s = reopen()
		}
		// The id of the site that would be made now, and the time, are others.
		again := made
		again.At = day.Add(3 * time.Hour)
		y, r, err := s.Create(t.Context(), "T", false, again)
		if err != nil || cmp.Diff(x, y) != "" || cmp.Diff(a, r) != "" {
			t.Fatalf("the site asked for again: %v %s %s", err, cmp.Diff(x, y), cmp.Diff(a, r))
		}
		late := n
		late.At = day.Add(4 * time.Hour)
		r, added, err := s.Append(t.Context(), "S", late)
		if err != nil || added || cmp.Diff(b, r) != "" {
			t.Fatalf("the revision asked for again: %v %v %s", added, err, cmp.Diff(b, r))
		}
	}
	other := next("other", a.ID)
	other.Request = store.Asked("q2", "other")
	_, _, err = s.Append(t.Context(), "S", other)
	kind(t, err, store.Wrong)
	other.Request = store.Asked("q1", "0")
	other.Request.Body = store.Asked("x", "1").Body
	_, _, err = s.Create(t.Context(), "T", false, other)
	kind(t, err, store.Wrong)
	// A request that was refused left nothing behind its id.
	side := next("3", a.ID)
	side.Request = store.Asked("q3", "3")
	_, _, err = s.Append(t.Context(), "S", side)
	kind(t, err, store.Clash)
	side.Beside = true
	if _, added, err := s.Append(t.Context(), "S", side); err != nil || !added {
		t.Errorf("beside, under the id that was refused: %v %v", added, err)
	}
	// The same revision under another id is there once, and both ids know it.
	n.Request = store.Asked("q4", "1")
	for range 2 {
		if r, added, err := s.Append(t.Context(), "S", n); err != nil || added || r.ID != b.ID {
			t.Errorf("the same revision under another id: %v %v", added, err)
		}
	}
	n.Request.ID = strings.Repeat("q", store.MaxRequest+1)
	_, _, err = s.Append(t.Context(), "S", n)
	kind(t, err, store.TooLarge)
	if ss := must(s.Sites(t.Context()))(t); len(ss) != 1 || ss[0].Revisions != 4 {
		t.Errorf("sites: %+v", ss)
	}
	if rep := must(s.Verify(t.Context()))(t); !rep.Whole() {
		t.Errorf("verify: %v", rep.Faults)
	}
}

// The same request from several hands at once makes one site.
func testAskedAtOnce(t *testing.T, open Opener) {
	s, _ := open(t)
	var wg sync.WaitGroup
	ids := make([]string, 8)
	for i := range ids {
		wg.Go(func() {
			n := first("0")
			n.Request = store.Asked("q", "0")
			x, _, err := s.Create(context.Background(), fmt.Sprintf("S%d", i), false, n)
			if err != nil {
				t.Error(err)
			}
			ids[i] = x.ID
		})
	}
	wg.Wait()
	for _, id := range ids {
		if id != ids[0] {
			t.Fatalf("one request made the sites %v", ids)
		}
	}
	if ss := must(s.Sites(t.Context()))(t); len(ss) != 1 {
		t.Errorf("%d sites", len(ss))
	}
}

func testLimits(t *testing.T, open Opener) {
	s, _ := open(t)
	_, a, err := s.Create(t.Context(), "S", false, first("0"))
	if err != nil {
		t.Fatal(err)
	}
	many := make([]store.Edit, store.MaxEdits+1)
	for _, x := range []struct {
		want store.Kind
		with func(n *store.New)
	}{
		{store.TooLarge, func(n *store.New) { n.Text = make([]byte, store.MaxDocument+1) }},
		{store.TooLarge, func(n *store.New) { n.Sentence = strings.Repeat("s", store.MaxSentence+1) }},
		{store.TooLarge, func(n *store.New) { n.Author = strings.Repeat("s", store.MaxAuthor+1) }},
		{store.TooLarge, func(n *store.New) { n.Edits = many }},
		{store.TooLarge, func(n *store.New) { n.Edits = []store.Edit{{New: strings.Repeat("s", store.MaxEditText+1)}} }},
		{store.TooLarge, func(n *store.New) { n.Parents = make([]string, store.MaxParents+1) }},
		{store.Wrong, func(n *store.New) { n.Sentence = " " }},
		{store.Wrong, func(n *store.New) { n.At = time.Time{} }},
		{store.Wrong, func(n *store.New) { n.Parents = nil }},
		{store.Wrong, func(n *store.New) { n.Parents = []string{a.ID, a.ID} }},
		{store.Wrong, func(n *store.New) { n.Author = "\xff" }},
		{store.Wrong, func(n *store.New) { n.Sentence = "a\x00b" }},
		{store.NotFound, func(n *store.New) { n.Parents = []string{strings.Repeat("0", 64)} }},
	} {
		n := next("1", a.ID)
		x.with(&n)
		_, _, err := s.Append(t.Context(), "S", n)
		kind(t, err, x.want)
	}
	_, _, err = s.Create(t.Context(), "S", false, first("other"))
	kind(t, err, store.Wrong)
	if x := must(s.Site(t.Context(), "S"))(t); x.Revisions != 1 {
		t.Errorf("refused revisions are there: %+v", x)
	}
}

func testNotThere(t *testing.T, open Opener) {
	s, _ := open(t)
	_, a, err := s.Create(t.Context(), "S", false, first("0"))
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.Site(t.Context(), "T")
	kind(t, err, store.NotFound)
	_, err = s.Revision(t.Context(), "T", "")
	kind(t, err, store.NotFound)
	_, err = s.Revision(t.Context(), "S", "x' OR '1'='1")
	kind(t, err, store.NotFound)
	_, _, err = s.Document(t.Context(), "T", a.ID)
	kind(t, err, store.NotFound)
	_, err = s.Revisions(t.Context(), "T", 0, 10)
	kind(t, err, store.NotFound)
	_, _, err = s.Append(t.Context(), "T", next("1", a.ID))
	kind(t, err, store.NotFound)
}

func testSitesApart(t *testing.T, open Opener) {
	s, _ := open(t)
	_, a, err := s.Create(t.Context(), "S", false, first("same"))
	if err != nil {
		t.Fatal(err)
	}
	_, b, err := s.Create(t.Context(), "T", false, first("same"))
	if err != nil {
		t.Fatal(err)
	}
	if a.ID == b.ID || a.Document != b.Document {
		t.Error("two sites with one document: the document is one, the revisions are two")
	}
	_, _, err = s.Append(t.Context(), "S", next("1", b.ID))
	kind(t, err, store.NotFound)
	_, err = s.Revision(t.Context(), "S", b.ID)
	kind(t, err, store.NotFound)
	if ss := must(s.Sites(t.Context()))(t); len(ss) != 2 || ss[0].ID != "S" || ss[1].ID != "T" {
		t.Errorf("sites: %+v", ss)
	}
	if rep := must(s.Verify(t.Context()))(t); rep.Documents != 1 || rep.Revisions != 2 {
		t.Errorf("verify: %v", rep)
	}
}

func testPages(t *testing.T, open Opener) {
	s, _ := open(t)
	_, r, err := s.Create(t.Context(), "S", false, first("0"))
	if err != nil {
		t.Fatal(err)
	}
	ids := []string{r.ID}
	for i := range 9 {
		if r, _, err = s.Append(t.Context(), "S", next(fmt.Sprint(i+1), r.ID)); err != nil {
			t.Fatal(err)
		}
		ids = append([]string{r.ID}, ids...)
	}
	got := []string{}
	for before := int64(0); ; {
		rs := must(s.Revisions(t.Context(), "S", before, 4))(t)
		if len(rs) == 0 {
			break
		}
		for _, r := range rs {
			got = append(got, r.ID)
			if r.Hash() != r.ID {
				t.Error("a listed revision does not match its name")
			}
		}
		before = rs[len(rs)-1].Seq
	}
	if diff := cmp.Diff(ids, got); diff != "" {
		t.Error(diff)
	}
}

// Many append at once to one head: one wins each round, nobody is lost
// silently, and the line has no gap.
func testAtOnce(t *testing.T, open Opener) {
	s, _ := open(t)
	if _, _, err := s.Create(t.Context(), "S", false, first("0")); err != nil {
		t.Fatal(err)
	}
	const writers, each = 6, 8
	var wg sync.WaitGroup
	errs := make(chan error, writers)
	for w := range writers {
		wg.Go(func() {
			for i := 0; i < each; {
				x, err := s.Site(context.Background(), "S")
				if err != nil {
					errs <- err
					return
				}
				_, _, err = s.Append(context.Background(), "S", next(fmt.Sprintf("%d/%d", w, i), x.Head))
				switch {
				case err == nil:
					i++
				case store.KindOf(err) != store.Clash:
					errs <- err
					return
				}
			}
		})
	}
	wg.Wait()
	close(errs)
	for err := range errs {
		t.Error(err)
	}
	x := must(s.Site(t.Context(), "S"))(t)
	if x.Revisions != 1+writers*each || len(x.Heads) != 1 {
		t.Errorf("%d revisions, %d heads", x.Revisions, len(x.Heads))
	}
	n := 0
	for id := x.Head; ; n++ {
		r := must(s.Revision(t.Context(), "S", id))(t)
		if len(r.Parents) == 0 {
			break
		}
		id = r.Parents[0]
	}
	if n != writers*each {
		t.Errorf("the line has %d steps", n)
	}
}

func testReopened(t *testing.T, open Opener) {
	s, reopen := open(t)
	_, a, err := s.Create(t.Context(), "S", true, first("0"))
	if err != nil {
		t.Fatal(err)
	}
	b, _, err := s.Append(t.Context(), "S", next("1", a.ID))
	if err != nil {
		t.Fatal(err)
	}
	before := must(s.Sites(t.Context()))(t)
	s = reopen()
	if diff := cmp.Diff(before, must(s.Sites(t.Context()))(t)); diff != "" {
		t.Error(diff)
	}
	if r, text, err := s.Document(t.Context(), "S", ""); err != nil || string(text) != "1" || cmp.Diff(r, b) != "" {
		t.Errorf("%q %v %s", text, err, cmp.Diff(r, b))
	}
}

func testCancelled(t *testing.T, open Opener) {
	s, _ := open(t)
	_, a, err := s.Create(t.Context(), "S", false, first("0"))
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, _, err := s.Append(ctx, "S", next("1", a.ID)); !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled append says %v", err)
	}
	if x := must(s.Site(t.Context(), "S"))(t); x.Head != a.ID {
		t.Error("a cancelled append was kept")
	}
	if _, _, err := s.Append(t.Context(), "S", next("1", a.ID)); err != nil {
		t.Errorf("after a cancelled append: %v", err)
	}
}
