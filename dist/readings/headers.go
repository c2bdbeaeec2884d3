package readings

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
)

// Headers returns the headers of the columns without the units that stand there,
// for a caller that has to find out which columns a file has. Of the options only
// Sheet, Separator, DecimalComma and Convert matter. Errors are those of Read; nothing behind the
// first row is looked at.
func Headers(source io.Reader, o Options) ([]string, error) {
	r := &reader{Options: o}
	if err := r.open(source); err != nil {
		return nil, err
	}
	for {
		cells, err := r.source.Read()
		if err != nil {
			if done, failure := r.failed(err, true); done {
				return nil, failure
			}
			continue
		}
		if empty(cells) {
			continue
		}
		if len(cells) > maxColumns {
			return nil, r.stop(Problem{Line: r.line(), Message: fmt.Sprintf("%d columns, at most %d are read", len(cells), maxColumns)})
		}
		var names []string
		for _, cell := range cells {
			names = append(names, r.bareUnit(takeApart(cell)).name)
		}
		return names, nil
	}
}

// lotWords are words of headers that tell which lot, or what else may make readings alike.
var lotWords = []string{
	"lot", "lots", "batch", "charge", "heat", "melt", "coil", "supplier", "vendor", "tool", "machine", "cavity", "operator", "shift",
	"los", "lieferant", "werkzeug", "maschine", "lieferung",
}

// namesLots reports whether a header has one of those words.
func namesLots(header string) bool {
	words := strings.FieldsFunc(strings.ToLower(header), func(c rune) bool { return !unicode.IsLetter(c) })
	return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(lotWords, w) })
}
