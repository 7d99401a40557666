// Package site reads the document that describes one site: a syntax tree that
// keeps every byte a person wrote, and a typed view on it with every quantity
// parsed once.
//
// Load never gives up: it returns as much of the site as can be read, and a
// positioned diag for everything else. Apply changes one value and no other
// byte.
package site

import (
	"bytes"
	"fmt"
	"unicode/utf8"

	"stubup/base/diag"
)

// Format is the version of the document language that this program writes.
const Format = 1

// maxDiags is how many diags a document may have before the rest is left out.
const maxDiags = 200

// Document is one document: its bytes, its typed view and what is wrong with
// it.
type Document struct {
	File  string
	Src   []byte
	Site  *Site
	Diags diag.List

	source *source
	root   *node
	before int // faults before the edits of which this is a part
}

// Load reads a document. name is what diags call the file. The site is never
// nil.
func Load(name string, src []byte) *Document { return load(name, src, false, nil) }

// load reads a document, or its bytes alone, and tells met of every key that it
// takes.
func load(name string, src []byte, raw bool, met func(shape, key string)) (doc *Document) {
	doc = &Document{File: name, Src: src, Site: &Site{}}
	d := &decoder{file: name, site: doc.Site, met: met}
	defer func() {
		// The last resort: a fault of the reader itself is told as a diag
		// like any other, and what was read so far is kept.
		if r := recover(); r != nil {
			d.fault(diag.Syntax, nil, "", fmt.Sprintf("the document could not be read to its end (%v)", r), "send the document to the makers of this program")
		}
		d.diags.Sort()
		doc.Diags = d.diags
	}()
	if len(src) > MaxBytes {
		doc.source = newSource(nil)
		d.source = doc.source
		d.fault(diag.TooBig, nil, "", fmt.Sprintf("the file has %d bytes, more than %d", len(src), MaxBytes), "take out what is not part of the site; a whole compound needs a few thousand bytes")
		return doc
	}
	doc.source = newSource(src)
	d.source = doc.source
	if !d.readable(src) {
		return doc
	}
	root, diags := parseTree(name, doc.source)
	d.diags = append(d.diags, diags...)
	doc.root = root
	if root == nil {
		d.fault(diag.WrongShape, nil, "", "the file is empty", "begin with \"format: 1\" and a name, or start from \"stubup init\"")
		return doc
	}
	if root.kind != mapping {
		d.fault(diag.WrongShape, root, "", "the file does not hold keys at its top", "begin with \"format: 1\" and a name, or start from \"stubup init\"")
		return doc
	}
	if !raw {
		d.document(root)
	}
	return doc
}

// readable looks at the bytes before anything is parsed.
func (d *decoder) readable(src []byte) bool {
	if bytes.HasPrefix(src, []byte{0xff, 0xfe}) || bytes.HasPrefix(src, []byte{0xfe, 0xff}) {
		d.faultAt(diag.Syntax, 0, 1, "", "the file is in UTF-16", "save it as UTF-8")
		return false
	}
	if !utf8.Valid(src) {
		for i := 0; i < len(src); {
			r, w := utf8.DecodeRune(src[i:])
			if r == utf8.RuneError && w <= 1 {
				d.faultAt(diag.Syntax, i, i+1, "", fmt.Sprintf("a byte here (%#02x) is not UTF-8", src[i]), "save the file as UTF-8")
				break
			}
			i += w
		}
	}
	for i, c := range src {
		if c < ' ' && c != '\n' && c != '\t' && (c != '\r' || i+1 >= len(src) || src[i+1] != '\n') || c == 0x7f {
			what := fmt.Sprintf("a control character (%#02x) stands here", c)
			if c == '\r' {
				what = "a line ends here with a carriage return alone"
			}
			d.faultAt(diag.Syntax, i, i+1, "", what, "take it out, or save the file as plain text")
			return c != 0
		}
	}
	return true
}
