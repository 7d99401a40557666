// Package digest names bytes by their SHA-256 (FIPS 180-4, 2015). The standard
// library's own brings its whole set of certified ciphers along, which is 50 KB
// of what a phone has to fetch; the hash itself is a page.
package digest

import (
	"encoding/binary"
	"encoding/hex"
	"math"
	"math/bits"
)

// start and round are the first 32 bits of the fractions of the square roots
// of the first 8 primes, and of the cube roots of the first 64 (5.3.3, 4.2.2).
var start, round = constants()

func constants() (h [8]uint32, k [64]uint32) {
	n := 0
	for p := uint64(2); n < len(k); p++ {
		prime := true
		for q := uint64(2); q*q <= p; q++ {
			prime = prime && p%q != 0
		}
		if !prime {
			continue
		}
		fraction := func(root float64) uint32 { return uint32(uint64((root - math.Floor(root)) * (1 << 32))) }
		if n < len(h) {
			h[n] = fraction(math.Sqrt(float64(p)))
		}
		k[n] = fraction(math.Cbrt(float64(p)))
		n++
	}
	return h, k
}

// Sum returns the SHA-256 of all parts, one after the other.
func Sum(parts ...[]byte) [32]byte {
	var m []byte
	for _, p := range parts {
		m = append(m, p...)
	}
	size := uint64(len(m)) * 8
	m = append(m, 0x80)
	for len(m)%64 != 56 {
		m = append(m, 0)
	}
	m = binary.BigEndian.AppendUint64(m, size)
	h := start
	for ; len(m) > 0; m = m[64:] {
		block(&h, m[:64])
	}
	var out [32]byte
	for i, v := range h {
		binary.BigEndian.PutUint32(out[4*i:], v)
	}
	return out
}

// block takes 64 bytes into the state (6.2.2).
func block(h *[8]uint32, m []byte) {
	turn := func(x uint32, n int) uint32 { return bits.RotateLeft32(x, -n) }
	var w [64]uint32
	for t := range w {
		if t < 16 {
			w[t] = binary.BigEndian.Uint32(m[4*t:])
			continue
		}
		a, b := w[t-15], w[t-2]
		w[t] = w[t-16] + w[t-7] + (turn(a, 7) ^ turn(a, 18) ^ a>>3) + (turn(b, 17) ^ turn(b, 19) ^ b>>10)
	}
	v := *h
	for t, x := range w {
		a, e := v[0], v[4]
		t1 := v[7] + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + (e&v[5] ^ ^e&v[6]) + round[t] + x
		t2 := (turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + (a&v[1] ^ a&v[2] ^ v[1]&v[2])
		copy(v[1:], v[:7])
		v[4] += t1
		v[0] = t1 + t2
	}
	for i := range h {
		h[i] += v[i]
	}
}

// Hex returns Sum in hexadecimal.
func Hex(parts ...[]byte) string {
	s := Sum(parts...)
	return hex.EncodeToString(s[:])
}
