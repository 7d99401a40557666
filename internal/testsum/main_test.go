package main

import (
	"strings"
	"testing"
)

func TestRead(t *testing.T) {
	const in = `{"Action":"output","Package":"p","Test":"A","Output":"not proven here: pdftoppm\n"}
{"Action":"skip","Package":"p","Test":"A"}
{"Action":"pass","Package":"p","Test":"B"}
{"Action":"output","Package":"p","Test":"C","Output":"what went wrong\n"}
{"Action":"fail","Package":"p","Test":"C"}
{"Action":"fail","Package":"p"}
{"Action":"build-output","ImportPath":"q","Output":"undefined: x\n"}
{"Action":"build-fail","ImportPath":"q"}
`
	s := summary{output: map[string]*strings.Builder{}}
	var out strings.Builder
	if err := s.read(strings.NewReader(in), &out); err != nil {
		t.Fatal(err)
	}
	if s.passed != 1 || s.failed != 1 || s.skipped != 1 || len(s.missing) != 1 || len(s.broken) != 2 {
		t.Errorf("%+v", s)
	}
	for _, want := range []string{"what went wrong", "undefined: x", "skip  p A: not proven here: pdftoppm"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is not said:\n%s", want, out.String())
		}
	}
}
