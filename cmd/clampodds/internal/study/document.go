package study

import (
	"bytes"
	"errors"
	"fmt"
	"path"
	"regexp"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"clampodds/cmd/clampodds/internal/files"
)

// Bounds on what is read, so that a wrong file is refused and does not fill the
// memory.
const (
	maxBases = 16
	maxDepth = 16  // of keys, lists and inline tables in one another
	maxKey   = 200 // bytes of a key with all it stands in
)

// document is one TOML file: its values, and the line of every key, also of keys
// inside inline tables and lists ("screw.torque.mean", "component[1].power").
type document struct {
	file  string
	root  map[string]any
	lines map[string]int
}

func readDocument(file string, text []byte) (*document, Problems) {
	if len(text) > files.MostOfStudy {
		return nil, Problems{{File: file, Message: fmt.Sprintf("a study file has at most %d bytes, this one has %d", files.MostOfStudy, len(text))}}
	}
	if line := tooDeep(text); line > 0 {
		return nil, Problems{{File: file, Line: line, Message: fmt.Sprintf("keys, lists and tables stand in one another more than %d deep", maxDepth)}}
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff")) // some editors begin with it
	d := &document{file: file, root: map[string]any{}}
	if err := toml.Unmarshal(text, &d.root); err != nil {
		p := Problem{File: file, Message: strings.TrimPrefix(err.Error(), "toml: ")}
		if decode := new(toml.DecodeError); errors.As(err, &decode) {
			p.Line, _ = decode.Position()
			if message, hint := slip(text, p.Line, p.Message); message != "" {
				p.Message, p.Hint = message, hint
			}
		}
		return nil, Problems{p}
	}
	var longest int
	if d.lines, longest = keyLines(text); longest > 0 {
		return nil, Problems{{File: file, Line: longest, Message: fmt.Sprintf("a key has at most %d bytes, with the tables it stands in", maxKey)}}
	}
	return d, nil
}

// The slips behind an error of the parser that it has no words for.
var (
	curlyQuotes  = regexp.MustCompile("[\u2018-\u201f\u00ab\u00bb]")
	decimalComma = regexp.MustCompile(`=\s*[+-]?[0-9]+,[0-9]`)
	unquoted     = regexp.MustCompile(`^\s*([\w.]+)\s*=\s*([+-]?[0-9.]+ +[^\s"'#,}\]][^"'#,}\]]*)`)
)

// slip says what is most likely wrong with a line that the parser refuses; empty where it is none of these.
func slip(text []byte, number int, refused string) (message, hint string) {
	if !utf8.Valid(text) {
		return "the text is not UTF-8", "save it as UTF-8"
	}
	line := strings.Split(string(text), "\n")[max(0, number-1)]
	switch {
	case openAtItsEnd([]byte(line)):
		return "a line ends between { and }", "write all from { to } in one line, however long"
	case curlyQuotes.MatchString(line):
		return fmt.Sprintf("the quotes are typographic: %s", curlyQuotes.FindString(line)), `write "`
	case decimalComma.MatchString(line):
		return "a comma stands in a number", "the decimal sign is a point"
	case unquoted.MatchString(line):
		found := unquoted.FindStringSubmatch(line)
		return "a quantity stands in quotes", fmt.Sprintf("%s = %q", found[1], strings.TrimSpace(found[2]))
	case !strings.Contains(line, "=") && refused == "expected '=' after key":
		return "no = stands in this line", `a study has lines such as title = "Card"; a table of readings is none`
	}
	return "", ""
}

// openAtItsEnd reports whether a brace of a line is still open where it ends.
func openAtItsEnd(line []byte) bool {
	open := 0
	for i := 0; i < len(line) && line[i] != '#'; i++ {
		switch line[i] {
		case '"', '\'':
			i += quotedLength(line[i:]) - 1
		case '{':
			open++
		case '}':
			open--
		}
	}
	return open > 0
}

// tooDeep returns the line where a text goes deeper than maxDepth, 0 if nowhere. It looks at brackets
// and dots outside of quotes and comments: a parser would take memory as the square of the depth.
func tooDeep(text []byte) int {
	depth, dots, line := 0, 0, 1
	for i := 0; i < len(text); i++ {
		switch c := text[i]; c {
		case '"', '\'':
			skip := quotedLength(text[i:])
			line += bytes.Count(text[i:i+skip], []byte{'\n'})
			i += skip - 1
		case '#':
			for i+1 < len(text) && text[i+1] != '\n' {
				i++
			}
		case '\n':
			line++
			dots = 0
		case '.':
			dots++
		case '[', '{':
			depth++
			dots = 0
		case ']', '}':
			depth--
		case '=', ',':
			dots = 0
		}
		if depth > maxDepth || dots > maxDepth {
			return line
		}
	}
	return 0
}

// quotedLength is the length of the text in quotes that a text begins with; all of it where they
// do not end.
func quotedLength(text []byte) int {
	quote := text[:1]
	if triple := bytes.Repeat(quote, 3); bytes.HasPrefix(text, triple) {
		quote = triple
	}
	for i := len(quote); i < len(text); i++ {
		switch {
		case text[i] == '\\' && quote[0] == '"':
			i++
		case bytes.HasPrefix(text[i:], quote):
			return i + len(quote)
		case text[i] == '\n' && len(quote) == 1:
			return i // the parser says what is wrong
		}
	}
	return len(text)
}

// keyLines walks over a valid document and notes the line of every key. The
// decoder itself does not give the position of a value that it accepts. A key that is too long ends
// the walk; its line is returned, 0 without any.
func keyLines(text []byte) (map[string]int, int) {
	w := lineWalker{lines: map[string]int{}, lists: map[string]int{}, line: 1}
	w.parser.Reset(text)
	table := ""
	for w.tooLong == 0 && w.parser.NextExpression() {
		switch e := w.parser.Expression(); e.Kind {
		case unstable.Table:
			table = w.key("", e)
		case unstable.ArrayTable:
			table = w.key("", e)
			w.lists[table]++
			table = fmt.Sprintf("%s[%d]", table, w.lists[table]-1)
			w.lines[table] = w.line
		case unstable.KeyValue:
			w.value(w.key(table, e), e.Value())
		}
	}
	return w.lines, w.tooLong
}

type lineWalker struct {
	parser  unstable.Parser
	lines   map[string]int
	lists   map[string]int // elements seen of each [[list]]
	offset  int            // position in the text that line belongs to
	line    int
	tooLong int // the line of a key that is
}

// key notes the line of the key of e and returns its full name.
func (w *lineWalker) key(table string, e *unstable.Node) string {
	name := table
	for k := e.Key(); k.Next(); {
		if n := w.lists[name]; n > 0 && name != table {
			name = fmt.Sprintf("%s[%d]", name, n-1) // [component.x] belongs to the last [[component]]
		}
		name = join(name, string(k.Node().Data))
		at := int(k.Node().Raw.Offset)
		if at > w.offset {
			w.line += bytes.Count(w.parser.Data()[w.offset:at], []byte{'\n'})
			w.offset = at
		}
		if len(name) > maxKey {
			w.tooLong = w.line
			return ""
		}
		if _, named := w.lines[name]; !named { // a table named again in [a.b] stands where it began
			w.lines[name] = w.line
		}
	}
	return name
}

// value goes into inline tables and lists.
func (w *lineWalker) value(name string, v *unstable.Node) {
	switch v.Kind {
	case unstable.InlineTable:
		for c := v.Children(); c.Next(); {
			w.value(w.key(name, c.Node()), c.Node().Value())
		}
	case unstable.Array:
		i := 0
		for c := v.Children(); c.Next(); i++ {
			element := fmt.Sprintf("%s[%d]", name, i)
			w.lines[element] = w.line
			w.value(element, c.Node())
		}
	}
}

// join puts a dotted key together.
func join(table, key string) string {
	if table == "" {
		return key
	}
	return table + "." + key
}

// beside resolves a file name that is written in another file.
func beside(file, name string) string {
	if path.IsAbs(name) {
		return name
	}
	return path.Join(path.Dir(file), name)
}
