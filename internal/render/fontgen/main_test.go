package main

import (
	"bytes"
	"os"
	"testing"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
)

// The table in base/draw is what the font files in use give.
func TestTableIsCurrent(t *testing.T) {
	var got bytes.Buffer
	if err := write(&got, dejavusanscondensed.TTF, dejavusanscondensedbold.TTF); err != nil {
		t.Fatal(err)
	}
	want, err := os.ReadFile("../../../base/draw/metrics.csv")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got.Bytes(), want) {
		t.Error("base/draw/metrics.csv differs from the font files; run go generate ./base/draw")
	}
}
