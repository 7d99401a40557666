package site

import _ "embed"

//go:embed starter.yaml
var starter []byte

// Starter returns the document that "stubup init" writes: a small compound
// that is valid as it stands, with a note at everything that a newcomer will
// change.
func Starter() []byte { return append([]byte(nil), starter...) }
