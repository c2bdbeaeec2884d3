package units

import (
	"math"
	"strconv"
	"strings"
)

// choice is a unit for people, used from the magnitude Above on.
type choice struct {
	above float64
	unit  string
}

// readable says how a quantity is called, the unit of an example and of a zero,
// and which units people read it in: metric and inch-pound, each from the largest
// magnitude down.
type readable struct {
	name, usual  string
	metric, inch []choice
}

// readables is never changed.
var readables = map[Quantity]readable{
	"1":                   {"a pure number", "", []choice{{0, ""}}, nil},
	Temperature:           {"temperature", "degC", []choice{{0, "degC"}}, []choice{{0, "degF"}}},
	TemperatureDifference: {"temperature difference", "K", []choice{{0, "K"}}, []choice{{0, "ddegF"}}},
	"m":                   {"length", "mm", []choice{{1e3, "km"}, {1, "m"}, {1e-4, "mm"}, {1e-6, "um"}, {0, "nm"}}, []choice{{3.048, "ft"}, {254e-6, "in"}, {0, "mil"}}},
	"m2":                  {"area", "mm2", []choice{{1, "m2"}, {0, "mm2"}}, []choice{{0, "in2"}}},
	"N*m":                 {"torque", "N*m", []choice{{0, "N*m"}}, []choice{{0, "in*lbf"}}},
	"N":                   {"force", "N", []choice{{1e5, "kN"}, {0, "N"}}, []choice{{0, "lbf"}}},
	"Pa":                  {"pressure", "MPa", []choice{{1e9, "GPa"}, {1e6, "MPa"}, {1e3, "kPa"}, {0, "Pa"}}, []choice{{1e8, "ksi"}, {0, "psi"}}},
	"W":                   {"power", "W", []choice{{0, "W"}}, nil},
	"K/W":                 {"thermal resistance", "K/W", []choice{{0, "K/W"}}, nil},
	"W/K":                 {"thermal conductance", "W/K", []choice{{0, "W/K"}}, nil},
	"m2K/W":               {"thermal resistance of an area", "mm2*K/W", []choice{{1e-4, "m2*K/W"}, {0, "mm2*K/W"}}, nil},
	"W/mK":                {"thermal conductivity", "W/(m*K)", []choice{{0, "W/(m*K)"}}, nil},
	"W/m2K":               {"heat transfer coefficient", "W/(m2*K)", []choice{{0, "W/(m2*K)"}}, nil},
	"rad":                 {"angle", "deg", []choice{{0, "deg"}}, nil},
	"kg":                  {"mass", "g", []choice{{1, "kg"}, {0, "g"}}, []choice{{0, "lb"}}},
	"m/s2":                {"acceleration", "gn", []choice{{0, "m/s2"}}, []choice{{0, "gn"}}},
	"s":                   {"time", "h", []choice{{3600, "h"}, {0, "s"}}, nil},
	"1/K":                 {"expansion coefficient", "ppm/K", []choice{{0, "ppm/K"}}, nil},
}

// name is the quantity in words.
func name(q Quantity) string {
	if r, ok := readables[q]; ok {
		return r.name
	}
	return string(q)
}

// Example returns a unit that Parse takes for q, for hints.
func Example(q Quantity) string {
	if r, ok := readables[q]; ok {
		return r.usual
	}
	return string(q)
}

// Readable converts si, a value of quantity q, to a unit for people and returns
// that number and the unit as it is printed ("N·m", "µm", "°C"; empty for a pure
// number). like is a quantity or a unit as typed somewhere in the study, or
// empty: its unit is used when it fits q, and its system of units, metric or
// inch-pound, when it does not. A quantity that this package does not list is
// given in its SI unit.
func Readable(si float64, q Quantity, like string) (value float64, printed string) {
	printed, convert := Shown(si, q, like)
	return convert(si), printed
}

// Shown returns the unit that Readable prints si in, and the conversion from SI
// units to it, for other values of the same quantity.
func Shown(si float64, q Quantity, like string) (printed string, convert func(si float64) float64) {
	text, c := choose(si, q, like)
	zero := 0.
	if q == Temperature && c.alone != nil {
		zero = c.alone.zero
	}
	return pretty(text), func(si float64) float64 {
		value := (si - zero) / c.scale.Value()
		if c.tens < 0 {
			return value * math.Pow10(-c.tens) // an exact power of ten
		}
		return value / math.Pow10(c.tens)
	}
}

// Format is Readable in one string, "0.7 N·m", with at most five digits. Parse
// reads it back, to that precision.
func Format(si float64, q Quantity, like string) string {
	value, printed := Readable(si, q, like)
	return strings.TrimSpace(plain(value) + " " + printed)
}

// choose finds the unit to print in.
func choose(si float64, q Quantity, like string) (string, compiled) {
	_, _, rest, err := splitNumber(strings.TrimSpace(like), Number)
	if err != nil {
		rest = like
	}
	system, err := compile(rest)
	if err == nil && rest != "" && check(system, rest, "", q) == nil {
		return rest, system
	}
	r, ok := readables[q]
	if !ok {
		return string(q), q.compiled()
	}
	choices := r.metric
	if err == nil && system.inch && r.inch != nil {
		choices = r.inch
	}
	text := choices[len(choices)-1].unit
	if si == 0 && !system.inch {
		text, choices = r.usual, nil
	}
	for _, c := range choices {
		if math.Abs(si) >= c.above*(1-1e-9) { // so that 1 mm, off by rounding, stays 1 mm
			text = c.unit
			break
		}
	}
	c, _ := compile(text)
	return text, c
}

// prettier prints a unit as it is set in a report.
var prettier = strings.NewReplacer("/mK", "/(m·K)", "Nm", "N·m", "Ncm", "N·cm", "*", "·", "ddegC", "K", "ddegF", "Δ°F", "dK", "K", "delta degC", "K",
	"delta degF", "Δ°F", "degC", "°C", "degF", "°F", "um", "µm", "uW", "µW", "^", "", "2", "²", "3", "³")

func pretty(text string) string { return prettier.Replace(text) }

// plain writes a number with at most five digits, without a power of ten where
// that can be read.
func plain(x float64) string {
	if a := math.Abs(x); a != 0 && (a < 1e-4 || a >= 1e7) || math.IsNaN(x) || math.IsInf(x, 0) {
		return strconv.FormatFloat(x, 'g', 5, 64)
	}
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 5, 64), 64)
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}
