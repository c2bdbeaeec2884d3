package reports

import (
	"strings"

	"clampodds/reports/internal/clean"
)

// plain makes a text safe for one line of any output.
func plain(s string) string { return clean.Line(s) }

// markdownSpecial escapes what Markdown would read as markup, and the pipe that
// would end a cell.
var markdownSpecial = strings.NewReplacer(
	`\`, `\\`, `|`, `\|`, "`", "\\`", `*`, `\*`, `_`, `\_`, `[`, `\[`, `]`, `\]`, `&`, `&amp;`, `<`, `&lt;`, `>`, `&gt;`, `#`, `\#`)

func markdown(s string) string { return markdownSpecial.Replace(plain(s)) }

// csvCell keeps a spreadsheet from reading a text as a formula. Numbers, a
// leading minus included, pass as they are.
func csvCell(s string) string {
	s = plain(s)
	if strings.IndexAny(strings.TrimLeft(s, " "), "=+-@") != 0 || isNumber(s) {
		return s
	}
	return "'" + s
}
