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
	thickness float64    // t, m; 0: no coat
	ratio     float64    // K = k_c/k, held in the range of the tables
	share     float64    // of the side in the constriction of the bare spot, (1/k_i)/(1/k_1 + 1/k_2)
	column    int        // of the tables
	weight    [4]float64 // of the columns
}

// coat sets up the sides of a pair.
func (p *Pair) coat(first, second *Body) {
	p.CoatResistance = first.Coat.resistance() + second.Coat.resistance()
	p.spacing = p.Roughness / p.Slope
	p.table = coats()
	sum := 1/first.Conductivity + 1/second.Conductivity
	for i, b := range [...]*Body{first, second} {
		side := &p.sides[i]
		side.share = 1 / (b.Conductivity * sum)
		if side.thickness = b.Coat.Thickness; side.thickness > 0 {
			side.ratio = min(max(b.Coat.Conductivity/b.Conductivity, leastCoatRatio), mostCoatRatio)
			side.column, side.weight = ratioAxis.find(logarithm(side.ratio))
		}
	}
}

// coatSpots sets the spot radius and divides the spots' coefficient by the coat
// factor, (C_1/k_1 + C_2/k_2)/(1/k_1 + 1/k_2). Below the spot law's range and above
// mostCoatPressure radius and factor are held.
func (c *Conductance) coatSpots(pair *Pair, relative float64) {
	relative = min(max(relative, leastRelativePressure), mostCoatPressure)
	ln := logarithm(relative)
	first, w := spotAxis.find(ln)
	spot := pair.table.spot[first : first+4]
	radius := pair.spacing * (w[0]*spot[0] + w[1]*spot[1] + w[2]*spot[2] + w[3]*spot[3])
	eps := math.Sqrt(relative)
	bare := pair.table.constriction(eps)
	c.SpotRadius, c.CoatFactor = radius, 0
	for i := range pair.sides {
		side := &pair.sides[i]
		if side.thickness == 0 {
			c.CoatFactor += side.share
			continue
		}
		c.CoatFactor += side.share * pair.table.constrictionUnder(side, eps, side.thickness/radius) / (side.ratio * bare)
	}
	c.SpotCoefficient /= c.CoatFactor
}

// constriction is 4 k a times the resistance of a bare spot.
func (t *coatTable) constriction(eps float64) float64 {
	e := eps * eps
	return 1 - eps*(t.bare[0]+e*(t.bare[1]+e*t.bare[2]))
}

// constrictionUnder is 4 k_c a times the constriction in a coat and the body under
// it, tau = t/a; K times that of a bare spot for a coat that is not there, once for a
// thick one.
func (t *coatTable) constrictionUnder(side *coated, eps, tau float64) float64 {
	zeta := eps * tau
	if zeta > mostZeta {
		return t.constriction(eps)
	}
	lnTau := logarithm(tau)
	row, w := tauAxis.find(lnTau)
	half := 0.0
	stride := ratioAxis.nodes + 2
	for i, weight := range w {
		c := t.half.coefficient[(row+i)*stride+side.column:][:4]
		half += weight * (side.weight[0]*c[0] + side.weight[1]*c[1] + side.weight[2]*c[2] + side.weight[3]*c[3])
	}
	if tau < leastTau { // the guess is right as the coat goes
		half = 1 + (half-1)*(tau/leastTau)
	}
	row, w = zetaAxis.find(logarithm(zeta))
	var a0, a1, a2 float64
	for i, weight := range w {
		c := t.wall.coefficient[((row+i)*stride+side.column)*tubeOrders:][:4*tubeOrders]
		for j, other := range side.weight {
			both := weight * other
			a0 += both * c[tubeOrders*j]
			a1 += both * c[tubeOrders*j+1]
			a2 += both * c[tubeOrders*j+2]
		}
	}
	e := eps * eps
	return half*guess(1, side.ratio, tau) - eps*guess(t.bare[0], side.ratio, zeta)*(a0+e*(a1+e*a2))
}
