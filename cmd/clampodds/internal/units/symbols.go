package units

import (
	"regexp"
	"strings"

	"gonum.org/v1/gonum/unit"
)

// symbol is one unit: SI value = number * factor * 10^tens (+ zero).
type symbol struct {
	factor     float64 // exact where the definition is
	tens       int
	dimensions unit.Dimensions
	prefixes   bool // takes SI prefixes
	inch       bool // belongs to the inch-pound system
	// zero is the value of 0 on a temperature scale, K.
	zero float64
	// scale marks degC and degF, which alone are a temperature and never a
	// difference; difference marks the opposite.
	scale, difference bool
}

var (
	length       = unit.Dimensions{unit.LengthDim: 1}
	mass         = unit.Dimensions{unit.MassDim: 1}
	duration     = unit.Dimensions{unit.TimeDim: 1}
	angle        = unit.Dimensions{unit.AngleDim: 1}
	temperature  = unit.Dimensions{unit.TemperatureDim: 1}
	acceleration = unit.Dimensions{unit.LengthDim: 1, unit.TimeDim: -2}
	force        = unit.Dimensions{unit.MassDim: 1, unit.LengthDim: 1, unit.TimeDim: -2}
	pressure     = unit.Dimensions{unit.MassDim: 1, unit.LengthDim: -1, unit.TimeDim: -2}
	energy       = unit.Dimensions{unit.MassDim: 1, unit.LengthDim: 2, unit.TimeDim: -2}
	power        = unit.Dimensions{unit.MassDim: 1, unit.LengthDim: 2, unit.TimeDim: -3}
)

// Conversion factors: exact by definition (BIPM, The International System of
// Units, 9th edition 2019; NIST SP 811, 2008, appendix B), except psi and ksi,
// which are the quotient of exact numbers.
const (
	poundForce     = 4.4482216152605      // N
	squareInch     = 0.0254 * 0.0254      // m2
	radianOfDegree = 0.017453292519943295 // pi/180
)

// symbols are the units without their prefixes. The table is never changed.
var symbols = map[string]symbol{
	"m":   {factor: 1, dimensions: length, prefixes: true},
	"g":   {factor: 1, tens: -3, dimensions: mass, prefixes: true},
	"s":   {factor: 1, dimensions: duration, prefixes: true},
	"N":   {factor: 1, dimensions: force, prefixes: true},
	"Pa":  {factor: 1, dimensions: pressure, prefixes: true},
	"W":   {factor: 1, dimensions: power, prefixes: true},
	"J":   {factor: 1, dimensions: energy, prefixes: true},
	"K":   {factor: 1, dimensions: temperature, prefixes: true},
	"rad": {factor: 1, dimensions: angle, prefixes: true},
	"bar": {factor: 1, tens: 5, dimensions: pressure, prefixes: true},

	"kgf": {factor: 9.80665, dimensions: force},
	"gn":  {factor: 9.80665, dimensions: acceleration},
	"h":   {factor: 3600, dimensions: duration},
	"atm": {factor: 101325, dimensions: pressure},
	"deg": {factor: radianOfDegree, dimensions: angle},

	"in":  {factor: 254, tens: -4, dimensions: length, inch: true},
	"mil": {factor: 254, tens: -7, dimensions: length, inch: true},
	"uin": {factor: 254, tens: -10, dimensions: length, inch: true},
	"ft":  {factor: 3048, tens: -4, dimensions: length, inch: true},
	"kft": {factor: 3048, tens: -1, dimensions: length, inch: true},
	"lb":  {factor: 0.45359237, dimensions: mass, inch: true},
	"oz":  {factor: 0.45359237 / 16, dimensions: mass, inch: true},
	"lbf": {factor: poundForce, dimensions: force, inch: true},
	"ozf": {factor: poundForce / 16, dimensions: force, inch: true},
	"psi": {factor: poundForce / squareInch, dimensions: pressure, inch: true},
	"ksi": {factor: poundForce / squareInch, tens: 3, dimensions: pressure, inch: true},
	"Btu": {factor: 1055.05585262, dimensions: energy, inch: true},

	"1":   {factor: 1},
	"%":   {factor: 1, tens: -2},
	"ppm": {factor: 1, tens: -6},

	"degC":  {factor: 1, dimensions: temperature, zero: 273.15, scale: true},
	"degF":  {factor: 5. / 9, dimensions: temperature, zero: 459.67 * 5 / 9, scale: true, inch: true},
	"dK":    {factor: 1, dimensions: temperature, difference: true},
	"ddegC": {factor: 1, dimensions: temperature, difference: true},
	"ddegF": {factor: 5. / 9, dimensions: temperature, difference: true, inch: true},
}

var prefixes = map[byte]int{'G': 9, 'M': 6, 'k': 3, 'h': 2, 'c': -2, 'm': -3, 'u': -6, 'n': -9}

// poundsAtALength are the ways to write a torque in which lb is the force: in-lbs, ft·lb, lb-in, inch pounds. A mass
// times a length is no quantity of this tool; a moment of inertia, lb*in2, is left alone.
var poundsAtALength = regexp.MustCompile(`(?i)^(?:(in|ft|inch|inches|foot|feet)[ .*-]{0,2}(lb|oz|pound|ounce)s?|(lb|oz|pound|ounce)s?[ .*-]{0,2}(in|ft|inch|inches|foot|feet))$`)

// torqueInPounds writes them out: in*lbf.
func torqueInPounds(text string) string {
	m := poundsAtALength.FindStringSubmatch(text)
	if m == nil {
		return text
	}
	arm, weight := "in", "lbf"
	if strings.HasPrefix(strings.ToLower(m[1]+m[4]), "f") {
		arm = "ft"
	}
	if strings.HasPrefix(strings.ToLower(m[2]+m[3]), "o") {
		weight = "ozf"
	}
	return arm + "*" + weight
}

// resistance is the unit of a data sheet's thermal resistance: nothing but a kelvin, as a difference, is meant by a C over a watt.
var resistance = regexp.MustCompile(`^C ?/ ?W$`)

// spellings turns the other ways to write a unit into the table's.
var spellings = strings.NewReplacer(
	"delta ", "d", "Δ", "d", "∆", "d",
	"deg C", "degC", "deg F", "degF", "°C", "degC", "℃", "degC", "°F", "degF", "℉", "degF", "°", "deg",
	"µ", "u", "μ", "u", "thou", "mil", "g0", "gn", "BTU", "Btu",
	"²", "2", "³", "3", "⁻", "-", "−", "-", "·", "*", "×", "*", "⋅", "*",
)

// find looks a symbol up, with or without prefix.
func find(name string) (symbol, bool) {
	if s, ok := symbols[name]; ok {
		return s, true
	}
	if len(name) < 2 {
		return symbol{}, false
	}
	tens, known := prefixes[name[0]]
	s, ok := symbols[name[1:]]
	if !known || !ok || !s.prefixes {
		return symbol{}, false
	}
	s.tens += tens
	return s, true
}

// misspellings are symbols that people do write, and what they should have
// written. The table is never changed.
var misspellings = map[string]string{
	"C": "degrees Celsius are degC", "c": "degrees Celsius are degC", "degc": "degrees Celsius are degC",
	"F": "degrees Fahrenheit are degF", "f": "degrees Fahrenheit are degF",
	"lbs": "the pound is lb as mass, lbf as force", "lbm": "the pound is lb as mass, lbf as force",
	"inch": "the inch is in", "inches": "the inch is in",
	"micron": "the micrometre is um", "microns": "the micrometre is um",
	"k": "the kelvin is K", "kelvin": "the kelvin is K",
	"n": "the newton is N", "w": "the watt is W", "watt": "the watt is W", "watts": "the watt is W",
	"G": "the acceleration of gravity is gn", "g's": "the acceleration of gravity is gn",
	"nm": "the newton metre is N*m", "NM": "the newton metre is N*m",
	"Mpa": "the megapascal is MPa", "mpa": "the megapascal is MPa", "pa": "the pascal is Pa",
}
