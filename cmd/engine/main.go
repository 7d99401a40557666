//go:build js && wasm

// Command engine is the engine for the browser: one open document in a
// worker, asked by name with JSON. Edits and changed parts cross the border,
// not whole results. It gives the same numbers as the command, since it is
// the same code.
package main

import (
	"fmt"
	"syscall/js"

	"stubup"
	"stubup/internal/desk"
)

func main() {
	var d desk.Desk
	call := js.FuncOf(func(_ js.Value, args []js.Value) (out any) {
		// A fault of the engine must not end it: the document is kept by the
		// page, and the next call still gets an answer.
		defer func() {
			if r := recover(); r != nil {
				out = fmt.Sprintf(`{"problem":{"what":%q,"mend":"the document is kept; open it again"}}`, fmt.Sprint("the engine stopped: ", r))
			}
		}()
		if len(args) != 2 {
			return `{"problem":{"what":"a call has a name and an argument","mend":"reload the page"}}`
		}
		return string(d.Call(args[0].String(), []byte(args[1].String())))
	})
	engine := js.Global().Get("Object").New()
	engine.Set("version", stubup.Version)
	engine.Set("call", call)
	js.Global().Set("stubupEngine", engine)
	if ready := js.Global().Get("stubupReady"); ready.Type() == js.TypeFunction {
		ready.Invoke()
	}
	select {}
}
