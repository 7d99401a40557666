// Package examples holds the example sites as files.
package examples

import _ "embed"

// CompoundA is the reference compound.
//
//go:embed compound-a.yaml
var CompoundA []byte
