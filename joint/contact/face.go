package contact

// Face is the geometry of one face.
type Face struct {
	Length float64 `json:"length_m"` // L, m, along the clamp; 0 conducts nothing
	Width  float64 `json:"width_m"`  // W, m, across
	Crown  float64 `json:"crown_m"`  // d_a, m: peak-to-valley height of the pair over one wave across the width
	Taper  float64 `json:"taper_m"`  // d_t, m: mismatch height over the width
	// Along is how far the long bow of the flange has closed (Bow.Close); the
	// zero value means flat.
	Along Partial `json:"-"`
}

// Evaluation is the outcome for one face, with every part of it.
// Coefficients are per square metre of the whole face.
type Evaluation struct {
	Pressure        float64 `json:"pressure_Pa"`             // P = F/(L W), Pa
	LocalPressure   float64 `json:"local_pressure_Pa"`       // P_l = P/f, Pa, in the contact strips
	ContactFraction float64 `json:"contact_fraction"`        // f = f_x f_y
	FractionAcross  float64 `json:"contact_fraction_across"` // f_x
	FractionAlong   float64 `json:"contact_fraction_along"`  // f_y
	MeanGap         float64 `json:"mean_gap_m"`              // g = g_x + g_y, m

	SpotCoefficient float64 `json:"spots_W_m2K"`             // h_c, W/m2K of contact strip
	SpotRadius      float64 `json:"spot_radius_m,omitempty"` // a, m, of a coated pair; 0 otherwise
	CoatFactor      float64 `json:"coat_factor,omitempty"`   // by which coats divided h_c; 0 without any
	GasCoefficient  float64 `json:"gas_in_contact_W_m2K"`    // h_g, W/m2K of contact strip
	ZoneCoefficient float64 `json:"contact_zone_W_m2K"`      // h_z, W/m2K, contact factor included
	// ConstrictionResistance is 1/h_m, m2K/W, contact factor included.
	ConstrictionResistance float64 `json:"constriction_m2K_W"`
	OpenCoefficient        float64 `json:"open_zone_W_m2K"`      // h_o, W/m2K
	Coefficient            float64 `json:"coefficient_W_m2K"`    // h, W/m2K
	Conductance            float64 `json:"face_conductance_W_K"` // G = h L W, W/K

	PressureBelowRange bool `json:"-"` // loaded, but P_l/H under 1e-6
	PressureAboveRange bool `json:"-"` // P_l/H over 2.3e-2
	OverYield          bool `json:"-"` // P_l over 1.6 times the weaker body's yield strength
	// GasGoverns says that the gas alone conducts more than the sum of the parts
	// (see Evaluate); the face then has that conductance.
	GasGoverns bool `json:"-"`
}

// Range of relative pressure P_l/H in which the spot law fits its own exact
// model within 1.5 % (Yovanovich 1982).
const (
	leastRelativePressure = 1e-6
	mostRelativePressure  = 2.3e-2
)

// Relative pressures between which the gap law holds (Antonetti 1983); outside it
// is held at the end value.
const (
	gapLow  = 1e-5
	gapHigh = 2e-2
)

// The powers of the spot law and the gap law.
var (
	spotPower = newPower(0.95)
	gapPower  = newPower(-0.097)
)

// leastForce, N: less is no load. It keeps the closing ratio a normal number.
const leastForce = 1e-90

// Evaluate computes the conductance of a face of the pair in the gas under a
// normal force (N, 0 or less: no load). The contact factor (1, above 0) is the
// model error: it multiplies h_z and h_m. out is overwritten. Nothing is
// allocated or checked: pair, gas and face must have been built from checked
// numbers (lengths and heights finite and at least 0, width above 0); then every
// number that comes out is finite and not negative. Safe for concurrent use with
// different out.
//
//	P_l = P/f                                      local pressure
//	h_c = 1.25 k_s (m/sigma) (P_l/H)^0.95          Cooper, Mikic, Yovanovich 1969; Yovanovich 1982
//	    over (C_1/k_1 + C_2/k_2)/(1/k_1 + 1/k_2)   with coats, see the package comment
//	Y = 1.53 sigma (P_l/H)^-0.097                  Antonetti 1983
//	h_g = k_g/(Y + M)                              Yovanovich 1982
//	h_z = f/(1/(h_c + h_g + h_rad) + R_f)          contact strips with their film
//	h_o = (1 - f)/(1/(k_g/(g/(1 - f) + Y + M) + h_rad) + R_f)
//	h = 1/(1/h_z + 1/h_m) + h_o                    series in the strips, gap parallel [own]
//
// A face without load has gas and radiation only, over its whole gap, with Y at
// the lower end of its law. As the force goes to zero the loaded face joins it,
// unless it is perfectly flat and the contact factor is not 1.
//
// Bow and crown together: the crown is closed by the pressure in the strips that
// the bow leaves, P/f_y, and its coefficient is that of these strips; the bow's
// constriction and open gap come around it [own]. With one direction closed this
// is the formula above.
//
// Lower bound: a uniform heat flux through the gas, spots and converging heat
// left out, dissipates more than the true field (Thomson's principle), so h is at
// least 1/(1/(k_g/(g + Y + M) + h_rad) + R_f). The series rule falls below that
// where the gas of a narrow gap rivals what the constriction lets through (poor
// conductors, long waves, micrometre heights); there the bound is taken [own], or
// force would seem to insulate.
//
// Monotony: more film, hardness, roughness (on both faces alike), jump distance,
// less gas or body conductivity never raise h. More force never lowers it by more
// than 2 %, nor at all for bare card faces without bow; the fall comes just before a
// face closes, where P_l, and with it the gas coefficient, drops as f grows. A
// higher crown or taper never raises h of card faces once it exceeds the roughness
// of the pair; lower waves may, by some per cent at a few kilopascal, because the
// closing law knows nothing of asperities that would share the load. A crown on
// top of a higher taper may by shortening the wavelength, and a bow by
// concentrating the force until it closes a crown.
func Evaluate(pair *Pair, gas *GasState, face *Face, force, contactFactor float64, out *Evaluation) {
	*out = Evaluation{FractionAlong: 1}
	along := &face.Along
	bowed := along.Gap > 0 && along.Fraction < 1
	if bowed {
		out.FractionAlong = along.Fraction
	}
	area := face.Length * face.Width
	across := Partial{Gap: 0.5 * (face.Crown + face.Taper)}
	separation := pair.gapScale * unloadedSeparation
	inner := 0.0
	if force > leastForce && area > 0 && out.FractionAlong > 0 {
		out.Pressure = force / area
		strip := out.Pressure / out.FractionAlong
		across = face.across(pair, strip)
		inner, separation = out.touch(pair, gas, strip/across.Fraction)
		inner *= contactFactor
	}
	out.FractionAcross = across.Fraction
	out.ContactFraction = across.Fraction * out.FractionAlong
	out.MeanGap = across.Gap
	out.ConstrictionResistance = across.Constriction / contactFactor
	out.Coefficient, out.OpenCoefficient, out.GasGoverns = across.conduct(inner, out.ConstrictionResistance, separation, gas, pair.Film)
	if bowed {
		out.bend(along, pair, gas, separation, contactFactor)
	}
	out.ZoneCoefficient = inner * out.ContactFraction
	out.Conductance = out.Coefficient * area
}

// unloadedSeparation is (1e-5)^-0.097: Y/(1.53 sigma) at the lower end of its law.
const unloadedSeparation = 3.0549211132155129

// touch sets what the local pressure makes of the contact strips and returns
// their coefficient with gas and film, W/m2K, and the mean plane separation Y, m.
func (c *Evaluation) touch(pair *Pair, gas *GasState, pressure float64) (coefficient, separation float64) {
	relative := pressure * pair.softness
	c.LocalPressure = pressure
	c.PressureBelowRange = relative < leastRelativePressure
	c.PressureAboveRange = relative > mostRelativePressure
	c.OverYield = pressure > pair.yieldBearing
	c.SpotCoefficient = pair.spotScale * spotPower.of(relative)
	if pair.table != nil {
		c.coatSpots(pair, relative)
	}
	held := relative
	if held > gapHigh {
		held = gapHigh
	} else if held < gapLow {
		held = gapLow
	}
	separation = pair.gapScale * gapPower.of(held)
	c.GasCoefficient = gas.Conductivity / (separation + gas.JumpDistance)
	coefficient = c.SpotCoefficient + c.GasCoefficient + gas.Radiation
	return coefficient / (1 + coefficient*pair.Film), separation
}

// bend puts the bow around the coefficient found so far, that of the strips the
// bow leaves in contact.
func (c *Evaluation) bend(along *Partial, pair *Pair, gas *GasState, separation, contactFactor float64) {
	constriction := along.Constriction / contactFactor
	coefficient, open, governs := along.conduct(c.Coefficient, constriction, separation+c.MeanGap, gas, pair.Film)
	if along.Fraction > 0 {
		c.ConstrictionResistance = c.ConstrictionResistance/along.Fraction + constriction
	}
	c.MeanGap += along.Gap
	c.OpenCoefficient = c.OpenCoefficient*along.Fraction + open
	c.Coefficient = coefficient
	c.GasGoverns = governs || c.GasGoverns
}

// conduct joins the strips in contact (inner, W/m2K of strip) through the
// constriction (m2K/W) with the open gap beside them, to W/m2K of the whole;
// separation is the distance of the faces where the wave touches.
func (p *Partial) conduct(inner, constriction, separation float64, gas *GasState, film float64) (coefficient, open float64, gasGoverns bool) {
	zone := p.Fraction * inner
	if p.Fraction < 1 {
		flow, drop := gas.through(p.Gap, separation, 1-p.Fraction, film)
		open = (1 - p.Fraction) * flow / drop
	}
	coefficient = zone/(1+zone*constriction) + open
	if flow, drop := gas.through(p.Gap, separation, 1, film); flow > coefficient*drop {
		return flow / drop, open, p.Fraction > 0
	}
	return coefficient, open, false
}

// through returns the coefficient of a share of a face, W/m2K of that share, whose
// gap has a mean (m) over the whole face beside a separation (m), with a film
// (m2K/W) in series; as a flow over a drop, so that to compare needs no division:
//
//	1/(1/(k_g/s + h_rad) + R_f),  s = gap/share + separation + M
func (g *GasState) through(gap, separation, share, film float64) (flow, drop float64) {
	s := gap + float64(share*(separation+g.JumpDistance))
	flow = float64(share*g.Conductivity) + float64(g.Radiation*s)
	return flow, s + float64(film*flow)
}
