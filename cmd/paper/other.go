//go:build !(js && wasm)

// Command paper is built for the browser alone.
package main

import "fmt"

func main() {
	fmt.Println("build this for the browser: GOOS=js GOARCH=wasm go build ./cmd/paper")
}
