package card

import "math"

// Scope is the finest level at which a parameter can differ: one value per
// card, per edge of a card, or per contact face of an edge.
type Scope int

// The scopes.
const (
	PerCard Scope = iota + 1
	PerEdge
	PerFace
)

// Parameter describes one scalar input of the model. The table is the single
// place that knows a parameter's key, unit and allowed range; the study file,
// the input check and the reports read it from here.
type Parameter struct {
	// Key is the study key, "screw.torque".
	Key   string
	Scope Scope
	// Unit is the SI unit the model takes, in the notation of the study file:
	// "N*m", "m", "Pa", "K" (temperature), "dK" (temperature difference),
	// "W", "K/W", "m2K/W", "W/mK", "rad", "kg", "m/s2", "1/K", "m2", "1".
	Unit string
	// Low and High are the allowed range, both ends included; a value outside
	// is refused.
	Low, High float64
	// UsualLow and UsualHigh are what practice shows; a value outside is
	// warned about. Both zero: no usual range is known.
	UsualLow, UsualHigh float64
	// Default stands when the study leaves the key out; NaN: the key is
	// required (or comes from a material or thread table).
	Default float64
	// Meaning is one line for people.
	Meaning string
}

var required = math.NaN()
