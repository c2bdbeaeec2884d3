package study

import (
	"bytes"
	"errors"
	"fmt"
	"path"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// Bounds on what is read, so that a wrong file is refused and does not fill the
// memory.
const (
	maxFileBytes = 1 << 18
	maxBases     = 16
)

// document is one TOML file: its values, and the line of every key, also of keys
// inside inline tables and lists ("screw.torque.mean", "component[1].power").
type document struct {
	file  string
	root  map[string]any
	lines map[string]int
}

// readDocument parses one file.
func readDocument(file string, text []byte) (*document, Problems) {
	if len(text) > maxFileBytes {
		return nil, Problems{{File: file, Message: fmt.Sprintf("a study file has at most %d bytes, this one has %d", maxFileBytes, len(text))}}
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff")) // some editors begin with it
	d := &document{file: file, root: map[string]any{}}
	if err := toml.Unmarshal(text, &d.root); err != nil {
		p := Problem{File: file, Message: strings.TrimPrefix(err.Error(), "toml: ")}
		if decode := new(toml.DecodeError); errors.As(err, &decode) {
			p.Line, _ = decode.Position()
		}
		return nil, Problems{p}
	}
	d.lines = keyLines(text)
	return d, nil
}

// keyLines walks over a valid document and notes the line of every key. The
// decoder itself does not give the position of a value that it accepts.
func keyLines(text []byte) map[string]int {
	w := lineWalker{lines: map[string]int{}, lists: map[string]int{}, line: 1}
	w.parser.Reset(text)
	table := ""
	for w.parser.NextExpression() {
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
	return w.lines
}

type lineWalker struct {
	parser unstable.Parser
	lines  map[string]int
	lists  map[string]int // elements seen of each [[list]]
	offset int            // position in the text that line belongs to
	line   int
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
