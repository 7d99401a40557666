package site

import _ "embed"

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
