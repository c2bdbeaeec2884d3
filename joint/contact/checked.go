package contact

import (
	"errors"
	"fmt"
)

// Sizes of a face that NewFace accepts. A length in millimetres is beyond them.
const (
	leastSize = 1e-4 // m
	mostSize  = 1.0  // m
	mostOff   = 1e-3 // m, crown and taper
)

// NewFace checks the geometry of a face without bow: length along and width across the
// clamp 0.1 mm to 1 m, crown and taper 0 to 1 mm, all in m. The error names what lies
// outside.
func NewFace(length, width, crown, taper float64) (Face, error) {
	for _, c := range [...]struct {
		name      string
		value     float64
		low, high float64
	}{{"length", length, leastSize, mostSize}, {"width", width, leastSize, mostSize}, {"crown", crown, 0, mostOff}, {"taper", taper, 0, mostOff}} {
		if !(c.value >= c.low && c.value <= c.high) {
			return Face{}, fmt.Errorf("face: %w", rangeError(c.name, c.value, "m", c.low, c.high))
		}
	}
	return Face{Length: length, Width: width, Crown: crown, Taper: taper}, nil
}

// Press returns the conductance of a face under a force (N, up to 1e7), checked: pair, gas
// and face must come from NewPair, NewGasState and NewFace, the contact factor (1 where
// the model is taken at its word) lie in 0.01 to 100. Evaluate says how it is computed.
func Press(pair *Pair, gas GasState, face Face, force, contactFactor float64) (Evaluation, error) {
	switch {
	case !(pair.Conductivity > 0):
		return Evaluation{}, errors.New("pair: not from NewPair")
	case !(gas.Radiation > 0):
		return Evaluation{}, errors.New("gas: not from NewGasState")
	case !(force >= 0 && force <= 1e7):
		return Evaluation{}, rangeError("force", force, "N", 0, 1e7)
	case !(contactFactor >= 0.01 && contactFactor <= 100):
		return Evaluation{}, rangeError("contact factor", contactFactor, "", 0.01, 100)
	}
	if _, err := NewFace(face.Length, face.Width, face.Crown, face.Taper); err != nil {
		return Evaluation{}, err
	}
	var c Evaluation
	Evaluate(pair, &gas, &face, force, contactFactor, &c)
	return c, nil
}
