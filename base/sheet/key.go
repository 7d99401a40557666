package sheet

import (
	"fmt"
	"hash/fnv"
	"strings"
)

// Key writes a name that a person gave as a part of an ID, and so of a file's
// name: letters and digits of English stay, a blank becomes "-". A name with
// any other sign in it ends in a figure made of the whole, so that two names
// have two keys.
func Key(name string) string {
	plain := true
	key := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9':
			return r
		case r != ' ':
			plain = false
		}
		return '-'
	}, name)
	if plain {
		return key
	}
	h := fnv.New32a()
	h.Write([]byte(name))
	return fmt.Sprintf("%s-%08x", key, h.Sum32())
}
