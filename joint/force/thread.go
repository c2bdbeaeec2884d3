package force

import (
	"fmt"
	"math"
)

// Thread is a 60 degree screw thread: its basic profile, the area the screw's
// strength is counted on, and the limits of size that decide stripping.
// Lengths in m, areas in m2. Get one from ThreadNamed or NewThread.
type Thread struct {
	Designation string // "M3", "No. 4-40 UNC"; "own data" from NewThread
	Standard    string // where the numbers come from

	MajorDiameter    float64 // d, basic
	Pitch            float64 // P
	PitchDiameter    float64 // d2, basic
	MinorDiameter    float64 // d3, root of the screw
	NutMinorDiameter float64 // D1, basic
	StressArea       float64 // A_s

	ScrewMajorMin float64 // smallest major diameter of the screw, D_s,min
	ScrewPitchMin float64 // smallest pitch diameter of the screw, E_s,min
	NutPitchMax   float64 // largest pitch diameter of the nut thread, E_n,max
	NutMinorMax   float64 // largest minor diameter of the nut thread, K_n,max
}

// Diameters of the 60 degree profile below the major diameter, in pitches, with
// H = sqrt(3)/2 P (ISO 724; ASME B1.1).
const (
	pitchDepth    = 0.649519052838329  // (3/4) H, to the pitch diameter
	nutMinorDepth = 1.082531754730548  // (5/4) H, to the nut's minor diameter
	rootDepth     = 1.226869322027955  // (17/12) H, to the root of an ISO screw (ISO 898-1)
	unifiedRoot   = 1.190784930203603  // (11/8) H, to the root of a UNR screw (ASME B1.1)
	tan30         = 0.5773502691896258 // tangent of the flank half angle
)

// StressDiameter returns d_s = sqrt(4 A_s/pi), in m: the diameter of the cylinder
// of the stress area. For an ISO thread it is (d2 + d3)/2 (ISO 898-1).
func (t *Thread) StressDiameter() float64 {
	return math.Sqrt(4 * t.StressArea / math.Pi)
}

// NutShearArea returns the area that shears when the nut thread (the tapped part)
// strips, per length of engagement, in m2/m, at the least favourable limits of
// size: pi D_s/P [P/2 + tan30 (D_s - E_n)] (FED-STD-H28/2B; ASME B1.1 appendix B).
func (t *Thread) NutShearArea() float64 {
	return shearArea(t.Pitch, t.ScrewMajorMin, t.ScrewMajorMin-t.NutPitchMax)
}

// ScrewShearArea is NutShearArea for the screw's own thread:
// pi K_n/P [P/2 + tan30 (E_s - K_n)].
func (t *Thread) ScrewShearArea() float64 {
	return shearArea(t.Pitch, t.NutMinorMax, t.ScrewPitchMin-t.NutMinorMax)
}

// shearArea is the area of the thread ridges on a cylinder: each ridge is half a
// pitch wide at the other part's pitch line, and wider by tan 30 degrees for every
// unit of diameter the cylinder cuts below it.
func shearArea(pitch, diameter, depth float64) float64 {
	return math.Pi * diameter / pitch * (pitch/2 + tan30*depth)
}

// NewThread makes a single-start 60 degree thread from a user's own numbers: pitch
// and basic pitch diameter in m, stress area in m2. The other diameters follow from
// the ISO 724 profile, the limits of size from the tolerance formulas of ISO 965-1
// for 6g in 6H (tabulated tolerances are those formulas rounded; the shear areas of
// the standard threads come out within 3 % of the tabulated ones).
//
// Allowed: pitch 0.2 to 6 mm (the pitches ISO 965-1 covers), pitch diameter at
// least twice the pitch and at most 0.3 m, stress area from a quarter of the area
// of the pitch cylinder (a necked screw) to the whole of it. Anything else, NaN
// included, is an error.
func NewThread(pitch, pitchDiameter, stressArea float64) (*Thread, error) {
	if !(pitch >= 0.2e-3 && pitch <= 6e-3) {
		return nil, fmt.Errorf("thread pitch %g m: want 0.0002 to 0.006 m", pitch)
	}
	if !(pitchDiameter >= 2*pitch && pitchDiameter <= 0.3) {
		return nil, fmt.Errorf("thread pitch diameter %g m: want %g (twice the pitch) to 0.3 m", pitchDiameter, 2*pitch)
	}
	cylinder := math.Pi / 4 * pitchDiameter * pitchDiameter
	if !(stressArea >= cylinder/4 && stressArea <= cylinder) {
		return nil, fmt.Errorf("thread stress area %g m2: want %.4g to %.4g m2 (a quarter to all of the pitch cylinder)",
			stressArea, cylinder/4, cylinder)
	}
	major := pitchDiameter + pitchDepth*pitch
	t := newProfile(major, pitch, rootDepth, isoTolerances(major, pitch))
	t.Designation = "own data"
	t.Standard = "given; profile ISO 724, tolerances by the formulas of ISO 965-1, 6g/6H"
	t.StressArea = stressArea
	return &t, nil
}

// newProfile fills in the basic profile and the limits of size.
func newProfile(major, pitch, root float64, tol tolerances) Thread {
	t := Thread{
		MajorDiameter:    major,
		Pitch:            pitch,
		PitchDiameter:    major - pitchDepth*pitch,
		MinorDiameter:    major - root*pitch,
		NutMinorDiameter: major - nutMinorDepth*pitch,
	}
	t.ScrewMajorMin = t.MajorDiameter - tol.allowance - tol.screwMajor
	t.ScrewPitchMin = t.PitchDiameter - tol.allowance - tol.screwPitch
	t.NutPitchMax = t.PitchDiameter + tol.nutPitch
	t.NutMinorMax = t.NutMinorDiameter + tol.nutMinor
	return t
}

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
