package study

import (
	"testing"

	"clampodds/dist/readings"

	"github.com/stretchr/testify/assert"
)

func TestReadColumn(t *testing.T) {
	text := "\ufeff# a comment\nnumber, torque\n1, 0.70\n# another\n2, 0.71\n3,\" 0.69\"\n"
	values, problems := readColumn("d.csv", []byte(text), readings.Options{Column: "torque", Unit: "N*m"}, "N*m")
	assert.Empty(t, problems)
	assert.Equal(t, []float64{0.70, 0.71, 0.69}, values)

	values, problems = readColumn("d.csv", []byte("x\n1\n2\n"), readings.Options{Column: "x"}, "1")
	assert.Empty(t, problems)
	assert.Equal(t, []float64{1, 2}, values)
}

func TestReadColumnRefuses(t *testing.T) {
	for _, c := range []struct{ name, text, message string }{
		{"empty file", "", "d.csv: the file is empty"},
		{"comments only", "# nothing\n", "d.csv: the file is empty"},
		{"header only", "a,torque\n", "d.csv: there are no readings"},
		{"no such column", "a,b\n1,2\n", `d.csv:1: there is no column "torque" (the columns are "a", "b")`},
		{"ragged", "a,torque\n1,2\n3\n", "d.csv:3: torque: the cell is empty (delete the row if nothing was measured; where the gauge showed nothing, write <x with its least value x, or >x with its largest)"},
		{"bad quotes", "a,torque\n1,\"2\n", "d.csv:2: extraneous or missing \" in quoted-field"},
		{"bad cells", "torque\n0.7\nx\n\"0,7\"\n\n 0.7 N*m\nNaN\n", "d.csv:3: torque = \"x\": not a number\n" +
			"d.csv:4: torque = \"0,7\": not a number (decimal commas? Say --decimal-comma, or decimal_comma = true in a study; thousands are not separated)\n" +
			"d.csv:6: torque = \" 0.7 N*m\": not a bare number (the unit belongs in the header)\n" +
			"d.csv:7: torque = \"NaN\": not a number"},
	} {
		_, problems := readColumn("d.csv", []byte(c.text), readings.Options{Column: "torque", Unit: "N*m"}, "N*m")
		assert.EqualError(t, problems, c.message, c.name)
	}
}
