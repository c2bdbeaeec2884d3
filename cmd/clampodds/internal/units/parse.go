package units

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/unit"
)

// maxLength bounds the text of a quantity, bytes.
const maxLength = 100

// number is a decimal number: sign and digits with a decimal point, then an
// optional power of ten. A comma is caught to be refused with a hint.
var number = regexp.MustCompile(`^([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+))(?:[eE]([+-]?[0-9]{1,4}))?(,[0-9]|[0-9.])?`)

// Parse reads a quantity and converts it to the SI unit of want. The error is an
// *Error: no number, a decimal comma, an unknown unit, a unit of another
// dimension, a missing unit, a temperature where a difference is expected or the
// reverse, a temperature below 0 K, or a number too large for a float64. NaN and
// infinities are no numbers here. A want that is no unit panics.
func Parse(text string, want Quantity) (Value, error) {
	v, err := parse(strings.TrimSpace(text), want)
	if e := new(Error); errors.As(err, &e) && letterO.MatchString(strings.TrimSpace(text)) {
		e.Hint = "is the letter O in the number meant as the digit 0?"
	}
	return v, err
}

// letterO is a number with a letter that looks like a digit.
var letterO = regexp.MustCompile(`^[-+]?([0-9][0-9.,]*[oO]|[oO][.,]?[0-9])[0-9.,oO]*(\s|$)`)

func parse(text string, want Quantity) (Value, error) {
	digits, tens, rest, err := splitNumber(text, want)
	if err != nil {
		return Value{}, err
	}
	typed, err := compile(rest)
	if err != nil {
		if e, ok := err.(*Error); ok {
			return Value{}, e
		}
		return Value{}, &Error{Message: err.Error()}
	}
	number := digits
	if tens != 0 {
		number += "e" + strconv.Itoa(tens)
	}
	if err := check(typed, rest, number, want); err != nil {
		return Value{}, err
	}
	x, err := strconv.ParseFloat(digits+"e"+strconv.Itoa(tens+typed.tens), 64)
	if err != nil {
		return Value{}, &Error{Message: "the number is too large"}
	}
	x *= typed.scale.Value()
	if want == Temperature {
		x += typed.alone.zero
		if x < 0 {
			return Value{}, &Error{Message: "the temperature is below absolute zero"}
		}
	}
	if math.IsInf(x, 0) {
		return Value{}, &Error{Message: "the number is too large"}
	}
	return Value{SI: x, Typed: text, Unit: rest}, nil
}

// quantityHint is a quantity of ordinary size.
func quantityHint(q Quantity) string {
	number := "1"
	switch q {
	case Number:
		return "for instance 0.14"
	case "N*m":
		number = "0.70"
	case Temperature:
		number = "55"
	}
	return fmt.Sprintf("a quantity is a number and a unit, %q", number+" "+Example(q))
}

// numerals are digits with whatever decimal signs stand between them.
var numerals = regexp.MustCompile(`[0-9][0-9.,]*[0-9]`)

// DecimalPoint writes the decimal commas of a text as points where nothing else can be meant: one comma in a number, and no three
// digits behind it that may be thousands. What is left is for Parse to refuse.
func DecimalPoint(text string) string {
	return numerals.ReplaceAllStringFunc(text, func(found string) string {
		whole, behind, _ := strings.Cut(found, ",")
		if strings.ContainsAny(whole+behind, ".,") && strings.Contains(found, ",") || len(behind) == 3 && whole != "0" {
			return found
		}
		return strings.Replace(found, ",", ".", 1)
	})
}

func splitNumber(text string, want Quantity) (digits string, tens int, rest string, err error) {
	if len(text) > maxLength {
		return "", 0, "", &Error{Message: fmt.Sprintf("a quantity has at most %d characters", maxLength)}
	}
	m := number.FindStringSubmatch(strings.ReplaceAll(text, "−", "-"))
	switch {
	case m == nil:
		return "", 0, "", &Error{
			Message: "no number is found at the start",
			Hint:    quantityHint(want),
		}
	case strings.HasPrefix(m[3], ","):
		return "", 0, "", &Error{Message: "a comma stands in the number", Hint: "the decimal sign is a point, and thousands are not separated"}
	case m[3] != "":
		return "", 0, "", &Error{Message: "the number cannot be read"}
	}
	tens, _ = strconv.Atoi(m[2]) // at most four digits; empty is 0
	return m[1], tens, strings.TrimSpace(strings.ReplaceAll(text, "−", "-")[len(m[0]):]), nil
}

// check holds the unit that was typed against the quantity expected.
func check(typed compiled, text, digits string, want Quantity) error {
	wanted := want.compiled()
	switch {
	case text == "" && want != Number:
		return &Error{Message: "the unit is missing", Hint: fmt.Sprintf("for instance %q", digits+" "+Example(want)), number: digits}
	case !unit.DimensionsMatch(typed.scale, wanted.scale):
		return &Error{Message: fmt.Sprintf("%s is no unit of %s", text, name(want)), Hint: mismatchHint(text, want, wanted)}
	case want == Temperature && (typed.alone == nil || typed.alone.difference):
		return &Error{Message: text + " is a temperature difference, expected a temperature", Hint: "temperatures are in degC, degF or K"}
	case want != Temperature && typed.alone != nil && typed.alone.scale:
		return &Error{
			Message: text + " is a temperature, expected a temperature difference",
			Hint:    fmt.Sprintf("write %q", digits+" "+DifferenceUnit(text)),
		}
	}
	return nil
}

// mismatchHint tries what people mean by kg, lb, oz or g in a force.
func mismatchHint(text string, want Quantity, wanted compiled) string {
	for _, force := range []string{"lbf", "kgf", "ozf"} {
		meant := strings.Replace(text, strings.TrimSuffix(force, "f"), force, 1)
		if c, err := compile(meant); err == nil && unit.DimensionsMatch(c.scale, wanted.scale) {
			return "did you mean " + meant + "?"
		}
	}
	switch {
	case want == "m/s2" && text == "g":
		return "did you mean gn?"
	case want == Number:
		return "write the number alone"
	}
	return fmt.Sprintf("for instance %s", Example(want))
}

// Conversion returns the conversion of numbers in a unit to SI values of q. All
// units are linear, some with a zero of their own. Errors are those of Parse.
func Conversion(unit string, q Quantity) (func(x float64) float64, error) {
	zero, err := Parse("0 "+unit, q)
	if err != nil {
		return nil, err
	}
	one, err := Parse("1 "+unit, q)
	if err != nil {
		return nil, err
	}
	return func(x float64) float64 { return zero.SI + x*(one.SI-zero.SI) }, nil
}

// Between converts numbers from one unit to another of the same quantity.
func Between(from, to string) (func(x float64) float64, error) {
	quantity := QuantityOf(to)
	own, err := Conversion(to, quantity)
	if err != nil {
		return nil, err
	}
	other, err := Conversion(from, quantity)
	if err != nil || own(0) == other(0) && own(1) == other(1) {
		return func(x float64) float64 { return x }, err // the same unit spelt another way
	}
	return func(x float64) float64 { return (other(x) - own(0)) / (own(1) - own(0)) }, nil
}

// QuantityOf is what a known unit measures, in the words of package
func QuantityOf(unit string) Quantity {
	if _, err := Parse("1 "+unit, Temperature); err == nil {
		return Temperature
	}
	return Quantity(unit)
}

// Within is the error with a unit that puts the number in the first range that one does, where the unit is what is missing.
// Of a range from 0, or from below, what is under a hundredth of its end counts as outside: an altitude in mm.
func (e *Error) Within(q Quantity, ranges ...[2]float64) *Error {
	if e.number == "" {
		return e
	}
	for _, r := range ranges {
		low := r[0]
		if low <= 0 {
			low = r[1] / 100
		}
		for _, unit := range unitsOf(q) {
			if v, err := Parse(e.number+" "+unit, q); err == nil && v.SI >= low && v.SI <= r[1] {
				return &Error{Message: e.Message, Hint: fmt.Sprintf("for instance %q", v.Typed)}
			}
		}
	}
	return &Error{Message: e.Message, Hint: "for instance in " + strings.Join(unitsOf(q), ", ")}
}

// unitsOf are the usual units of a quantity.
func unitsOf(q Quantity) []string {
	for _, u := range usual {
		if u.Quantity == q {
			return u.Units
		}
	}
	return []string{Example(q)}
}
