package contact

import (
	"fmt"
	"math"
)

// SlopeFromRoughness returns the mean absolute asperity slope of a machined
// surface of rms roughness sigma (m): m = 0.076 (sigma/1 um)^0.52, Lambert and
// Fletcher 1997, as quoted in the open literature. Four such correlations
// differ by a factor of two; this is the cautious one.
func SlopeFromRoughness(roughness float64) float64 {
	return slopeScale * slopePower.of(1e6*roughness)
}

const slopeScale = 0.076

var slopePower = newPower(0.52)

// Body is one side of a face: what it is made of and how it was finished.
type Body struct {
	Conductivity float64 // k, W/mK
	Modulus      float64 // E, Pa
	Poisson      float64 // nu
	Hardness     float64 // contact hardness, Pa
	Roughness    float64 // sigma, rms, m
	Slope        float64 // m, mean absolute asperity slope; 0: SlopeFromRoughness
	Yield        float64 // yield strength, Pa; 0: not known, OverYield is not judged
	Coat         Coat    // Hardness is then that of the body under it
	// Curves of the coat, which pairs of one body may share; nil: the pair has its own.
	Curves *CoatCurves
}

// check returns an error that names the first field outside its range.
func (b *Body) check() error {
	for _, c := range [...]struct {
		name       string
		value      float64
		unit       string
		low, high  float64
		zeroIsFine bool
	}{
		{"conductivity", b.Conductivity, "W/mK", 0.01, 5000, false},
		{"modulus", b.Modulus, "Pa", 1e6, 2e12, false},
		{"Poisson's ratio", b.Poisson, "", 0, 0.5, true},
		{"contact hardness", b.Hardness, "Pa", 1e5, 1e12, false},
		{"roughness", b.Roughness, "m", 1e-9, 1e-3, false},
		{"asperity slope", b.Slope, "", 1e-4, 2, true},
		{"yield strength", b.Yield, "Pa", 1e4, 1e11, true},
	} {
		if !(c.value >= c.low && c.value <= c.high) && !(c.zeroIsFine && c.value == 0) {
			return rangeError(c.name, c.value, c.unit, c.low, c.high)
		}
	}
	return b.Coat.check()
}

func rangeError(name string, value float64, unit string, low, high float64) error {
	return fmt.Errorf("%s %g %s: want %g to %g %s", name, value, unit, low, high, unit)
}

// Pair is two bodies made ready to be pressed together, from NewPair. Film may be
// set anew from face to face; the other fields are for reading, what follows from
// them is kept beside. Evaluate only reads it, so one value may serve all faces
// and goroutines; Conduct writes to the curves of its coats.
type Pair struct {
	Conductivity float64 // k_s, harmonic mean, W/mK
	Modulus      float64 // E', Pa
	Roughness    float64 // sigma, rms of both, m
	Slope        float64 // m of both
	Hardness     float64 // H, effective hardness, Pa
	Elastic      bool    // the spots are elastic: H is E' m/sqrt 2
	Film         float64 // R_f, m2K/W: what fills the gap and the coats
	Yield        float64 // of the weaker body, Pa; 0 if either is not known
	// CoatResistance is t/k_c of both coats, m2K/W. It is part of Film: who sets
	// Film anew adds it.
	CoatResistance float64

	spotScale    float64 // 1.25 k_s m/sigma, W/m2K
	gapScale     float64 // 1.53 sigma, m
	softness     float64 // 1/H, 1/Pa
	openness     float64 // 4/(pi E'), 1/Pa
	spread       float64 // 1/(pi k_s), mK/W
	yieldBearing float64 // local pressure above which the weaker body yields, Pa

	table   *coatTable // nil: neither body has a coat
	spacing float64    // sigma/m, m
	sides   [2]coated
	alike   bool // the sides are
}

// yieldFactor: below a contact first yield comes when the pressure reaches about
// 1.6 times the yield strength (Johnson, Contact Mechanics 1985, sec. 6.1). Up to
// there the faces close elastically, as assumed.
const yieldFactor = 1.6

// Of the laws for spots and gap: 1.25 k_s m/sigma and 1.53 sigma.
const spotFactor, gapFactor = 1.25, 1.53

// NewPair prepares two bodies with a film of resistance sum t/k (m2K/W: what fills
// the gap, grease, a pad, dirt) between them, 0 to 1. What is bonded to a body is
// its Coat: it adds its own t/k and takes part in the spots. The order of the bodies
// does not matter.
//
//	k_s = 2 k1 k2/(k1 + k2)
//	1/E' = (1 - nu1^2)/E1 + (1 - nu2^2)/E2
//	sigma = sqrt(sigma1^2 + sigma2^2),  m = sqrt(m1^2 + m2^2)
//	H = min(softer hardness, E' m/sqrt 2)      Mikic 1974: elastic spots when that is lower
//
// The hardness of a coated body is its coat's, its own, or between, by the depth of
// the spots (Body.hardness).
//
// With slopes from the correlation, roughness added to the smoother of two faces
// may raise m/sigma, and with it the conductance, by up to 9 %: it brings more
// slope than roughness.
//
// Allowed: conductivity 0.01 to 5000 W/mK, modulus 1e6 to 2e12 Pa, Poisson's
// ratio 0 to 0.5, hardness 1e5 to 1e12 Pa, roughness 1e-9 to 1e-3 m, slope 0 or
// 1e-4 to 2, yield strength 0 or 1e4 to 1e11 Pa; coat thickness 0 or 1e-9 to 1e-2 m,
// then its conductivity 1e-3 to 5000 W/mK and hardness 1e5 to 1e12 Pa. The error names
// body and field.
func NewPair(first, second Body, film float64) (Pair, error) {
	if err := first.check(); err != nil {
		return Pair{}, fmt.Errorf("first body: %w", err)
	}
	if err := second.check(); err != nil {
		return Pair{}, fmt.Errorf("second body: %w", err)
	}
	if !(film >= 0 && film <= 1) {
		return Pair{}, rangeError("film resistance", film, "m2K/W", 0, 1)
	}
	var p Pair
	p.Join(&first, &second, film)
	return p, nil
}

// Join makes the pair that NewPair returns, in place of what it was and without its checks, of bodies and
// a film that are known to lie in the ranges it allows. The bodies are not modified.
func (p *Pair) Join(first, second *Body, film float64) {
	p.Conductivity = 2 * first.Conductivity * second.Conductivity / (first.Conductivity + second.Conductivity)
	p.Modulus = 1 / (first.compliance() + second.compliance())
	p.Roughness = rootSumSquare(first.Roughness, second.Roughness)
	p.Slope = rootSumSquare(first.slope(), second.slope())
	p.Film, p.CoatResistance = film, 0
	p.Yield = min(first.Yield, second.Yield)
	depth := indentation * p.Roughness
	p.Hardness, p.Elastic = min(first.hardness(depth), second.hardness(depth)), false
	p.table, p.spacing, p.alike, p.sides = nil, 0, false, [2]coated{}
	if first.Coat.Thickness > 0 || second.Coat.Thickness > 0 {
		p.coat(first, second)
		p.Film += p.CoatResistance
	}
	if elastic := p.Modulus * p.Slope / math.Sqrt2; elastic < p.Hardness {
		p.Hardness, p.Elastic = elastic, true
	}
	p.spotScale = spotFactor * p.Conductivity * p.Slope / p.Roughness
	p.gapScale = gapFactor * p.Roughness
	p.softness = 1 / p.Hardness
	p.openness = 4 / (math.Pi * p.Modulus)
	p.spread = 1 / (math.Pi * p.Conductivity)
	p.yieldBearing = math.Inf(1)
	if p.Yield > 0 {
		p.yieldBearing = yieldFactor * p.Yield
	}
}

// compliance is (1 - nu^2)/E, 1/Pa.
func (b *Body) compliance() float64 { return (1 - float64(b.Poisson*b.Poisson)) / b.Modulus }

// rootSumSquare is math.Hypot without its guard against squares that overflow.
func rootSumSquare(a, b float64) float64 { return math.Sqrt(float64(a*a) + float64(b*b)) }

// slope is the given slope or the one that goes with the roughness.
func (b *Body) slope() float64 {
	if b.Slope > 0 {
		return b.Slope
	}
	return SlopeFromRoughness(b.Roughness)
}
