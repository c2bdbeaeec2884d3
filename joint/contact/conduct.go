package contact

import "math"

// Pressing is the face of one card: what presses on it, and what comes of it.
type Pressing struct {
	Pair  *Pair
	Face  Face
	Film  float64 // R_f, m2K/W: what fills the gap and the pair's coats
	Force float64 // N, 0 or less: no load

	Conductance   float64 // G, W/K
	LocalPressure float64 // P_l, Pa; 0 without load

	// What one stage leaves for the next.
	loaded     bool
	across     Partial
	relative   float64    // P_l/H
	separation float64    // Y, m
	spots      [2]float64 // h_c as a flow over a drop, W/m2K
	spot       spotPlace
}

// touch finds the spots of faces, coats included, and the gap between them.
func touch(faces []Pressing) {
	for i := range faces {
		if f := &faces[i]; f.loaded {
			f.touch()
		}
	}
	for i := range faces {
		if f := &faces[i]; f.loaded && f.Pair.table != nil {
			f.coatSpots()
		}
	}
}

// close finds the strips in contact and their pressure.
func (f *Pressing) close() {
	face, pair := &f.Face, f.Pair
	area := face.Length * face.Width
	f.loaded = f.Force > leastForce && area > 0 && !(face.Along.Gap > 0 && face.Along.Fraction == 0)
	if !f.loaded {
		f.LocalPressure = 0
		f.across = Partial{Gap: 0.5 * (face.Crown + face.Taper)}
		f.separation = pair.gapScale * unloadedSeparation
		return
	}
	strip := f.Force / area
	if face.Along.Gap > 0 && face.Along.Fraction < 1 {
		strip /= face.Along.Fraction
	}
	f.across = face.across(pair, strip)
	f.LocalPressure = strip / f.across.Fraction
	f.relative = f.LocalPressure * pair.softness
}

// touch finds the spots and the gap between them, without coats.
func (f *Pressing) touch() {
	pair, relative := f.Pair, f.relative
	n := split(relative)
	var spots, gap float64
	if n.ordinary() {
		spots, gap = spotPower.at(n), gapPower.at(n)
	} else {
		spots = spotPower.of(relative)
	}
	if relative > gapHigh {
		gap = gapPowerHigh
	} else if relative < gapLow {
		gap = unloadedSeparation
	}
	f.spots = [2]float64{pair.spotScale * spots, 1}
	f.separation = pair.gapScale * gap
	if pair.table != nil {
		f.spot.find(pair.table, relative, n)
	}
}

var gapPowerHigh = gapPower.of(gapHigh)

// spotPlace is one of the spots of a coated face, and where it lies on the tables' axes.
type spotPlace struct {
	radius float64 // a m/sigma
	eps    float64 // a/b
	bare   float64 // 4 k a times the constriction without a coat
	tau    float64 // place of tau on its axis for a coat of the thickness sigma/m
	zeta   float64 // likewise
}

func (s *spotPlace) find(t *coatTable, relative float64, n parts) {
	ln := n.logarithm()
	if relative < leastRelativePressure {
		relative, ln = leastRelativePressure, spotAxis.start
	} else if relative > mostCoatPressure {
		relative, ln = mostCoatPressure, lnMostCoatPressure
	}
	cell, u := spotAxis.find(ln)
	at := &t.spot[cell]
	s.radius = at.radius.at(u)
	s.eps = math.Sqrt(relative)
	s.bare = t.constriction(s.eps)
	s.tau = at.place(u)
	s.zeta = s.tau + float64(ln*(0.5/step))
}

var lnMostCoatPressure = math.Log(mostCoatPressure)

// coatSpots divides the spots' coefficient by the coat factor.
func (f *Pressing) coatSpots() {
	sides, t, s := &f.Pair.sides, f.Pair.table, &f.spot
	first, over := sides[0].constriction(t, s)
	second, under := first, over
	if !f.Pair.alike {
		second, under = sides[1].constriction(t, s)
	}
	f.spots[0] *= s.bare * over * under
	f.spots[1] = float64(first*under) + float64(second*over)
}

// constriction is a side's part of C bare, as a flow over a drop:
//
//	C bare K = H - eps A
//	         = [half (K + n)(1 + z) - eps wall A_0 (K + z)(1 + n)]/((1 + n)(1 + z))
//
// with half and wall from the tables, (K + n)/(1 + n) and A_0 (K + z)/(1 + z) being the guesses
// that they are over, n = 4/pi (1 + K) tau, z = n eps/A_0; with a m/sigma times n and z.
func (s *coated) constriction(t *coatTable, at *spotPlace) (flow, drop float64) {
	if s.thickness == 0 {
		return s.share * at.bare, 1
	}
	a, eps, k := at.radius, at.eps, s.ratio
	if s.tau*eps > mostZeta*a {
		return s.weight * at.bare, 1
	}
	s.curves.turnTo(k)
	cell, u := tauAxis.cell(s.place + at.tau)
	half := s.curves.halfIn(t, int32(cell)).at(u)
	if s.tau < leastTau*a { // the guess is right as the coat goes
		half = 1 + float64((half-1)*(s.tau/(leastTau*a)))
	}
	cell, u = zetaAxis.cell(s.place + at.zeta)
	lines := s.curves.wallIn(t, int32(cell))
	wall := eps * t.bare[0] * (lines[0].at(u) + float64(eps*eps*lines[1].at(u)))
	n, z, ka := s.near, float64(s.far*eps), float64(k*a)
	over, under := a+n, a+z
	return s.weight * (float64(half*(ka+n)*under) - float64(wall*(ka+z)*over)), over * under
}

// join puts strips, gas and bow together. With h_c = n/d, s = Y + M and the strips'
// share f, all of it Evaluate's, and F the contact factor,
//
//	h_c + h_g + h_rad = N/D,  N = n s + (k_g + h_rad s) d,  D = d s
//	1/(1/h_z + 1/h_m) = f F N/(D + N (R_f + f h'))          h' the constriction before F
func (f *Pressing) join(gas *GasState, contactFactor float64) {
	face, across := &f.Face, &f.across
	h := 0.0
	if f.loaded {
		s := f.separation + gas.JumpDistance
		flow := float64(f.spots[0]*s) + float64((gas.Conductivity+float64(gas.Radiation*s))*f.spots[1])
		h = across.Fraction * contactFactor * flow / (float64(f.spots[1]*s) + float64(flow*(f.Film+float64(across.Fraction*across.Constriction))))
	}
	h = across.beside(h, f.separation, gas, f.Film)
	if along := &face.Along; along.Gap > 0 && along.Fraction < 1 {
		h *= along.Fraction
		h = along.beside(h/(1+h*along.Constriction/contactFactor), f.separation+across.Gap, gas, f.Film)
	}
	f.Conductance = h * (face.Length * face.Width)
}

// beside adds the open gap to what goes through the strips (W/m2K of the whole), and
// holds the sum to no less than the gas alone conducts.
func (p *Partial) beside(h, separation float64, gas *GasState, film float64) float64 {
	if p.Fraction < 1 {
		flow, drop := gas.through(p.Gap, separation, 1-p.Fraction, film)
		h += (1 - p.Fraction) * flow / drop
	}
	if flow, drop := gas.through(p.Gap, separation, 1, film); flow > h*drop {
		return flow / drop
	}
	return h
}
