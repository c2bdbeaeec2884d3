package force

// Fit says whether a clamp takes hold in its slot. The zero value is unset.
type Fit int

const (
	// Seated: the card goes in and the clamp reaches both faces.
	Seated Fit = iota + 1
	// DoesNotEnter: flange and retracted clamp are thicker than the slot.
	DoesNotEnter
	// OutOfTravel: the clamp is fully expanded before it reaches the rail.
	OutOfTravel
)

// String returns "seated", "does not enter", "out of travel", or "unset" for any
// other value.
func (f Fit) String() string {
	switch f {
	case Seated:
		return "seated"
	case DoesNotEnter:
		return "does not enter"
	case OutOfTravel:
		return "out of travel"
	default:
		return "unset"
	}
}

// Expansion returns how far the clamp has to expand, e, in m: slot width less
// flange thickness less retracted height of the clamp, all in m. Below 0 the parts
// interfere.
func Expansion(slotWidth, flangeThickness, retractedHeight float64) float64 {
	return slotWidth - flangeThickness - retractedHeight
}

// FitOf returns the outcome for an expansion and the clamp's greatest expansion
// (travel), both in m: DoesNotEnter below 0, OutOfTravel above travel, otherwise
// Seated, the ends of the range included. NaN gives OutOfTravel.
func FitOf(expansion, travel float64) Fit {
	switch {
	case expansion < 0:
		return DoesNotEnter
	case expansion <= travel:
		return Seated
	default:
		return OutOfTravel
	}
}

// Overlap returns the length along the ramp, in m, over which two neighbouring
// pieces still touch: (height - e)/sin theta. height is the height of a piece and
// expansion e, both in m; theta, the ramp's angle, is in (0, pi/2). An expansion over
// the height gives 0.
func (a *Angle) Overlap(height, expansion float64) float64 { return max(0, height-expansion) / a.Sin }
