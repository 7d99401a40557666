package site

import (
	"fmt"
	"strconv"
	"strings"

	"stubup/base/diag"
)

// Phrase is a whip phrase once it is read. The grammar is closed:
//
//	[every | every Nth | N] [for] [the] OBJECT [corner | gate | line] [posts | corners | legs | lugs | taps]
//
// OBJECT is an id, its words, or a kind of which there is one.
type Phrase struct {
	Object string // id
	Which  string // corner posts, gate posts, line posts, posts, corners, legs, lugs, taps, at
	Every  int    // "every 5th fence post" is 5
	Count  int    // "2 for the generator" is 2
}

// phraseFault is what is wrong with a phrase and at which bytes of it.
type phraseFault struct {
	code       diag.Code
	from, to   int
	what, mend string
}

const phraseForm = "write it like \"fence corner posts\", \"every 5th fence post\", \"platform corners\" or \"2 for the generator\""

var places = map[string]string{
	"post": "posts", "posts": "posts", "corner": "corners", "corners": "corners", "leg": "legs", "legs": "legs",
	"lug": "lugs", "lugs": "lugs", "tap": "taps", "taps": "taps",
}

// ordinal reads "5th", "3rd", "fifth".
func ordinal(w string) (int, bool) {
	for i, s := range []string{"second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"} {
		if w == s {
			return i + 2, true
		}
	}
	for _, end := range []string{"st", "nd", "rd", "th"} {
		if t, ok := strings.CutSuffix(w, end); ok {
			n, err := strconv.Atoi(t)
			return n, err == nil && n >= 1 && n <= 1000 && t[0] != '+'
		}
	}
	return 0, false
}

// parsePhrase reads a whip phrase against the objects of a site.
func parsePhrase(text string, d *decoder) (Phrase, *phraseFault) {
	var p Phrase
	ws := wordsOf(text)
	for i := range ws {
		ws[i].text = strings.ToLower(ws[i].text)
	}
	if len(ws) == 0 {
		return p, &phraseFault{diag.WrongShape, 0, len(text), "the phrase is empty", phraseForm}
	}
	if len(ws) > 24 {
		return p, &phraseFault{diag.WordUnknown, ws[24].from, ws[24].to, "the phrase goes on too long", phraseForm}
	}
	fail := func(code diag.Code, w token, what, mend string) (Phrase, *phraseFault) {
		return Phrase{}, &phraseFault{code, w.from, w.to, what, mend}
	}
	// How many.
	all := ws
	switch w := ws[0]; {
	case w.text == "every" || w.text == "each" || w.text == "all":
		ws = ws[1:]
		if len(ws) > 0 {
			if n, ok := ordinal(ws[0].text); ok {
				if w.text != "every" {
					return fail(diag.WordUnknown, ws[0], quote(ws[0].text)+" follows only \"every\"", "write \"every "+ws[0].text+" ..\"")
				}
				p.Every, ws = n, ws[1:]
			} else if n, err := strconv.Atoi(ws[0].text); err == nil {
				return fail(diag.WordUnknown, ws[0], quote(ws[0].text)+" after \"every\" is no ordinal", fmt.Sprintf("write \"every %dth ..\", or the number alone", n))
			}
		}
	default:
		if n, err := strconv.Atoi(w.text); err == nil {
			if n < 1 || n > 1000 {
				return fail(diag.OutOfRange, w, quote(w.text)+" is no number of whips", "write a number from 1 to 1000")
			}
			p.Count, ws = n, ws[1:]
		} else if _, ok := ordinal(w.text); ok && d.lookup(ws) == nil {
			return fail(diag.WordUnknown, w, quote(w.text)+" stands without \"every\"", "write \"every "+w.text+" ..\"")
		}
	}
	if len(ws) > 0 && ws[0].text == "for" {
		ws = ws[1:]
	}
	if len(ws) > 0 && ws[0].text == "the" {
		ws = ws[1:]
	}
	if len(ws) == 0 {
		return fail(diag.WrongShape, all[len(all)-1], "the phrase names no object", phraseForm)
	}
	// Which places: the longest run of words that names an object wins, so
	// that an object called "gate post" can be named.
	rest := len(ws)
	var o *Object
	for ; rest > 0; rest-- {
		if o = d.lookup(ws[:rest]); o != nil {
			break
		}
	}
	if o == nil {
		// Take the place words off the end to see what was meant as the
		// object.
		rest = len(ws)
		if _, ok := places[ws[rest-1].text]; ok {
			rest--
			if rest > 0 && places[ws[rest].text] == "posts" {
				switch ws[rest-1].text {
				case "corner", "gate", "line":
					rest--
				}
			}
		}
		if rest > 0 {
			name := text[ws[0].from:ws[rest-1].to]
			if d.cut {
				return Phrase{}, &phraseFault{code: diag.RefUnknown} // not told any more
			}
			if many := d.kindly(ws[:rest]); len(many) > 1 {
				return Phrase{}, &phraseFault{diag.RefUnknown, ws[0].from, ws[rest-1].to, fmt.Sprintf("%s could be any of: %s", quote(name), some(many)), "name one of them by its id"}
			}
			mend := "name one of: " + some(d.ids())
			// The wrong word may stand after the object too.
			if near, ok := nearest(name, d.ids()); ok {
				mend = "write " + quote(near)
			}
			return Phrase{}, &phraseFault{diag.RefUnknown, ws[0].from, ws[rest-1].to, "there is no object " + quote(name), mend}
		}
		// "gate posts": the only fence.
		var fence []string
		if places[ws[len(ws)-1].text] == "posts" {
			fence = d.ids(Fence)
		}
		if len(fence) != 1 {
			what, mend := "the phrase names no object", phraseForm
			if len(fence) > 1 {
				what, mend = "there is more than one fence", "name one of: "+some(fence)
			} else if places[ws[len(ws)-1].text] == "posts" {
				what, mend = "there is no fence", "add an object of kind fence, or name another object"
			}
			return Phrase{}, &phraseFault{diag.RefUnknown, ws[0].from, ws[len(ws)-1].to, what, mend}
		}
		o, rest = d.object(fence[0]), 0
	}
	p.Object = o.ID
	tail := ws[rest:]
	if len(tail) > 0 {
		w := tail[0]
		switch w.text {
		case "corner", "gate", "line":
			if len(tail) > 1 && places[tail[1].text] == "posts" {
				p.Which, tail = w.text+" posts", tail[2:]
				break
			}
			if w.text == "corner" {
				p.Which, tail = "corners", tail[1:]
				break
			}
			return fail(diag.WordUnknown, w, quote(w.text)+" is not followed by \"posts\"", "write "+quote(w.text+" posts"))
		default:
			place, ok := places[w.text]
			if !ok {
				words := []string{"corner posts", "gate posts", "line posts", "posts", "corners", "legs", "lugs", "taps"}
				mend := "after the object use one of: " + some(words)
				if near, ok := nearest(w.text, []string{"corner", "gate", "line", "posts", "corners", "legs", "lugs", "taps"}); ok {
					mend = "write " + quote(near)
				}
				return fail(diag.WordUnknown, w, quote(w.text)+" is not known here", mend)
			}
			p.Which, tail = place, tail[1:]
		}
		if len(tail) > 0 {
			return fail(diag.WordUnknown, tail[0], quote(tail[0].text)+" stands after the end of the phrase", "take it out")
		}
	}
	last := all[len(all)-1]
	if p.Which == "" {
		p.Which = o.usual()
	}
	if strings.HasSuffix(p.Which, "posts") && o.Kind != Fence {
		return fail(diag.RefUnknown, last, fmt.Sprintf("%s is a %s and has no posts", quote(o.ID), o.Kind), "name its corners, legs or lugs")
	}
	if p.Every > 1 && p.Which != "posts" && p.Which != "line posts" {
		return fail(diag.WordUnknown, all[1], quote(all[1].text)+" counts line posts, and none are named", "write \"every "+all[1].text+" fence post\"")
	}
	if !o.offers(p.Which) {
		mend := "add " + quote(p.Which) + " to the object, or name other places"
		if p.Which == "gate posts" {
			mend = "add gates to the fence, or name other places"
		}
		return fail(diag.RefUnknown, last, fmt.Sprintf("%s has no %s", quote(o.ID), p.Which), mend)
	}
	return p, nil
}

// usual returns the places that a phrase means when it names the object
// alone.
func (o *Object) usual() string {
	switch {
	case o.Kind == Fence:
		return "posts"
	case len(o.Lugs) > 0:
		return "lugs"
	case len(o.Legs) > 0:
		return "legs"
	case len(o.Taps) > 0:
		return "taps"
	case o.HasAt:
		return "at"
	}
	return "corners"
}

// offers reports whether the object has places of this name.
func (o *Object) offers(which string) bool {
	switch which {
	case "lugs":
		return len(o.Lugs) > 0
	case "legs":
		return len(o.Legs) > 0
	case "taps":
		return len(o.Taps) > 0
	case "at":
		return o.HasAt
	case "gate posts":
		return len(o.Gates) > 0 || len(o.Outline) == 0
	case "corners":
		// An outline with a fault of its own was told at the object.
		return len(o.Outline) > 0 || !o.HasAt && len(o.Legs)+len(o.Lugs)+len(o.Taps)+len(o.Path) == 0
	}
	return true
}

// lookup finds the object that words name: by its id or words, or by a kind
// of which there is one.
func (d *decoder) lookup(ws []token) *Object {
	name := sentence(ws)
	if o := d.object(name); o != nil {
		return o
	}
	if id, ok := d.called[spoken(name)]; ok {
		return d.object(id)
	}
	if ids := d.kindly(ws); len(ids) == 1 {
		return d.object(ids[0])
	}
	return nil
}

// kindly lists the objects of the kind that words name.
func (d *decoder) kindly(ws []token) []string {
	name := sentence(ws)
	for _, k := range Kinds {
		if name == string(k) {
			return d.ids(k)
		}
	}
	return nil
}

func sentence(ws []token) string {
	var b strings.Builder
	for i, w := range ws {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(w.text)
	}
	return b.String()
}
