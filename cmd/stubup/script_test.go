package main

import (
	"context"
	"os"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"stubup": func() {
			now := func() time.Time { return time.Date(2026, 1, 5, 7, 0, 0, 0, time.UTC) }
			os.Exit(run(os.Args[1:], world{ctx: context.Background(), in: os.Stdin, out: os.Stdout, err: os.Stderr, width: 80, now: now, getenv: os.Getenv}))
		},
	})
}

// Each script is what a person or a pipe would do.
func TestScripts(t *testing.T) {
	examples, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{Dir: "testdata", Setup: func(e *testscript.Env) error {
		e.Setenv("EXAMPLES", examples+"/../../examples")
		return nil
	}})
}
