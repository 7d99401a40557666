package digest

import (
	"crypto/sha256"
	"testing"

	"pgregory.net/rapid"
)

// The two worked examples of FIPS 180-4's examples file (SHA-256, one block
// and two), which are in the library's tests too.
func TestExamples(t *testing.T) {
	for text, want := range map[string]string{
		"abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
		"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq": "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
	} {
		if got := Hex([]byte(text)); got != want {
			t.Errorf("%q: %s, wanted %s", text, got, want)
		}
	}
}

// Beside the standard library, in pieces of any size.
func TestBesideLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.SliceOfN(rapid.SliceOfN(rapid.Byte(), 0, 200), 0, 4).Draw(t, "parts")
		var all []byte
		for _, p := range parts {
			all = append(all, p...)
		}
		if Sum(parts...) != sha256.Sum256(all) {
			t.Errorf("%x", all)
		}
	})
}
