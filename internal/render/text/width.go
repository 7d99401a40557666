package text

import (
	"strings"
	"unicode"
)

// wide lists the code points that a terminal shows two columns wide: the
// blocks that are W or F throughout in Unicode's East Asian width (UAX 11),
// and the pictographs.
var wide = &unicode.RangeTable{
	R16: []unicode.Range16{
		{Lo: 0x1100, Hi: 0x115F, Stride: 1},
		{Lo: 0x2E80, Hi: 0x303E, Stride: 1},
		{Lo: 0x3041, Hi: 0x33FF, Stride: 1},
		{Lo: 0x3400, Hi: 0x4DBF, Stride: 1},
		{Lo: 0x4E00, Hi: 0xA4CF, Stride: 1},
		{Lo: 0xAC00, Hi: 0xD7A3, Stride: 1},
		{Lo: 0xF900, Hi: 0xFAFF, Stride: 1},
		{Lo: 0xFE30, Hi: 0xFE6F, Stride: 1},
		{Lo: 0xFF01, Hi: 0xFF60, Stride: 1},
		{Lo: 0xFFE0, Hi: 0xFFE6, Stride: 1},
	},
	R32: []unicode.Range32{
		{Lo: 0x1F300, Hi: 0x1F64F, Stride: 1},
		{Lo: 0x1F680, Hi: 0x1F6FF, Stride: 1},
		{Lo: 0x1F900, Hi: 0x1F9FF, Stride: 1},
		{Lo: 0x20000, Hi: 0x3FFFD, Stride: 1},
	},
}

// Width returns how many columns of a terminal a text takes.
func Width(s string) int {
	n := 0
	for _, r := range s {
		switch {
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf) || unicode.IsControl(r):
		case unicode.Is(wide, r):
			n += 2
		default:
			n++
		}
	}
	return n
}

// clean leaves out controls, so that no text can steer the terminal it is
// shown on, nor turn the order of what is read; tabs become spaces and line
// ends stay.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n':
			return r
		case r == '\t':
			return ' '
		case unicode.IsControl(r), r >= 0x202A && r <= 0x202E, r >= 0x2066 && r <= 0x2069:
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
}

// wrap breaks a text into lines of at most width columns, at spaces, else
// inside a word.
func wrap(s string, width int) []string {
	width = max(width, 1)
	var lines []string
	s = strings.Trim(clean(s), "\n")
	if strings.TrimSpace(s) == "" {
		return nil
	}
	for para := range strings.SplitSeq(s, "\n") {
		line, used := "", 0
		for _, word := range strings.Fields(para) {
			w := Width(word)
			if line != "" {
				if used+1+w <= width {
					line, used = line+" "+word, used+1+w
					continue
				}
				lines = append(lines, line)
				line, used = "", 0
			}
			for w > width {
				n := fit(word, width)
				if n == len(word) {
					break
				}
				lines = append(lines, word[:n])
				word = word[n:]
				w = Width(word)
			}
			line, used = word, w
		}
		lines = append(lines, line)
	}
	return lines
}

// fit returns how many bytes of a word fit in width columns: at least one
// sign, and no sign apart from the marks that combine with it.
func fit(word string, width int) int {
	used, cut := 0, 0
	for i, r := range word {
		w := Width(string(r))
		if i > 0 && w > 0 {
			cut = i
			if used+w > width {
				return cut
			}
		}
		used += w
	}
	return len(word)
}
