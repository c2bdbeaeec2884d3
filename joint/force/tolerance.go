package force

import "math"

// tolerances are the tolerances of a screw and nut thread, in m on the diameter.
type tolerances struct {
	allowance  float64 // screw below basic size, es
	screwMajor float64 // T_d
	screwPitch float64 // T_d2
	nutPitch   float64 // T_D2
	nutMinor   float64 // T_D1
}

const (
	micrometre = 1e-6
	millimetre = 1e-3
	inch       = 25.4e-3
)

// isoTolerances returns the tolerances of a 6g screw in a 6H nut by the formulas
// of ISO 965-1, which give micrometres from millimetres. The standard takes the
// geometric mean of a range of diameters where the diameter itself stands here
// (at most 3.5 % of T_d2), and rounds to preferred numbers.
func isoTolerances(major, pitch float64) tolerances {
	d, p := major/millimetre, pitch/millimetre
	screwPitch := 90 * math.Pow(p, 0.4) * math.Pow(d, 0.1)
	nutMinor := 230 * math.Pow(p, 0.7)
	if p < 1 {
		nutMinor = 433*p - 190*math.Pow(p, 1.22)
	}
	return tolerances{
		allowance:  micrometre * (15 + 11*p),
		screwMajor: micrometre * (180*math.Cbrt(p*p) - 3.15/math.Sqrt(p)),
		screwPitch: micrometre * screwPitch,
		nutPitch:   micrometre * 1.32 * screwPitch,
		nutMinor:   micrometre * nutMinor,
	}
}

// unifiedTolerances returns the tolerances of a class 2A screw in a class 2B nut
// by the formulas of ASME B1.1, in inches from inches, for an engagement of one
// diameter; the printed limits are these, rounded to 0.0001 in.
func unifiedTolerances(major, pitch float64) tolerances {
	d, p := major/inch, pitch/inch
	p23 := math.Cbrt(p * p)
	screwPitch := 0.0015*math.Cbrt(d) + 0.0015*math.Sqrt(d) + 0.015*p23
	// The bounds the standard sets on the first form do not bind for No. 4 to No. 10.
	nutMinor := 0.05*p23 + 0.03*p/d - 0.002
	if d >= 0.25 {
		nutMinor = 0.25*p - 0.4*p*p
	}
	return tolerances{
		allowance:  inch * 0.3 * screwPitch,
		screwMajor: inch * 0.06 * p23,
		screwPitch: inch * screwPitch,
		nutPitch:   inch * 1.3 * screwPitch,
		nutMinor:   inch * nutMinor,
	}
}
