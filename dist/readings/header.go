package readings

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// headed is one column's header taken apart.
type headed struct{ full, name, unit string }

func takeApart(cell string) headed {
	full := asText(strings.TrimSpace(cell))
	for _, brackets := range []string{"[]", "()"} {
		open := strings.LastIndexByte(full, brackets[0])
		if open > 0 && full[len(full)-1] == brackets[1] {
			return headed{full, strings.TrimSpace(full[:open]), strings.TrimSpace(full[open+1 : len(full)-1])}
		}
	}
	return headed{full, full, ""}
}

// bareUnit takes a unit without brackets off the header: "torque / N*m", "torque in N*m", "torque, N*m". It must be one that
// Convert knows; headers also have other words there.
func (o Options) bareUnit(h headed) headed {
	if h.unit != "" || o.Convert == nil {
		return h
	}
	for _, mark := range []string{" / ", "/", " in ", ", "} {
		name, unit, found := strings.Cut(h.full, mark)
		if name, unit = strings.TrimSpace(name), strings.TrimSpace(unit); !found || name == "" || unit == "" {
			continue
		}
		if _, err := o.Convert(unit); err == nil {
			return headed{h.full, name, unit}
		}
	}
	return h
}

// asText reads bytes that are not UTF-8 as Latin-1, which is what spreadsheets
// of western Europe export.
func asText(s string) string {
	if utf8.ValidString(s) {
		return s
	}
	var b strings.Builder
	for i := range len(s) {
		b.WriteRune(rune(s[i]))
	}
	return b.String()
}

// find returns the index of the wanted column: by its header, whatever the case, by the end of
// its header, else by its number.
func find(columns []headed, wanted string) (int, *Problem) {
	wanted = strings.TrimSpace(wanted)
	for _, same := range []func(headed) bool{
		func(h headed) bool { return h.full == wanted },
		func(h headed) bool { return h.name == wanted },
		func(h headed) bool { return strings.EqualFold(h.full, wanted) || strings.EqualFold(h.name, wanted) },
		func(h headed) bool { // of a header over several rows the last
			return strings.HasSuffix(strings.ToLower(h.name), " "+strings.ToLower(wanted))
		},
	} {
		i := slices.IndexFunc(columns, same)
		if i < 0 {
			continue
		}
		if j := slices.IndexFunc(columns[i+1:], same); j >= 0 {
			return 0, &Problem{
				Message: fmt.Sprintf("columns %d and %d are both called %q", i+1, i+j+2, wanted), Hint: "give the number of the column",
			}
		}
		return i, nil
	}
	if n, err := strconv.Atoi(wanted); err == nil && n >= 1 && n <= len(columns) {
		return n - 1, nil
	}
	return 0, &Problem{Message: fmt.Sprintf("there is no column %q", wanted), Hint: "the columns are " + list(columns)}
}

func list(columns []headed) string {
	const most = 20
	var names []string
	for i, h := range columns {
		if i == most {
			names = append(names, fmt.Sprintf("and %d more", len(columns)-most))
			break
		}
		names = append(names, strconv.Quote(h.full))
	}
	return strings.Join(names, ", ")
}

// unitsCell returns the unit if the cell below the header is one: in brackets,
// or a text that is no number and that Convert takes.
func (o Options) unitsCell(cell string) (unit string, ok bool) {
	text := asText(strings.TrimSpace(cell))
	if _, isNumber := plainNumber(text, o.DecimalComma); text == "" || isNumber {
		return "", false
	}
	last := len(text) - 1
	if text[0] == '[' && text[last] == ']' || text[0] == '(' && text[last] == ')' {
		return strings.TrimSpace(text[1:last]), true
	}
	if o.Convert == nil {
		return "", false
	}
	_, err := o.Convert(text)
	return text, err == nil
}

// settle decides on the unit: the one asked for, which the file must not
// contradict, or the file's.
func (o Options) settle(inFile string) (unit string, convert func(float64) float64, problem *Problem) {
	unit = o.Unit
	if unit == "" {
		unit = inFile
	}
	convert, err := o.conversion(unit)
	if err != nil {
		if unit == "" {
			return unit, nil, &Problem{Message: err.Error()}
		}
		return unit, nil, &Problem{Message: fmt.Sprintf("unit %q: %v", unit, err)}
	}
	if o.Unit != "" && inFile != "" && o.Unit != inFile {
		other, err := o.conversion(inFile)
		if err != nil || other(0) != convert(0) || other(1) != convert(1) {
			return unit, nil, &Problem{
				Message: fmt.Sprintf("the unit asked for is %q, the file has %q", o.Unit, inFile),
				Hint:    "leave the unit out to take the file's, or correct the header",
			}
		}
	}
	return unit, convert, nil
}

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
