// Command gen prints the description of the doors (OpenAPI 3.1), from which
// clients make their types.
package main

import (
	"fmt"
	"os"

	"stubup/internal/httpapi"
)

func main() {
	b, err := httpapi.OpenAPI()
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(3)
	}
	os.Stdout.Write(append(b, '\n'))
}
