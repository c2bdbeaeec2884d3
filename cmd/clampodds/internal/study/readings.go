package study

import (
	"fmt"
	"math"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/dist/readings"
)

// measured reads a column of readings.
func (s *shapeReader) measured() dist.Distribution {
	file, okFile := s.word("file")
	column, okColumn := s.word("column")
	unit, okUnit := "", true
	if _, given := s.table["unit"]; given || s.quantity != units.Number {
		unit, okUnit = s.word("unit")
	}
	smoothed, decimalComma := s.flag("smoothed"), s.flag("decimal_comma")
	sheet, okSheet := s.optionalWord("sheet")
	if !okFile || !okColumn || !okUnit || !okSheet {
		return nil
	}
	if _, err := units.Parse("1 "+unit, s.quantity); err != nil {
		s.refuse(s.entry, s.part+".unit", unit, err.Error(), "")
		return nil
	}
	name := beside(s.entry.doc.file, file)
	text, err := s.dataFile(name)
	if err != nil {
		s.refuse(s.entry, s.part+".file", file, openMessage(name, err), "")
		return nil
	}
	values, problems := readColumn(name, text, readings.Options{Sheet: sheet, Column: column, Unit: unit, DecimalComma: decimalComma}, s.quantity)
	if len(problems) > 0 {
		s.problems = append(s.problems, problems...)
		return nil
	}
	for i := range values {
		values[i] *= s.factor
	}
	s.data = &dataColumn{file: name, column: column, values: values}
	var d dist.Distribution
	if smoothed {
		d, err = dist.NewSmoothed(values)
	} else {
		d, err = dist.NewResampled(values)
	}
	if err != nil {
		s.refuse(s.entry, s.part, nil, err.Error(), "")
		return nil
	}
	return s.cut(d)
}

// flag reads true or false, false when it is not there.
func (s *shapeReader) flag(key string) bool {
	yes, isBool := s.table[key].(bool)
	if _, given := s.table[key]; given && !isBool {
		s.refuse(s.entry, s.part+"."+key, s.table[key], "true or false expected", "")
	}
	return yes
}

// optionalWord reads a text of the table that may be left out.
func (s *shapeReader) optionalWord(key string) (string, bool) {
	if _, given := s.table[key]; !given {
		return "", true
	}
	return s.word(key)
}

// word reads a required text of the table.
func (s *shapeReader) word(key string) (string, bool) {
	text, ok := s.table[key].(string)
	if !ok || text == "" {
		s.refuse(s.entry, s.part+"."+key, s.table[key], fmt.Sprintf("measured data need %s, a text in quotes", key), "")
		return "", false
	}
	return text, true
}

// mixture reads a list of lots.
func (s *shapeReader) mixture() dist.Distribution {
	lots := elements(entry{"lots", nil, s.entry.doc, s.entry.path + s.part + ".lots"}, s.table["lots"], func(p Problem) {
		s.refuse(s.entry, s.part+".lots", nil, "a list of lots expected", `for instance [{ weight = 0.7, shape = "fixed", value = 1 }, ...]`)
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
			s.refuse(s.entry, lot.part+".shape", mixture, "a lot is not a mixture itself", "")
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
		s.refuse(s.entry, s.part+".lots", nil, err.Error(), "")
		return nil
	}
	return s.cut(d)
}

// cut applies low and high to readings and mixtures.
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
