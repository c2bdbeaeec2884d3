package contact

// Partial says how far a wavy pair of faces has closed in one direction.
// The zero value means flat: nothing to close.
type Partial struct {
	// Fraction of the length that is in contact, f, above 0 up to 1. Zero
	// together with a zero gap means flat and counts as 1; zero with a gap
	// means no contact at all.
	Fraction float64
	// Gap is the mean gap over the whole length, contact included, g, m.
	Gap float64
	// Constriction is the resistance of the bodies to heat that converges to
	// the contact strips, 1/h_m, m2K/W of whole face. It is 0 when closed.
	Constriction float64
}

var closed = Partial{Fraction: 1}

// Within returns the state of short waves, closed as far as p, that ride on a long
// one, closed as far as long, in the same direction: the long wave closes first, and
// the short ones by the pressure in its strips (the caller closes them with P/f of
// long) [own]. Where either has closed it is the other.
//
//	f = f_l f_s,  g = g_l + f_l g_s,  1/h_m = 1/h_l + 1/(f_l h_s)
func (p Partial) Within(long Partial) Partial {
	outer, inner := long.share(), p.share()
	if outer == 0 {
		return Partial{Gap: long.Gap + p.Gap}
	}
	return Partial{Fraction: outer * inner, Gap: long.Gap + outer*p.Gap, Constriction: long.Constriction + p.Constriction/outer}
}

// share is the fraction in contact, with the zero value as flat.
func (p *Partial) share() float64 {
	if p.Fraction == 0 && p.Gap == 0 {
		return 1
	}
	return p.Fraction
}

// closeWave gives the state of a sinusoidal face of amplitude D (m, half the
// peak-to-valley height) pressed with q times its closing pressure, q > 0.
// spread is l/(pi k_s): wavelength (m) over pi times the harmonic conductivity.
//
//	f = (2/pi) asin sqrt q,  g = D (1 - q + q ln q)     Westergaard 1939; Johnson 1985, sec. 13.2
//	1/h_m = l ln(1/q)/(pi k_s)                          Veziroglu and Chandra 1969
//
// The last is the isothermal strip of width f in a deep channel of width l,
// psi = (1/pi) ln(1/sin(pi f/2)) on either side, with sin(pi f/2) = sqrt q.
// The three join f = 1, g = 0, 1/h_m = 0 continuously at q = 1.
func closeWave(q, amplitude, spread float64) Partial {
	if q >= 1 || amplitude == 0 {
		return closed
	}
	ln := logarithm(q)
	return Partial{
		Fraction: contactFraction(q),
		// The difference may come out a rounding error below zero close to q = 1.
		Gap:          amplitude * max(1-q+float64(q*ln), 0),
		Constriction: -spread * ln,
	}
}

// across closes the face across its width under a pressure above zero, Pa.
//
// Crown d_a (wavelength W) and taper d_t (half a wave over W, wavelength 2 W)
// lie in the same direction, so that their closing pressures add [own, elastic
// superposition]:
//
//	p* = pi E' (d_a/(2 W) + d_t/(4 W)),  D = (d_a + d_t)/2,  l = W (d_a + 2 d_t)/(d_a + d_t).
func (f *Face) across(pair *Pair, pressure float64) Partial {
	height := f.Crown + f.Taper
	if height == 0 {
		return closed
	}
	q := pressure * f.Width * pair.openness / (2*f.Crown + f.Taper)
	wavelength := f.Width * (f.Crown + 2*f.Taper) / height
	return closeWave(q, 0.5*height, wavelength*pair.spread)
}
