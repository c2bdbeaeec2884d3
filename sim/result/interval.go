// Package result holds what every estimate of package sim and its rooms is made of:
// an interval and the verdict that it gives. It has no statistics of its own.
package result

// Interval bounds a number. An end that the samples cannot give is infinite, or at the
// end of what is possible.
type Interval struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Judge holds the interval against a limit that the number must not exceed. A limit of
// 0 is none. Ends that are no number decide nothing.
func (i Interval) Judge(limit float64) Verdict {
	switch {
	case limit == 0:
		return NoTarget
	case i.High <= limit:
		return Met
	case i.Low > limit:
		return NotMet
	}
	return Undecided
}

// Contains reports whether x lies within the interval, ends included, or an end is no
// number.
func (i Interval) Contains(x float64) bool { return !(i.Low > x) && !(i.High < x) }

// Negated is the interval of the number with its sign changed.
func (i Interval) Negated() Interval { return Interval{-i.High, -i.Low} }

// Times is the interval of the number times a factor that is not negative.
func (i Interval) Times(factor float64) Interval { return Interval{i.Low * factor, i.High * factor} }
