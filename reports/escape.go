package reports

import (
	"strings"
	"unicode"
)

// maxText bounds one text from a user's file in a table or a title: the rest
// says nothing more to a reader and would push the numbers off the page.
const maxText = 400

// plain makes a text safe for one line of any output: no control characters
// (a terminal obeys them), no bidirectional marks (they reorder what follows),
// no line breaks, and a bounded length.
func plain(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r' || r == '\u2028' || r == '\u2029':
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r), r == '\ufeff':
			return -1
		}
		return r
	}, s)
	if runes := []rune(s); len(runes) > maxText {
		s = string(runes[:maxText-1]) + "…"
	}
	return s
}

// markdown escapes what Markdown would read as markup, and the pipe that would
// end a cell.
var markdownSpecial = strings.NewReplacer(
	`\`, `\\`, `|`, `\|`, "`", "\\`", `*`, `\*`, `_`, `\_`, `[`, `\[`, `]`, `\]`, `<`, `&lt;`, `>`, `&gt;`, `#`, `\#`)

func markdown(s string) string { return markdownSpecial.Replace(plain(s)) }

// csvCell keeps a spreadsheet from reading a text as a formula. Numbers, a
// leading minus included, pass as they are.
func csvCell(s string) string {
	s = plain(s)
	if s == "" || !strings.ContainsRune("=+-@", rune(s[0])) || isNumber(s) {
		return s
	}
	return "'" + s
}
