package contact

import "math"

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

// resistance is t/k_c, m2K/W.
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
		return b.Hardness * math.Pow(c.Hardness/b.Hardness, x/deepCoat)
	case x < 1:
		return min(b.Hardness, b.Hardness*(1-x)+1.81*c.Hardness*x)
	}
	return min(b.Hardness, max(1.81-0.208*(x-1), 1)*c.Hardness)
}

// coated is what a coat on one side of a pair does to the spots.
type coated struct {
	thickness float64 // t over sigma/m; 0: no coat
	place     float64 // of this thickness on the tables' axes
	ratio     float64 // K = k_c/k, held in the range of the tables
	share     float64 // of the side in the constriction of the bare spots, (1/k_i)/(1/k_1 + 1/k_2)
	near, far float64 // of guess for tau and zeta: its slope over thickness
	curves    *CoatCurves
}

// coat sets up the sides of a pair.
func (p *Pair) coat(first, second *Body) {
	p.CoatResistance = first.Coat.resistance() + second.Coat.resistance()
	p.spacing = p.Roughness / p.Slope
	p.table = coats()
	sum := 1/first.Conductivity + 1/second.Conductivity
	for i, b := range [...]*Body{first, second} {
		p.sides[i].share = 1 / (b.Conductivity * sum)
		if b.Coat.Thickness > 0 {
			p.sides[i].set(b.Coat.Thickness/p.spacing, b.Coat.Conductivity/b.Conductivity)
		}
	}
	p.alike = p.sides[0] == p.sides[1]
	for i, b := range [...]*Body{first, second} {
		p.sides[i].curves = b.Curves
		if b.Curves == nil && p.sides[i].thickness > 0 {
			p.sides[i].curves = new(CoatCurves)
		}
	}
}

// set takes the thickness of the coat over sigma/m and K.
func (s *coated) set(thickness, ratio float64) {
	s.thickness, s.place = thickness, (logarithm(thickness)-depthStart)*(1/step)
	s.ratio = min(max(ratio, leastCoatRatio), mostCoatRatio)
	s.near = 4 / math.Pi * (1 + s.ratio) * thickness
	s.far = s.near / coats().bare[0]
}

// findSpot finds the spots of a coated pair. Below the spot law's range and above
// mostCoatPressure they are held.
func (f *Pressing) findSpot() {
	relative, ln := f.relative, f.lnRelative
	if relative < leastRelativePressure {
		relative, ln = leastRelativePressure, spotAxis.start
	} else if relative > mostCoatPressure {
		relative, ln = mostCoatPressure, lnMostCoatPressure
	}
	t := f.Pair.table
	cell, u := spotAxis.cell((ln - spotAxis.start) * (1 / step))
	radius := t.spot[cell].at(u)
	f.Conductance.SpotRadius = f.Pair.spacing * radius
	f.spot = spot{eps: math.Sqrt(relative), inverse: 1 / radius, place: logarithm(radius) * (1 / step), lnEps: ln * (0.5 / step)}
	f.bare = t.constriction(f.spot.eps)
}

// coatSpots divides the spots' coefficient by the coat factor,
// (C_1/k_1 + C_2/k_2)/(1/k_1 + 1/k_2).
func (f *Pressing) coatSpots() {
	pair, bare := f.Pair, f.bare
	sum := 0.0
	for i := range pair.sides {
		side := &pair.sides[i]
		switch {
		case side.thickness == 0:
			sum += side.share * bare
		case i == 1 && pair.alike:
			sum *= 2
		default:
			sum += side.share / side.ratio * side.psi(pair.table, &f.spot, bare)
		}
	}
	f.Conductance.CoatFactor = sum / bare
	f.Conductance.SpotCoefficient *= bare / sum
}

// spot is one of the spots of a face in its flux tube.
type spot struct {
	inverse float64 // of a m/sigma
	place   float64 // ln a m/sigma, in steps of the tables' axes
	eps     float64 // a/b
	lnEps   float64 // in steps too
}

// constriction is 4 k a times the constriction of a bare spot.
func (t *coatTable) constriction(eps float64) float64 {
	return 1 - eps*(t.bare[0]+eps*eps*t.bare[1])
}

// psi is Psi of one side, C K bare: K bare for a coat that is not there, bare for a
// thick one.
//
//	Psi = H - eps wall = [half (K + A)(1 + Z) - eps wall bare_0 (K + Z)(1 + A)]/((1 + A)(1 + Z))
//
// with (K + A)/(1 + A) and bare_0 (K + Z)/(1 + Z) for the guesses at tau and zeta.
func (s *coated) psi(t *coatTable, spot *spot, bare float64) float64 {
	tau := s.thickness * spot.inverse
	if tau*spot.eps > mostZeta {
		return bare
	}
	place := s.place - spot.place
	cell, u := tauAxis.cell(place)
	half := s.curves.half(t, cell, s.ratio).at(u)
	if tau < leastTau { // the guess is right as the coat goes
		half = 1 + (half-1)*(tau/leastTau)
	}
	cell, u = zetaAxis.cell(place + spot.lnEps)
	lines := s.curves.wall(t, cell, s.ratio)
	wall := spot.eps * t.bare[0] * (lines[0].at(u) + spot.eps*spot.eps*lines[1].at(u))
	a := s.near * spot.inverse
	z := s.far * spot.inverse * spot.eps
	return (half*(s.ratio+a)*(1+z) - wall*(s.ratio+z)*(1+a)) / ((1 + a) * (1 + z))
}
