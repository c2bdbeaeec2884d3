// Package clean makes text from a user's file safe to print.
package clean

import (
	"strings"
	"unicode"
)

// MaxWord is the most characters that Line leaves of a word, MaxText of a text: the rest
// says nothing more to a reader and would push the numbers off the page. The longest list of names that
// a sentence of a report has is far shorter.
const (
	MaxWord = 400
	MaxText = 4000
)

// Line makes s safe for one line of any output: no control characters (a
// terminal obeys them), no bidirectional marks (they reorder what follows), no
// line breaks, no invalid UTF-8, and at most MaxText characters, MaxWord without a blank.
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
	if len(s) <= MaxWord {
		return s
	}
	words := strings.Split(s, " ")
	for i, word := range words {
		words[i] = cut(word, MaxWord)
	}
	return cut(strings.Join(words, " "), MaxText)
}

func cut(s string, most int) string {
	if runes := []rune(s); len(runes) > most {
		return string(runes[:most-1]) + "…"
	}
	return s
}
