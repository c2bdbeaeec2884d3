// Package units reads and writes quantities with their units: "0.70 N*m",
// "6 in*lbf", "25 um", "85 degC". It is the one place where a unit is converted;
// behind it every number is a float64 in SI units.
//
// A quantity is a number, then a unit. The number has a decimal point, never a
// comma. The unit is built from symbols:
//
//   - metric, with the prefixes G, M, k, h, c, m, u (also µ), n: m, g, s, N, Pa, W,
//     J, K, rad, bar;
//   - metric without prefix: kgf, gn (standard acceleration, also g0), h, atm, deg (also °);
//   - inch-pound: in, ft, mil (also thou), uin, kft, lb, oz, lbf, ozf, psi, ksi, Btu;
//   - pure numbers: 1, %, ppm;
//   - temperatures: K, degC (also °C), degF (also °F);
//   - temperature differences: K, dK, "delta degC" (also ddegC, Δ°C), "delta degF".
//
// Symbols are multiplied with *, ·, ., a hyphen or a space (N*m, in-lbf, in lbf)
// and carry powers (m2, m^2, m², s-2). In a torque lb and oz are forces: in-lbs, ft·lb, oz-in. Everything after a slash divides: W/mK,
// W/m·K and W/(m*K) are the same. Nm stands for N*m, Ncm for N*cm, and mK directly behind a
// slash for m*K.
//
// Dimensions are checked. A temperature and a temperature difference are told
// apart: a temperature takes K, degC or degF; a difference takes K or one of the
// delta forms, and "5 degC" is refused there, because it may be either. Inside a
// compound unit (degC/W, 1/degF) a degree is always a difference.
//
// All functions are safe for concurrent use.
package units

import (
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/gonum/unit"
)

// Quantity names what is measured by its SI unit, in the notation of the package
// comment: "N*m", "m", "W/mK", "1". "K" is a temperature, "dK" a temperature
// difference.
type Quantity string

// The quantities with a meaning of their own in this package.
const (
	Number                Quantity = "1"
	Temperature           Quantity = "K"
	TemperatureDifference Quantity = "dK"
)

// Difference returns the quantity that a difference of two values of q is: a
// temperature difference for a temperature, q itself otherwise.
func (q Quantity) Difference() Quantity {
	if q == Temperature {
		return TemperatureDifference
	}
	return q
}

// DifferenceUnit is the unit in which a difference of two temperatures in a unit is written: K of degC, "delta degF" of degF.
func DifferenceUnit(unit string) string {
	switch plain := strings.TrimSpace(spellings.Replace(unit)); plain {
	case "K", "degC":
		return "K"
	default:
		return "delta " + plain
	}
}

// compiled reads q itself as a unit. An unreadable quantity is a caller's bug
// and panics.
func (q Quantity) compiled() compiled {
	c, err := compile(string(q))
	if err != nil {
		panic(fmt.Sprintf("units: %q is no quantity: %v", string(q), err))
	}
	return c
}

// Value is a quantity as understood.
type Value struct {
	// SI is the value in the SI unit of the quantity that was asked for.
	SI float64
	// Typed is the text the value came from, without surrounding space, and Unit
	// the unit in it.
	Typed, Unit string
}

// Error says what is wrong with a text and what to write instead.
type Error struct {
	Message string
	// Hint may be empty.
	Hint string

	number string // that has no unit, where that is what is wrong
}

// Error returns the message, with the hint in brackets behind it.
func (e *Error) Error() string {
	if e.Hint == "" {
		return e.Message
	}
	return e.Message + " (" + e.Hint + ")"
}

// compiled is a unit expression: SI value = number * 10^tens * scale.Value().
// Powers of ten are kept apart so that "35 um" is the float64 nearest to 35e-6.
type compiled struct {
	scale *unit.Unit
	tens  int
	// alone is the symbol when the expression is nothing but that symbol.
	alone *symbol
	// inch marks a unit of the inch-pound system.
	inch bool
}

// Known reports whether text is a unit of any quantity, "N*m" or "degC".
func Known(text string) bool {
	_, err := compile(text)
	return err == nil
}

// UsualUnits are ways to write the units of one quantity.
type UsualUnits struct {
	Quantity Quantity
	Name     string // in words
	Units    []string
}

// usual units, in the order of the steps of the model; a test parses each.
var usual = []UsualUnits{
	{Quantity: "N*m", Units: []string{"N*m", "Nm", "N·m", "cNm", "kgf*cm", "in*lbf", "in-lbs", "ft*lbf", "oz-in"}},
	{Quantity: "N", Units: []string{"N", "kN", "kgf", "lbf"}},
	{Quantity: "m", Units: []string{"mm", "um", "µm", "m", "in", "mil", "thou", "uin", "ft", "kft", "km"}},
	{Quantity: "m2", Units: []string{"mm2", "mm²", "m2", "in2"}},
	{Quantity: "Pa", Units: []string{"MPa", "GPa", "N/mm2", "kPa", "hPa", "bar", "atm", "psi", "ksi"}},
	{Quantity: Temperature, Units: []string{"degC", "°C", "K", "degF", "°F"}},
	{Quantity: TemperatureDifference, Units: []string{"K", "delta degC", "Δ°C", "delta degF"}},
	{Quantity: "W", Units: []string{"W", "mW", "kW", "Btu/h"}},
	{Quantity: "K/W", Units: []string{"K/W", "degC/W", "mK/W"}},
	{Quantity: "m2K/W", Units: []string{"mm2*K/W", "m2*K/W"}},
	{Quantity: "W/mK", Units: []string{"W/mK", "W/(m*K)", "Btu/(h*ft*degF)"}},
	{Quantity: "W/m2K", Units: []string{"W/m2K", "W/(m2*K)"}},
	{Quantity: "rad", Units: []string{"deg", "°", "rad", "mrad"}},
	{Quantity: "kg", Units: []string{"g", "kg", "lb", "oz"}},
	{Quantity: "m/s2", Units: []string{"gn", "g0", "m/s2"}},
	{Quantity: "s", Units: []string{"h", "s"}},
	{Quantity: "1/K", Units: []string{"ppm/K", "1/K", "um/(m*K)"}},
	{Quantity: Number, Units: []string{"none", "%", "ppm"}},
}

// Usual lists the quantities with ways to write their units.
func Usual() []UsualUnits {
	list := slices.Clone(usual)
	for i := range list {
		list[i].Name = name(list[i].Quantity)
	}
	return list
}
