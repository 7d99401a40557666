// Package store is where sites and their revisions are kept: what a store
// promises, in what words it fails, and how a revision is named.
//
// A revision is a whole document with the words that say what was done. It is
// never changed and never removed. Results are not kept: they are computed from
// the document whenever they are asked for.
//
// A store promises that what it has answered survives the end of the program
// and the end of the power; that what it did not answer is there whole or not
// at all; and that bytes which no longer match their name are said to be
// damaged, and never handed out.
package store

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// Limits of one revision.
const (
	MaxDocument = 2 << 20   // bytes, as the document itself is limited
	MaxSentence = 2_000     // bytes
	MaxAuthor   = 200       // bytes
	MaxEdits    = 1_000     // in one revision
	MaxEditText = 256 << 10 // bytes of path, old, new and sentence of one edit
	MaxParents  = 8
)

// Site is one site of the store.
type Site struct {
	ID        string
	Name      string // as the document of the head names it; free text
	Example   bool   // came with the program
	Created   time.Time
	Changed   time.Time // when the last revision arrived
	Head      string    // the revision that the main line has come to
	Heads     []string  // every revision without a child, oldest first; Head is one of them
	Revisions int
}

// Edit is one change of a document as a person made it.
type Edit struct {
	Path     string `json:"path"`
	Old      string `json:"old"`
	New      string `json:"new"`
	Sentence string `json:"sentence"`
}

// Revision is one state of a site. ID follows from everything above the line.
type Revision struct {
	Site     string
	Parents  []string // the first is the one that was edited; none for the first revision
	Document string   // sha256 of the document, hex
	Sentence string   // what was done, as a person would say it
	Edits    []Edit   // what was done, value by value; may be empty
	Author   string   // free text
	At       time.Time

	ID    string
	Seq   int64 // order of arrival in this store, from 1
	Size  int   // bytes of the document
	Draft bool  // the document had errors when it arrived
}

// New is a revision that asks to be kept.
type New struct {
	Parents  []string
	Text     []byte
	Sentence string
	Edits    []Edit
	Author   string
	At       time.Time
	Draft    bool
	Name     string // the site's name according to this document
	// Beside lets the revision stand beside the head where its parent is no
	// head any more, so that nothing is lost when two people edit at once.
	Beside bool
	// Request is the id under which a program asks, and may ask again when it
	// did not hear the answer; empty for none.
	Request Request
}

// Request is an id that the asking program made once, and a hash of what it
// sent. How a revision may be taken (beside, as a draft) is no part of it.
type Request struct{ ID, Body string }

// MaxRequest is the longest id of a request, in bytes.
const MaxRequest = 64

// Asked makes a request of what was sent.
func Asked(id string, sent ...string) Request {
	if id == "" {
		return Request{}
	}
	h := sha256.New()
	put(h, "stubup-request-1")
	put(h, fmt.Sprint(len(sent)))
	for _, s := range sent {
		put(h, s)
	}
	return Request{id, hex.EncodeToString(h.Sum(nil))}
}

// OtherBody says that a request id came before with something else.
func OtherBody() error {
	return &Error{Kind: Wrong, What: "this request id came before with something else in it, so nothing was written", Mend: "send each thing under an id of its own"}
}

// Store keeps sites.
type Store interface {
	// Sites lists all sites, oldest first.
	Sites(ctx context.Context) ([]Site, error)
	// Site returns one site.
	Site(ctx context.Context, id string) (Site, error)
	// Create makes a site with its first revision. The same request again is
	// answered with the site as it was made then, under the id that it has;
	// the same request id with another body is refused.
	Create(ctx context.Context, id string, example bool, first New) (Site, Revision, error)
	// Append keeps a revision. The same revision again is answered with the one
	// that is there, and so is the same request; added is false then. The same
	// request id with another body is refused. A parent that is no head is refused
	// with a *Conflict, unless the revision may stand beside.
	Append(ctx context.Context, site string, n New) (r Revision, added bool, err error)
	// Revision returns one revision; an empty id is the head.
	Revision(ctx context.Context, site, id string) (Revision, error)
	// Document returns the bytes of one revision, after checking that they
	// match their name; an empty id is the head.
	Document(ctx context.Context, site, id string) (Revision, []byte, error)
	// Revisions lists revisions, newest first: those that arrived before seq
	// (0: all), at most limit.
	Revisions(ctx context.Context, site string, before int64, limit int) ([]Revision, error)
	// Verify reads everything and checks every hash.
	Verify(ctx context.Context) (Report, error)
	Close() error
}

// Report is what Verify found.
type Report struct {
	Sites, Revisions, Documents int
	Bytes                       int64
	Faults                      []string // one sentence each, nothing when whole
}

// Whole reports whether nothing was wrong.
func (r Report) Whole() bool { return len(r.Faults) == 0 }

func (r Report) String() string {
	many := func(n int, what string) string {
		if n == 1 {
			return "1 " + what
		}
		return fmt.Sprintf("%d %ss", n, what)
	}
	s := many(r.Sites, "site") + ", " + many(r.Revisions, "revision") + ", " + many(r.Documents, "document") + fmt.Sprintf(" of %d bytes", r.Bytes)
	if !r.Whole() {
		s += fmt.Sprintf("; %d damaged", len(r.Faults))
	}
	return s
}

// Kind says in which way a store failed. Callers act on the kind, people read
// the sentence.
type Kind string

// Kinds.
const (
	NotFound Kind = "not-found"  // no such site or revision
	Clash    Kind = "conflict"   // the parent is no head any more
	TooLarge Kind = "too-large"  // over a limit of one revision
	Wrong    Kind = "argument"   // the request makes no sense
	Full     Kind = "store-full" // no room; reading goes on, writing returns when there is room
	Damaged  Kind = "damaged"    // bytes are not what was written
	Newer    Kind = "newer"      // written by a later program
	Busy     Kind = "busy"       // another program has it
	Stopped  Kind = "stopped"    // the disk did not confirm a write: no more writing until a restart
)

// Error is a failure of a kind.
type Error struct {
	Kind Kind
	What string
	Mend string
	Err  error
}

func (e *Error) Error() string {
	if e.Err != nil {
		return e.What + ": " + e.Err.Error()
	}
	return e.What
}

func (e *Error) Unwrap() error { return e.Err }

// Conflict is a Clash with what stands there now.
type Conflict struct {
	Parent string   // that is no head
	Heads  []string // that are; the first is that of the main line
}

func (e *Conflict) Error() string {
	return fmt.Sprintf("revision %s has been followed by another; the head is %s", short(e.Parent), short(e.Heads[0]))
}

// Mend says what to do about any error of a store; empty where nothing helps.
func Mend(err error) string {
	var e *Error
	var c *Conflict
	switch {
	case errors.As(err, &e):
		return e.Mend
	case errors.As(err, &c):
		return "read the head, compare, and send again: onto the head, beside it, or with both as parents to join them"
	}
	return ""
}

// KindOf returns the kind of an error; empty for one that no store made.
func KindOf(err error) Kind {
	var e *Error
	var c *Conflict
	switch {
	case errors.As(err, &e):
		return e.Kind
	case errors.As(err, &c):
		return Clash
	}
	return ""
}

func short(id string) string {
	if len(id) > 12 {
		return id[:12]
	}
	return id
}

// DocumentHash names a document.
func DocumentHash(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// Hash returns the name of a revision: SHA-256 over its site, parents,
// document, sentence, edits, author and time, each with its length before it,
// so that no two contents give the same bytes.
func (r *Revision) Hash() string {
	h := sha256.New()
	put := func(s string) { put(h, s) }
	count := func(n int) { put(fmt.Sprint(n)) }
	put("stubup-revision-1")
	put(r.Site)
	count(len(r.Parents))
	for _, p := range r.Parents {
		put(p)
	}
	put(r.Document)
	put(r.Sentence)
	count(len(r.Edits))
	for _, e := range r.Edits {
		put(e.Path)
		put(e.Old)
		put(e.New)
		put(e.Sentence)
	}
	put(r.Author)
	put(r.At.UTC().Format(time.RFC3339Nano))
	return hex.EncodeToString(h.Sum(nil))
}

// put writes a string with its length before it.
func put(h hash.Hash, s string) {
	var n [8]byte
	binary.BigEndian.PutUint64(n[:], uint64(len(s)))
	h.Write(n[:])
	h.Write([]byte(s))
}

// Revise turns what asks to be kept into a revision of a site with its name,
// or says what about it cannot be kept.
func (n New) Revise(site string) (Revision, error) {
	tooLarge := func(what string, is, most int) error {
		return &Error{Kind: TooLarge, What: fmt.Sprintf("%s has %d, and %d are kept", what, is, most), Mend: "make it shorter"}
	}
	wrong := func(what, mend string) error { return &Error{Kind: Wrong, What: what, Mend: mend} }
	edits := slices.Clone(n.Edits)
	if edits == nil {
		edits = []Edit{}
	}
	switch {
	case len(n.Text) > MaxDocument:
		return Revision{}, &Error{Kind: TooLarge, What: fmt.Sprintf("the document has %d bytes, and %d are kept", len(n.Text), MaxDocument), Mend: "split the site, or take notes out of the document"}
	case len(n.Sentence) > MaxSentence:
		return Revision{}, tooLarge("the sentence (bytes)", len(n.Sentence), MaxSentence)
	case len(n.Author) > MaxAuthor:
		return Revision{}, tooLarge("the author (bytes)", len(n.Author), MaxAuthor)
	case len(edits) > MaxEdits:
		return Revision{}, tooLarge("the list of edits", len(edits), MaxEdits)
	case len(n.Parents) > MaxParents:
		return Revision{}, tooLarge("the list of parents", len(n.Parents), MaxParents)
	case strings.TrimSpace(n.Sentence) == "":
		return Revision{}, wrong("a revision needs a sentence that says what was done", "write what was done and why, as you would say it")
	case n.At.IsZero():
		return Revision{}, wrong("a revision needs a time", "give the time it was made")
	case n.At.UTC().Year() < 1 || n.At.UTC().Year() > 9999:
		return Revision{}, wrong("the time is no time of this calendar", "give the time as 2026-03-01T07:00:00Z")
	}
	if len(n.Request.ID) > MaxRequest {
		return Revision{}, tooLarge("the request id (bytes)", len(n.Request.ID), MaxRequest)
	}
	words := []string{n.Sentence, n.Author, n.Name, n.Request.ID}
	for i, e := range edits {
		if is := len(e.Path) + len(e.Old) + len(e.New) + len(e.Sentence); is > MaxEditText {
			return Revision{}, tooLarge(fmt.Sprintf("edit %d (bytes)", i+1), is, MaxEditText)
		}
		words = append(words, e.Path, e.Old, e.New, e.Sentence)
	}
	for _, w := range words {
		if !utf8.ValidString(w) || strings.ContainsRune(w, 0) {
			return Revision{}, wrong("words that are not UTF-8 text", "send text")
		}
	}
	for i, p := range n.Parents {
		if slices.Contains(n.Parents[:i], p) {
			return Revision{}, wrong("the same parent twice", "name each parent once")
		}
	}
	r := Revision{
		Site: site, Parents: append([]string{}, n.Parents...), Document: DocumentHash(n.Text), Sentence: n.Sentence, Edits: edits, Author: n.Author,
		// A microsecond is as fine as every database keeps.
		At: n.At.UTC().Truncate(time.Microsecond), Size: len(n.Text), Draft: n.Draft,
	}
	r.ID = r.Hash()
	return r, nil
}
