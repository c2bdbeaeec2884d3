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

// Index of each per-card parameter within the input vector; the components'
// powers, resistances and places follow.
const (
	contactFactor = iota
	gasPressure
	gasAltitude
	gasAccommodation
	jointTemperature
	cardPower
	cardMass
	cardAcceleration
	cardPlace
	cardParameters
)

// cardTable describes the per-card parameters, in the order of their indices.
func cardTable(components []string) []Parameter {
	table := []Parameter{
		contactFactor:    {Key: "contact.factor", Unit: "1", Low: 0.02, High: 50, UsualLow: 0.3, UsualHigh: 3, Default: 1, Meaning: "factor on every contact conductance: what the correlations do not know, the same for all faces"},
		gasPressure:      {Key: "gas.pressure", Unit: "Pa", Low: 1e-3, High: 1e7, UsualLow: 1e3, UsualHigh: 1.1e5, Default: 0, Zero: "taken from the altitude", Meaning: "pressure of the gas in the gaps"},
		gasAltitude:      {Key: "gas.altitude", Unit: "m", Low: -2000, High: 30000, UsualLow: -400, UsualHigh: 21000, Default: 0, Meaning: "geopotential altitude whose standard pressure is in the gaps, when no pressure is given"},
		gasAccommodation: {Key: "gas.accommodation", Unit: "1", Low: 0.01, High: 1, UsualLow: 0.3, UsualHigh: 0.95, Default: 0, Zero: "that of the gas", Meaning: "thermal accommodation coefficient of gas on metal"},
		jointTemperature: {Key: "joint.temperature", Unit: "K", Low: 150, High: 500, UsualLow: 220, UsualHigh: 400, Default: 0, Zero: "that of the cold wall", Meaning: "temperature of the joint, for the gas and for the screw's preload"},
		cardPower:        {Key: "card.power", Unit: "W", Low: 0, High: 1e4, UsualLow: 1, UsualHigh: 300, Default: required, Meaning: "heat of the card besides the listed components"},
		cardMass:         {Key: "card.mass", Unit: "kg", Low: 1e-3, High: 100, UsualLow: 0.1, UsualHigh: 5, Default: 0, Zero: notJudged, Meaning: "mass that the clamps hold against sliding"},
		cardAcceleration: {Key: "card.acceleration", Unit: "m/s2", Low: 0.1, High: 1e6, UsualLow: 10, UsualHigh: 2000, Default: 0, Zero: notJudged, Meaning: "acceleration that the clamps hold against"},
		cardPlace:        placeOf("card.place", "the card's remaining heat"),
	}
	for _, name := range components {
		table = append(table,
			Parameter{Key: "component." + name + ".power", Unit: "W", Low: 0, High: 1e4, UsualLow: 0.1, UsualHigh: 150, Default: required, Meaning: "heat of " + name},
			Parameter{Key: "component." + name + ".resistance", Unit: "K/W", Low: 1e-6, High: 1e4, UsualLow: 0.05, UsualHigh: 50, Default: required, Meaning: "thermal resistance from " + name + " to the card's frame"},
			placeOf("component."+name+".place", name))
	}
	for i := range table {
		table[i].Scope = PerCard
	}
	return table
}

func placeOf(key, what string) Parameter {
	return Parameter{Key: key, Unit: "1", Low: 0, High: 1, Default: inTheMiddle, Meaning: "place of " + what + " across the card, 0 at the left edge, 1 at the right"}
}

// ofComponent is the number of parameters of a component; the three functions
// below are the indices of those of component i.
const ofComponent = 3

func componentPower(i int) int      { return cardParameters + ofComponent*i }
func componentResistance(i int) int { return cardParameters + ofComponent*i + 1 }
func componentPlace(i int) int      { return cardParameters + ofComponent*i + 2 }
