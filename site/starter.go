package site

import (
	_ "embed"
	"strings"
)

//go:embed starter.yaml
var starter []byte

//go:embed blank.yaml
var blankSite []byte

// Starter returns the document that "stubup init" writes: a small compound
// that is valid as it stands, with a note at everything that a newcomer will
// change.
func Starter() []byte { return append([]byte(nil), starter...) }

// Blank returns a document with nothing on the ground, for a site that is
// drawn.
func Blank() []byte { return append([]byte(nil), blankSite...) }

// BlankSI returns the same for a site that is drawn in metres.
func BlankSI() []byte {
	return []byte(strings.Replace(string(blankSite), "units: us\ngrid: ft\n", "units: si\ngrid: m\n", 1))
}
