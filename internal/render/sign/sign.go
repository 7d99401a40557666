// Package sign says what the marks of a sheet mean in words and in one plain
// sign, so that paper, terminal and spreadsheet all say the same and none of
// them leans on colour.
package sign

import (
	"strings"

	"stubup/base/sheet"
)

// Word returns the words of a mark; none for an unmarked thing.
func Word(m sheet.Mark) string {
	switch m {
	case sheet.Holds:
		return "holds"
	case sheet.Broken:
		return "broken"
	case sheet.CannotTell:
		return "cannot tell"
	case sheet.NotApply:
		return "does not apply"
	case sheet.Hold:
		return "HOLD"
	}
	return ""
}

// ASCII returns the one-letter sign of a mark for plain text.
func ASCII(m sheet.Mark) string {
	switch m {
	case sheet.Holds:
		return "+"
	case sheet.Broken:
		return "X"
	case sheet.CannotTell:
		return "?"
	case sheet.NotApply:
		return "-"
	case sheet.Hold:
		return "#"
	}
	return ""
}

// Said returns the text with the words of its mark before it, unless the text
// says them already.
func Said(text string, m sheet.Mark) string {
	w := Word(m)
	switch {
	case w == "" || says(text, w):
		return text
	case strings.TrimSpace(text) == "":
		return w
	}
	return w + ": " + text
}

// says reports whether the words stand in the text as whole words.
func says(text, words string) bool {
	clean := func(s string) string {
		return " " + strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
			return r < 'a' || r > 'z'
		}), " ") + " "
	}
	return strings.Contains(clean(text), clean(words))
}
