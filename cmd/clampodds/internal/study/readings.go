package study

import (
	"bytes"
	"errors"
	"fmt"
	"math"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/dist/readings"
)

func (s *shapeReader) measured() dist.Distribution {
	column, _ := s.needed("column")
	smoothed := s.flag("smoothed")
	if s.data = s.readings(column, "unit"); s.data == nil {
		return nil
	}
	for i := range s.data.values {
		s.data.values[i] *= s.factor
	}
	var d dist.Distribution
	var err error
	if smoothed {
		d, err = dist.NewSmoothed(s.data.values)
	} else {
		d, err = dist.NewResampled(s.data.values)
	}
	if err != nil {
		s.refuse(s.entry, s.part, nil, err.Error(), "")
		return nil
	}
	return s.cut(d)
}

// readings reads a column of the file that the table names; nil where something was reported.
func (s *shapeReader) readings(column, unitKey string) *dataColumn {
	file, okFile := s.needed("file")
	unit, okUnit := "", true
	if s.has(unitKey) || s.quantity != units.Number {
		unit, okUnit = s.needed(unitKey)
	}
	decimalComma := s.flag("decimal_comma")
	sheet, okSheet := "", true
	if s.has("sheet") {
		sheet, okSheet = s.needed("sheet")
	}
	if !okFile || !okUnit || !okSheet || column == "" {
		return nil
	}
	if _, err := units.Parse("1 "+unit, s.quantity); err != nil {
		s.wrong(unitKey, err.Error(), "")
		return nil
	}
	name := beside(s.entry.doc.file, file)
	text, err := s.dataFile(name)
	if err != nil {
		s.wrong("file", openMessage(name, err), nearestFile(name, err))
		return nil
	}
	values, problems := readColumn(name, text, readings.Options{Sheet: sheet, Column: column, Unit: unit, DecimalComma: decimalComma}, s.quantity)
	if len(problems) > 0 {
		s.problems = append(s.problems, problems...)
		return nil
	}
	return &dataColumn{file: name, column: column, values: values}
}

// needed reads a required text of the table.
func (s *shapeReader) needed(key string) (string, bool) {
	text := s.word(key)
	if text == "" {
		s.wrong(key, fmt.Sprintf("measured data need %s, a text in quotes", key), "")
	}
	return text, text != ""
}

func (s *shapeReader) mixture() dist.Distribution {
	lots := elements(entry{"lots", nil, s.entry.doc, s.entry.path + s.part + ".lots"}, s.table["lots"], func(p Problem) {
		s.wrong("lots", "a list of lots expected", `for instance [{ weight = 0.7, shape = "fixed", value = 1 }, ...]`)
	})
	if len(lots) == 0 {
		return nil
	}
	var weights []float64
	var parts []dist.Distribution
	for i, table := range lots {
		lot := *s
		lot.part, lot.table = fmt.Sprintf("%s.lots[%d]", s.part, i), table
		if lot.table["shape"] == mixture {
			lot.wrong("shape", "a lot is not a mixture itself", "")
			return nil
		}
		w, okWeight := s.reader.quantity(s.entry, lot.part+".weight", table["weight"], units.Number, 1)
		d, _, ok := lot.read([]string{"weight"})
		if !ok || !okWeight {
			return nil
		}
		weights, parts = append(weights, w.SI), append(parts, d)
	}
	d, err := dist.NewMixture(weights, parts)
	if err != nil {
		s.wrong("lots", err.Error(), "")
		return nil
	}
	return s.cut(d)
}

func (s *shapeReader) cut(d dist.Distribution) dist.Distribution {
	ends := [2]float64{math.Inf(-1), math.Inf(1)}
	given := false
	for i, key := range []string{"low", "high"} {
		v, ok := s.table[key]
		if !ok {
			continue
		}
		x, ok := s.value(key, v)
		if !ok {
			return nil
		}
		ends[i], given = x, true
	}
	if !given {
		return d
	}
	d, err := dist.NewTruncated(d, ends[0], ends[1])
	if err != nil {
		s.refuse(s.entry, s.part, nil, err.Error(), "")
		return nil
	}
	return d
}

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
