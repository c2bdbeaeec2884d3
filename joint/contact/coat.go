package contact

import (
	"math"

	"clampodds/joint/lanes"
)

// Coat is a film bonded to a body: an anodic or conversion film, a plating. The
// zero value is no coat.
type Coat struct {
	Thickness    float64 // t, m; 0: none
	Conductivity float64 // k_c, W/mK
	Hardness     float64 // contact hardness, Pa
}

func (c *Coat) check() error {
	if c.Thickness == 0 {
		return nil
	}
	for _, v := range [...]struct {
		name      string
		value     float64
		unit      string
		low, high float64
	}{
		{"coat thickness", c.Thickness, "m", 1e-9, 1e-2},
		{"coat conductivity", c.Conductivity, "W/mK", 1e-3, 5000},
		{"coat hardness", c.Hardness, "Pa", 1e5, 1e12},
	} {
		if !(v.value >= v.low && v.value <= v.high) {
			return rangeError(v.name, v.value, v.unit, v.low, v.high)
		}
	}
	return nil
}

func (c *Coat) resistance() float64 {
	if c.Thickness == 0 {
		return 0
	}
	return c.Thickness / c.Conductivity
}

// indentation is the depth of a spot over the roughness of the pair, m a/sigma, at
// P_l/H = 1e-3; over the range of the spot law it runs from 0.26 to 0.54. Taken at
// one pressure, the hardness does not change as the force grows [own].
const indentation = 0.3781424065272975

// deepCoat is how many indentation depths a coat must be thick to be all that the
// spots feel.
const deepCoat = 5

// What the rule for soft coats below has of the coat's hardness at one depth, and less at each more.
const softRise, softFall = 1.81, 0.208

// hardness is the contact hardness of a body whose spots are pressed in by the depth d:
//
//	soft coat on a hard body   H_b (1 - x) + 1.81 H_c x             x = t/d < 1
//	                           1.81 H_c - 0.208 H_c (x - 1)         x < 4.9, Antonetti and Yovanovich 1985
//	hard coat on a soft body   ln H linear in x, 0 to 5             [own]
//
// and the coat's beyond. The soft rule is cut at the body's own hardness, which it
// would exceed where coat and body hardly differ.
func (b *Body) hardness(d float64) float64 {
	c := &b.Coat
	if c.Thickness == 0 {
		return b.Hardness
	}
	x := c.Thickness / d
	switch {
	case x >= deepCoat:
		return c.Hardness
	case c.Hardness >= b.Hardness:
		return b.Hardness * lanes.Exp(x/deepCoat*logarithm(c.Hardness/b.Hardness))
	case x < 1:
		return min(b.Hardness, float64(b.Hardness*(1-x))+float64(softRise*c.Hardness*x))
	}
	return min(b.Hardness, max(softRise-float64(softFall*(x-1)), 1)*c.Hardness)
}

// coated is what a coat on one side of a pair does to the spots.
type coated struct {
	thickness float64 // t, m; 0: no coat
	ratio     float64 // K = k_c/k, held in the range of the tables
	share     float64 // of the side in the constriction of the bare spots, (1/k_i)/(1/k_1 + 1/k_2)

	// For Conduct.
	curves    *CoatCurves
	weight    float64 // share/K
	tau       float64 // of spots of a radius sigma/m
	place     float64 // of this tau on its axis
	near, far float64 // 4/pi (1 + K) tau of the guess at tau; over A_0, of that at zeta/eps
}

func (p *Pair) coat(first, second *Body) {
	p.CoatResistance = first.Coat.resistance() + second.Coat.resistance()
	p.spacing = p.Roughness / p.Slope
	p.table = coats()
	sum := 1/first.Conductivity + 1/second.Conductivity
	for i, b := range [...]*Body{first, second} {
		p.sides[i].share = 1 / (b.Conductivity * sum)
		if b.Coat.Thickness > 0 {
			p.sides[i].set(p.table, b.Coat.Thickness, b.Coat.Conductivity/b.Conductivity, p.spacing)
		}
	}
	p.alike = p.sides[0] == p.sides[1]
	for i, b := range [...]*Body{first, second} {
		if b.Coat.Thickness > 0 {
			p.sides[i].curves = b.Curves
			if b.Curves == nil {
				p.sides[i].curves = new(CoatCurves)
			}
		}
	}
}

// set takes the tables, the thickness of the coat (m), K and sigma/m (m).
func (s *coated) set(t *coatTable, thickness, ratio, spacing float64) {
	s.thickness = thickness
	s.ratio = min(max(ratio, leastCoatRatio), mostCoatRatio)
	s.weight = s.share / s.ratio
	s.tau = thickness / spacing
	s.place = (logarithm(s.tau) - tauAxis.start) * (1 / step)
	s.near = 4 / math.Pi * (1 + s.ratio) * s.tau
	s.far = s.near / t.bare[0]
}

// coatSpots sets the spot radius and divides the spots' coefficient by the coat
// factor, (C_1/k_1 + C_2/k_2)/(1/k_1 + 1/k_2). Below the spot law's range and above
// mostCoatPressure radius and factor are held.
func (c *Evaluation) coatSpots(pair *Pair, relative float64) {
	relative = min(max(relative, leastRelativePressure), mostCoatPressure)
	t := pair.table
	lnRelative := logarithm(relative)
	cell, u := spotAxis.find(lnRelative)
	spot := spot{eps: math.Sqrt(relative), radius: pair.spacing * t.spot[cell].radius.at(u)}
	spot.lnRadius, spot.lnEps = logarithm(spot.radius), lnRelative/2
	spot.bare = t.constriction(spot.eps)
	c.SpotRadius = spot.radius
	for i := range pair.sides {
		side := &pair.sides[i]
		switch {
		case side.thickness == 0:
			c.CoatFactor += side.share
		case i == 1 && pair.alike:
			c.CoatFactor *= 2
		default:
			c.CoatFactor += side.share * t.factor(side, &spot)
		}
	}
	c.SpotCoefficient /= c.CoatFactor
}

// spot is one of the spots of a face in its flux tube.
type spot struct {
	radius, lnRadius float64 // a, m
	eps, lnEps       float64 // a/b
	bare             float64 // 4 k a times the constriction without a coat
}

// constriction is 4 k a times the constriction of a bare spot.
func (t *coatTable) constriction(eps float64) float64 {
	return 1 - float64(eps*(t.bare[0]+float64(eps*eps*t.bare[1])))
}

// factor is the coat factor of one side, C = R(coat)/R(bare): 1 for a coat that is
// not there, 1/K for a thick one.
func (t *coatTable) factor(side *coated, s *spot) float64 {
	tau := side.thickness / s.radius
	zeta := s.eps * tau
	if zeta > mostZeta {
		return 1 / side.ratio
	}
	lnTau := logarithm(side.thickness) - s.lnRadius
	k := placeOf(side.ratio)
	cell, u := tauAxis.find(lnTau)
	var curve cubic
	t.cutHalf(&curve, cell, &k)
	half := curve.at(u)
	if tau < leastTau { // the guess is right as the coat goes
		half = 1 + (half-1)*(tau/leastTau)
	}
	cell, u = zetaAxis.find(lnTau + s.lnEps)
	var curves [2]cubic
	t.cutWall(&curves, cell, &k)
	wall := curves[0].at(u) + s.eps*s.eps*curves[1].at(u)
	psi := half*guess(1, side.ratio, tau) - s.eps*wall*guess(t.bare[0], side.ratio, zeta)
	return psi / (side.ratio * s.bare)
}
