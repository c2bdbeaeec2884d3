package force

import "math"

// Angle is an angle in rad with its functions. Hardly any study draws one, so who works through many cards
// keeps it. The zero value is the angle 0 before its first Turn.
type Angle struct {
	Radians, Sin, Cos, Tan float64
}

// Turn makes it another angle, unless it is that one.
func (a *Angle) Turn(radians float64) {
	if a.Radians != radians || a.Cos == 0 {
		a.Radians, a.Tan = radians, math.Tan(radians)
		a.Sin, a.Cos = math.Sincos(radians)
	}
}
