package study

import (
	"math"
	"strings"

	"clampodds/dist"
	"clampodds/joint/card"
	"clampodds/joint/contact"
	"clampodds/sim"
)

// The model error: ln standard deviations of the contact factor, with slope and
// hardness from correlations and tables or both measured, and of the face factor
// (this project's judgement of the spread between the published correlations and
// tests; joint/contact has the sources).
const (
	contactFactorSpread         = 0.35
	contactFactorSpreadMeasured = 0.12
	faceFactorSpread            = 0.10
)

// standard gives the inputs whose default is more than a number of the table of
// parameters: the factors of model error and what depends on the gas.
func (r *reader) standard(p card.Parameter, l *card.Layout) (Input, bool) {
	in := Input{Key: p.Key, Parameter: p, Origin: Default, Nominal: 1}
	switch p.Key {
	case "contact.factor":
		in.Level, in.Knowledge = sim.Design, true
		if r.surfacesMeasured() {
			in.Dist, in.Typed = factor(contactFactorSpreadMeasured), "lognormal, median 1, sigma_ln 0.12"
			in.Source = "model error with slope and hardness of all faces given"
		} else {
			in.Dist, in.Typed = factor(contactFactorSpread), "lognormal, median 1, sigma_ln 0.35"
			in.Source = "model error with slope or hardness from correlations and tables"
		}
	case "contact.face_factor":
		in.Level = sim.Face
		in.Dist, in.Typed = factor(faceFactorSpread), "lognormal, median 1, sigma_ln 0.10"
		in.Source = "model error from face to face"
	case "gas.accommodation":
		if l.Gas == contact.Vacuum {
			return Input{}, false // no gas looks at it: the default of the table
		}
		in.Nominal = l.Gas.Accommodation()
		in.Source = "default of the gas"
	default:
		return Input{}, false
	}
	return in, true
}

// factor is a lognormal factor of median 1.
func factor(spread float64) dist.Distribution { return dist.Must(dist.NewLognormal(1, spread)) }

// surfacesMeasured reports whether the study gives slope and hardness of every
// body, and of its coat, itself.
func (r *reader) surfacesMeasured() bool {
	for _, body := range bodies {
		for _, property := range []string{".slope", ".hardness"} {
			_, both := r.entries[body+property]
			_, apart := r.entries[join(body+property, sides[0])] // and then the right one
			if !both && !apart {
				return false
			}
		}
		if r.tableHardness(body) {
			return false
		}
	}
	return true
}

// bodies are the tables that have a material and a surface.
var bodies = []string{"clamp", "flange", "rail"}

// rmsOfRa turns an arithmetic mean roughness into the rms value, for Gaussian
// heights: sqrt(pi/2).
var rmsOfRa = math.Sqrt(math.Pi / 2)

// roughnessFactor is what the values of a key are multiplied with: rmsOfRa for a
// roughness that the study states as Ra, 1 otherwise.
func (r *reader) roughnessFactor(key string) float64 {
	if !strings.HasSuffix(key, ".roughness") {
		return 1
	}
	if e, ok := r.entries["surface.roughness_as"]; ok && e.value == "Ra" {
		return rmsOfRa
	}
	return 1
}
