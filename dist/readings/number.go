package readings

import (
	"bytes"
	"math"
	"slices"
	"strconv"
	"strings"
)

// side says whether a reading is a value or only a bound.
type side int8

const (
	exactly side = iota
	below        // written "<x"
	above        // written ">x"
)

const emptyCell = "the cell is empty"

// number reads a cell; complaint is empty when it is one.
func number(cell string, decimalComma bool) (x float64, s side, complaint, hint string) {
	digits := strings.Trim(cell, " \t\u00a0")
	if digits == "" {
		return 0, exactly, emptyCell, "delete the row if nothing was measured; " + writeBound
	}
	switch digits[0] {
	case '<':
		s, digits = below, strings.TrimLeft(digits[1:], " ")
	case '>':
		s, digits = above, strings.TrimLeft(digits[1:], " ")
	}
	if x, ok := plainNumber(digits, decimalComma); ok {
		return x, s, "", ""
	}
	complaint, hint = describe(digits, decimalComma)
	return 0, s, complaint, hint
}

// plainNumber takes decimal numbers with an optional exponent and nothing else:
// no infinities, no hexadecimal digits, no thousands.
func plainNumber(digits string, decimalComma bool) (float64, bool) {
	var buffer [64]byte
	if len(digits) == 0 || len(digits) > len(buffer) {
		return 0, false
	}
	text := buffer[:copy(buffer[:], digits)]
	for _, c := range text {
		switch {
		case c >= '0' && c <= '9', c == '-', c == '+', c == 'e', c == 'E':
		case c == '.' && !decimalComma, c == ',' && decimalComma:
		default:
			return 0, false
		}
	}
	if decimalComma {
		if i := bytes.IndexByte(text, ','); i >= 0 {
			text[i] = '.'
		}
	}
	x, err := strconv.ParseFloat(string(text), 64)
	return x, err == nil && !math.IsInf(x, 0)
}

// writeBound says how a reading beyond what the gauge shows is written. Nothing is put in its
// place: a fit takes it as a bound.
const writeBound = "where the gauge showed nothing, write <x with its least value x, or >x with its largest"

// beyondGauge are words that laboratories write for such a reading.
var beyondGauge = []string{"lod", "loq", "lloq", "uloq", "nd", "bdl", "bql", "ol", "over", "overload", "under", "underrange", "overrange"}

const pasteValues = "paste the values, not the formulas"

// Hints that a file with decimal commas would repeat on every line.
const (
	decimalCommas   = "decimal commas? Say --decimal-comma, or decimal_comma = true in a study; thousands are not separated"
	commasSplitThem = "decimal commas? Say --decimal-comma, or decimal_comma = true in a study; they need another separator between the cells"
)

// describe says what a cell is that is not a number.
func describe(text string, decimals bool) (complaint, hint string) {
	switch {
	case slices.Contains(beyondGauge, strings.ToLower(strings.NewReplacer(".", "", "-", "", "/", "", " ", "", "<", "", ">", "").Replace(text))):
		return "a word for a reading beyond the gauge, not its limit", writeBound
	case text != "" && strings.IndexByte("=+-@", text[0]) >= 0:
		return "a formula or a sign without a number", pasteValues
	case strings.HasPrefix(text, "#"):
		return "an error of the spreadsheet", ""
	case !decimals && strings.Contains(text, ","):
		return "not a number", decimalCommas
	case decimals && strings.Contains(text, "."):
		return "not a number", "a decimal point among decimal commas? Thousands are not separated"
	case strings.ContainsAny(text, "0123456789"):
		return "not a bare number", "the unit belongs in the header"
	}
	return "not a number", ""
}
