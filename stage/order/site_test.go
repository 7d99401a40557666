package order_test

import (
	"context"
	"os"
	"strings"
	"testing"

	"stubup/answer"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
	"stubup/stage/order"
)

// compoundA is the reference compound, as its document has it.
func compoundA(t testing.TB) string {
	t.Helper()
	src, err := os.ReadFile("../../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(src)
}

// with replaces text of a document; every replacement must be found.
func with(t testing.TB, src string, pairs ...string) string {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(src, pairs[i]) {
			t.Fatalf("the document has no %q", pairs[i])
		}
		src = strings.Replace(src, pairs[i], pairs[i+1], 1)
	}
	return src
}

func view(t testing.TB, src string) rule.View {
	t.Helper()
	d := site.Load("site.yaml", []byte(src))
	for _, x := range d.Diags {
		t.Log(x.String())
	}
	if d.Diags.HasError() {
		t.Fatal("the document does not load")
	}
	p := plan.Make(d.Site)
	for _, x := range p.Diags {
		t.Log(x.String())
	}
	return rule.View{Site: d.Site, Plan: p, Answer: answer.New(context.Background(), p)}
}

func made(t testing.TB, src string) order.Result { return order.Make(view(t, src)) }

// example reads one of the example documents.
func example(t testing.TB, name string) string {
	t.Helper()
	src, err := os.ReadFile("../../examples/" + name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(src)
}
