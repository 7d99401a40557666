// Package web holds the built pages as files. A program built without them
// says so on its start page.
package web

import (
	"embed"
	"io/fs"
)

//go:embed all:dist
var dist embed.FS

// Dist returns the built pages; empty but for a mark when they were not built.
func Dist() fs.FS {
	sub, err := fs.Sub(dist, "dist")
	if err != nil {
		panic(err) // the folder is named in the line above
	}
	return sub
}
