package study

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
)

// maxReadings bounds a column of measured data.
const maxReadings = 100_000

// readColumn reads one column of a file of measured data: comma-separated, lines
// that start with # are comments, the first line names the columns. Every cell is
// a bare number in the unit given (empty for a pure number). It returns SI values
// of quantity q, or every bad cell as a problem with its line.
func readColumn(file string, text []byte, column, unit string, q units.Quantity) ([]float64, Problems) {
	r := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(text), "\ufeff")))
	r.Comment, r.TrimLeadingSpace, r.ReuseRecord = '#', true, true
	header, err := r.Read()
	if err != nil {
		return nil, Problems{csvProblem(file, err)}
	}
	line, _ := r.FieldPos(0)
	at := slices.Index(header, column)
	if at < 0 {
		return nil, Problems{{
			File: file, Line: line, Message: fmt.Sprintf("there is no column %q", column),
			Hint: "the columns are " + strings.Join(header, ", "),
		}}
	}
	var values []float64
	var problems Problems
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, append(problems, csvProblem(file, err))
		}
		line, _ := r.FieldPos(at)
		v, err := units.Parse(record[at]+" "+unit, q)
		if err != nil {
			problems = append(problems, Problem{File: file, Line: line, Key: column, Value: quoted(record[at]), Message: err.Error()})
			continue
		}
		if len(values) == maxReadings {
			return nil, append(problems, Problem{File: file, Line: line, Message: fmt.Sprintf("more than %d readings", maxReadings)})
		}
		values = append(values, v.SI)
	}
	if len(values) == 0 && len(problems) == 0 {
		problems = append(problems, Problem{File: file, Message: fmt.Sprintf("the column %q has no readings", column)})
	}
	return values, problems
}

// csvProblem turns an error of the CSV reader into a problem with its line.
func csvProblem(file string, err error) Problem {
	if parse := new(csv.ParseError); errors.As(err, &parse) {
		return Problem{File: file, Line: parse.Line, Message: parse.Err.Error()}
	}
	if errors.Is(err, io.EOF) {
		return Problem{File: file, Message: "the file is empty"}
	}
	return Problem{File: file, Message: err.Error()}
}
