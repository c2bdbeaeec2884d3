package study

import (
	"bytes"
	"errors"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist/readings"
)

// readColumn reads one column of a file of measured data. It returns SI values of
// quantity q in the order of the file, or every bad cell as a problem with its
// line.
func readColumn(file string, text []byte, o readings.Options, q units.Quantity) ([]float64, Problems) {
	o.Convert = func(unit string) (func(float64) float64, error) { return units.Conversion(unit, q) }
	table, err := readings.Read(bytes.NewReader(text), o)
	if err == nil {
		return table.Values, nil
	}
	found := new(readings.Problems)
	if !errors.As(err, &found) {
		return nil, Problems{{File: file, Message: err.Error()}}
	}
	var problems Problems
	for _, p := range found.Listed {
		problem := Problem{File: file, Line: p.Line, Key: p.Header, Message: p.Message, Hint: p.Hint}
		if p.Sheet {
			problem.Line, problem.Key = 0, p.Place()
		}
		if p.Value != "" {
			problem.Value = quoted(p.Value)
		}
		problems = append(problems, problem)
	}
	return nil, problems
}
