package gauge

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"clampodds/dist/readings"
)

// Options say which columns a file has. Empty ones are found by their headers.
type Options struct {
	Part, Operator, Reading string // headers or numbers
	// Format says how the file is written; of its columns Column and Group are left aside.
	Format readings.Options
}

// Headers by which the columns are known, beside a column of repeats, which is left aside.
var (
	partHeaders     = []string{"part", "piece", "object", "screw", "card", "sample"}
	operatorHeaders = []string{"operator", "person", "inspector", "observer"}
	repeatHeaders   = []string{"repeat", "repetition", "trial", "run", "order"}
)

// File is a gauge study as read.
type File struct {
	Column, Unit string
	Readings     []Reading
}

// Read reads a study: a row for each reading. Without a column of operators all readings
// are of one. The error has one line for everything that is wrong.
func Read(text []byte, o Options) (*File, error) {
	headers, err := readings.Headers(bytes.NewReader(text), o.Format)
	if err != nil {
		return nil, err
	}
	if err := o.find(headers); err != nil {
		return nil, err
	}
	byPart, err := o.read(text, o.Part)
	if err != nil {
		return nil, err
	}
	byOperator := byPart
	if o.Operator != "" {
		if byOperator, err = o.read(text, o.Operator); err != nil {
			return nil, err
		}
	}
	f := &File{Column: byPart.Column, Unit: byPart.Unit}
	for i, x := range byPart.Values {
		r := Reading{Part: byPart.GroupNames[byPart.Groups[i]], Value: x, Line: byPart.Line(i)}
		if o.Operator != "" {
			r.Operator = byOperator.GroupNames[byOperator.Groups[i]]
		}
		f.Readings = append(f.Readings, r)
	}
	return f, nil
}

func (o *Options) read(text []byte, group string) (*readings.Table, error) {
	format := o.Format
	format.Column, format.Group = o.Reading, group
	table, err := readings.Read(bytes.NewReader(text), format)
	if err != nil {
		return nil, err
	}
	var lines []string
	for _, i := range slices.Concat(table.Below, table.Above) {
		lines = append(lines, fmt.Sprint(table.Line(i)))
	}
	if len(lines) > 0 {
		return nil, fmt.Errorf("lines %s: a reading beyond the gauge says nothing about its error", strings.Join(lines, ", "))
	}
	return table, nil
}

// find fills in the columns that were not given.
func (o *Options) find(headers []string) error {
	known := func(given string, words []string) string {
		if given != "" {
			return given
		}
		for _, h := range headers {
			if slices.Contains(words, strings.ToLower(h)) {
				return h
			}
		}
		return ""
	}
	o.Part, o.Operator = known(o.Part, partHeaders), known(o.Operator, operatorHeaders)
	if o.Part == "" {
		return fmt.Errorf("no column of parts among %s: say which one holds them", strings.Join(headers, ", "))
	}
	if o.Reading != "" {
		return nil
	}
	var left []string
	for _, h := range headers {
		if h != o.Part && h != o.Operator && !slices.Contains(repeatHeaders, strings.ToLower(h)) {
			left = append(left, h)
		}
	}
	if len(left) != 1 {
		return fmt.Errorf("%d columns may hold the readings (%s): say which one does", len(left), strings.Join(left, ", "))
	}
	o.Reading = left[0]
	return nil
}
