//go:build js && wasm

// Command paper writes the files of a site in the browser that are
// more than text: the book as PDF, the order as XLSX. It is a worker of its
// own, since its fonts and writers are larger than the engine and are wanted
// once a week; the pages fetch it with the rest and start it when it is asked.
package main

import (
	"bytes"
	"context"
	"fmt"
	"syscall/js"

	"stubup"
	"stubup/internal/issue"
)

func main() {
	paper := js.Global().Get("Object").New()
	paper.Set("version", stubup.Version)
	// write(name, text, asOf, stage, file) answers with bytes or, where that
	// cannot be, with words.
	paper.Set("write", js.FuncOf(func(_ js.Value, args []js.Value) (out any) {
		defer func() {
			if r := recover(); r != nil {
				out = fmt.Sprint("the paper could not be made: ", r)
			}
		}()
		if len(args) != 5 {
			return "a file is asked for by site, text, time, stage and name"
		}
		r := stubup.Evaluate(context.Background(), stubup.Input{Name: args[0].String(), Site: []byte(args[1].String()), AsOf: args[2].String()})
		stage, ok := issue.Of(r, args[3].String())
		if !ok {
			return "no stage is named " + args[3].String()
		}
		for _, f := range stage.Files {
			if f.Name != args[4].String() {
				continue
			}
			var b bytes.Buffer
			if err := f.Write(&b); err != nil {
				return err.Error()
			}
			u := js.Global().Get("Uint8Array").New(b.Len())
			js.CopyBytesToJS(u, b.Bytes())
			return u
		}
		return args[3].String() + " has no file " + args[4].String()
	}))
	js.Global().Set("stubupPaper", paper)
	if ready := js.Global().Get("stubupReady"); ready.Type() == js.TypeFunction {
		ready.Invoke()
	}
	select {}
}
