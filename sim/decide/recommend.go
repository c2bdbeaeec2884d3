package decide

import "math"

// Allowed is what a recommended setting keeps to, besides the window; what is 0 is not asked.
type Allowed struct {
	// Least and Most are settings that are allowed by others, such as a maker.
	Least, Most float64
	// Margin is kept to either end of the window.
	Margin float64
	// LargestTolerance is the largest that makes sense. Without one it is ToleranceShare of
	// the setting, or a step where that is more.
	LargestTolerance, ToleranceShare float64
}

// largest is the largest tolerance of a setting.
func (a Allowed) largest(setting, step float64) float64 {
	switch {
	case a.LargestTolerance > 0:
		return a.LargestTolerance
	case a.ToleranceShare > 0:
		return max(a.ToleranceShare*setting, step)
	}
	return math.Inf(1)
}

// Bounds says what set the ends of a recommendation.
type Bounds struct {
	// LeastBinds, MostBinds and ToleranceBinds say that what is allowed did, not the window.
	LeastBinds, MostBinds, ToleranceBinds bool
	// Disjoint says that window and allowed settings have nothing in common: what is shown to
	// hold is not allowed, and what is allowed is not shown to hold.
	Disjoint bool
	// Room is the tolerance that the window and what is allowed leave.
	Room float64
}

// within recommends a setting in the window [low, high] that keeps to what is allowed: in its middle or,
// unless that is NaN, as near to another setting as the tolerance lets it.
func (a Allowed) within(low, high, step, near float64) (setting, tolerance float64, ok bool, b Bounds) {
	low, high = low+a.Margin, high-a.Margin
	if b.LeastBinds = a.Least > low; b.LeastBinds {
		b.Disjoint = a.Least > high
		low = a.Least
	}
	if b.MostBinds = a.Most > 0 && a.Most < high; b.MostBinds {
		b.Disjoint = a.Most < low // with the least above the window too: then low is that
		high = a.Most
	}
	if b.Disjoint {
		return 0, 0, false, b
	}
	if setting, b.Room, ok = Widest(low, high, step); !ok {
		return 0, 0, false, b
	}
	if !math.IsNaN(near) {
		first, last := setting-b.Room, setting+b.Room
		beside := min(b.Room, math.Floor(a.largest(near, step)/step+rounding)*step)
		setting = min(max(math.Round(near/step)*step, first+beside), last-beside)
		b.Room = min(setting-first, last-setting)
	}
	largest := a.largest(setting, step)
	if b.ToleranceBinds = b.Room > largest; b.ToleranceBinds {
		return setting, math.Floor(largest/step+rounding) * step, true, b
	}
	return setting, b.Room, true, b
}

// rounding, in steps: an end that is a multiple belongs to the window.
const rounding = 1e-9

// stepsInside are the first and the last multiple of step in [low, high], in steps; the first is above the last where there is none.
func stepsInside(low, high, step float64) (first, last float64) {
	return math.Ceil(low/step - rounding), math.Floor(high/step + rounding)
}

// Widest returns the multiple of step in the middle of [low, high] and how far
// either way multiples stay inside; ok is false when none lies inside.
func Widest(low, high, step float64) (setting, tolerance float64, ok bool) {
	first, last := stepsInside(low, high, step)
	if !(first <= last) {
		return 0, 0, false
	}
	middle := math.Floor((first + last) / 2)
	return middle * step, math.Min(middle-first, last-middle) * step, true
}
