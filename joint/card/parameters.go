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

// String returns "card", "edge" or "face".
func (s Scope) String() string {
	switch s {
	case PerCard:
		return "card"
	case PerEdge:
		return "edge"
	case PerFace:
		return "face"
	}
	return "unknown scope"
}

// Parameter describes one scalar input of the model. The table is the single
// place that knows a parameter's key, unit and allowed range; the study file,
// the input check and the reports read it from here.
type Parameter struct {
	// Key is the study key, "screw.torque".
	Key   string
	Scope Scope
	// Drawn is the scope of one draw where the study does not say how widely it is
	// shared; unset: Scope.
	Drawn Scope
	// Unit is the SI unit the model takes, in the notation of the study file:
	// "N*m", "m", "Pa", "K" (temperature), "dK" (difference), "W", "K/W", "m2K/W", "W/mK", "rad",
	// "kg", "m/s2", "1/K", "m2", "1".
	Unit string
	// Low and High are the allowed range, both ends included. A constant
	// outside is refused; a drawn value outside is moved to the nearer end and
	// counted (event.outside_range).
	Low, High float64
	// UsualLow and UsualHigh are what practice shows; a value outside is
	// worth a warning. Both zero: no usual range is known.
	UsualLow, UsualHigh float64
	// Default stands when the study leaves the key out; NaN: the key is
	// required (or comes from a material or thread table).
	Default float64
	// Zero says what the constant 0 stands for when it is not a quantity
	// ("not judged"); 0 is then allowed whatever Low is.
	Zero string
	// Meaning is one line for people.
	Meaning string

	fourFace bool // exists for the four-face family only
}

// Required reports whether the parameter has no default.
func (p *Parameter) Required() bool { return math.IsNaN(p.Default) }

// allows reports whether v may be given as a constant.
func (p *Parameter) allows(v float64) bool {
	return v >= p.Low && v <= p.High || v == 0 && p.Zero != ""
}

var required = math.NaN()

// inTheMiddle is the place of heat for which the study gives none.
const inTheMiddle = 0.5
