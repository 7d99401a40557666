package site

import (
	"sort"
	"unicode/utf8"

	"stubup/base/diag"
)

// stride is how far apart the checkpoints of a source's rune count stand. A
// column is found by counting from the nearest one, so that a file that is
// one line of a megabyte costs no more than any other.
const stride = 64

// source is the bytes of a document and the places of its lines.
type source struct {
	b      []byte
	starts []int // byte offset of each line
	runes  []int // runes that begin before byte i*stride
	first  []int // offset of the first rune that begins at or after it
}

func newSource(b []byte) *source {
	s := &source{b: b, starts: []int{0}}
	for i, c := range b {
		if c == '\n' {
			s.starts = append(s.starts, i+1)
		}
	}
	n := 0
	for i := 0; i < len(b); {
		for len(s.runes)*stride <= i {
			s.runes, s.first = append(s.runes, n), append(s.first, i)
		}
		if b[i] < utf8.RuneSelf {
			i++
		} else {
			_, w := utf8.DecodeRune(b[i:])
			i += w
		}
		n++
	}
	return s
}

// before returns how many runes begin before byte off.
func (s *source) before(off int) int {
	if len(s.runes) == 0 {
		return 0
	}
	k := min(off/stride, len(s.runes)-1)
	n, i := s.runes[k], s.first[k]
	for i < off && i < len(s.b) {
		_, w := utf8.DecodeRune(s.b[i:])
		i += w
		n++
	}
	return n
}

// lineOf returns the index from 0 of the line that holds byte off.
func (s *source) lineOf(off int) int {
	return max(0, sort.SearchInts(s.starts, off+1)-1)
}

// lineEnd returns the offset after the last byte of a line's text, without
// its line ending.
func (s *source) lineEnd(line int) int {
	end := len(s.b)
	if line+1 < len(s.starts) {
		end = s.starts[line+1] - 1
	}
	if end > s.starts[line] && s.b[end-1] == '\r' {
		end--
	}
	return end
}

// span returns the place of the bytes from..to, cut at the end of the line
// where they begin.
func (s *source) span(path string, from, to int) diag.Span {
	from = min(max(from, 0), len(s.b))
	l := s.lineOf(from)
	end := s.lineEnd(l)
	from = min(from, end)
	to = max(from, min(to, end))
	base := s.before(s.starts[l])
	return diag.Span{Path: path, Line: l + 1, Col: s.before(from) - base + 1, End: s.before(to) - base + 1}
}
