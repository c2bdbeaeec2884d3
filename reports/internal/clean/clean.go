// Package clean makes text from a user's file safe to print.
package clean

import (
	"strings"
	"unicode"
)

// MaxText is the most characters that Line leaves: the rest of a longer text
// says nothing more to a reader and would push the numbers off the page.
const MaxText = 400

// Line makes s safe for one line of any output: no control characters (a
// terminal obeys them), no bidirectional marks (they reorder what follows), no
// line breaks, no invalid UTF-8, and at most MaxText characters.
func Line(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r' || r == '\u2028' || r == '\u2029':
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r), unicode.Is(unicode.Noncharacter_Code_Point, r), r == '\ufeff':
			return -1
		}
		return r
	}, s)
	if runes := []rune(s); len(runes) > MaxText {
		s = string(runes[:MaxText-1]) + "…"
	}
	return s
}
