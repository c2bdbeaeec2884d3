package decide

import (
	"cmp"
	"math"
	"slices"

	"clampodds/dist"
	"clampodds/sim"
)

// Curve is the probability of exceeding a requirement along a setting.
type Curve struct {
	Requirement sim.Requirement
	// Points are in the order of their settings. Their intervals are those of
	// the points, one by one.
	Points []Point
	// Lower and Upper are the ends of the settings at which the requirement
	// holds, as far as they are known.
	Lower, Upper End
	// Falls says that the probability falls as the setting rises: the requirement sets a
	// lower end.
	Falls bool
}

// Point is the probability at one setting.
type Point struct {
	Setting float64
	sim.Estimate
	// Tail says that the tail methods gave it; else it was counted.
	Tail bool
	// sharp: it rests on rows about the limit or on the tail methods, not on the first look alone.
	sharp bool
	// guess is the normal score of the probability, by normalGuess where too few
	// were counted.
	guess float64
	// margin is the distance of the far percentile from the limit.
	margin float64
}

// End is an end of the settings at which a requirement holds.
type End struct {
	// Setting is the estimate; Low and High bound the true end with the
	// confidence of the run. -Inf and +Inf: not within the settings looked at.
	Setting float64
	sim.Interval
	// Slope is the change of the normal score of the probability with the
	// setting, at the end.
	Slope float64
}

// unbounded is the lower end of a requirement that holds however low the setting.
var unbounded = End{Setting: math.Inf(-1), Interval: sim.Interval{Low: math.Inf(-1), High: math.Inf(-1)}}

// mirrored is the end along the negative of the setting.
func (e End) mirrored() End {
	return End{Setting: -e.Setting, Interval: e.Negated(), Slope: -e.Slope}
}

// score is the normal score of not exceeding: high where p is small.
func score(p float64) float64 { return -dist.NormalQuantile(p) }

// add puts a point in its place; one of the same setting is replaced when the new
// one is sharp.
func (c *Curve) add(p Point) {
	at, known := slices.BinarySearchFunc(c.Points, p.Setting, func(q Point, s float64) int { return cmp.Compare(q.Setting, s) })
	switch {
	case !known:
		c.Points = slices.Insert(c.Points, at, p)
	case p.sharp:
		c.Points[at] = p
	}
}

// value is the score of the estimate, or the guess where none was counted.
func (p Point) value() float64 {
	if p.Value > 0 {
		return score(p.Value)
	}
	return math.Max(p.guess, score(p.High))
}

// locate finds the end along points whose scores rise with the setting: where
// the score reaches wanted. The probability falls along the points, so that a
// bound at one of them holds for all beyond it. Where sharp points enclose the end they
// alone give the estimate.
//
// Between points scores are taken as linear, the probit line of a normal
// tolerance; the ends of the intervals are carried through the same line.
func locate(points []Point, wanted float64) End {
	points = sharpen(points)
	n := len(points)
	settings := make([]float64, n)
	surely, possibly, values := make([]float64, n), make([]float64, n), make([]float64, n)
	for i, p := range points {
		settings[i], values[i] = p.Setting, p.value()
		surely[i], possibly[i] = score(p.High), score(p.Low)
		if i > 0 {
			surely[i] = math.Max(surely[i], surely[i-1])
		}
	}
	for i := n - 2; i >= 0; i-- {
		possibly[i] = math.Min(possibly[i], possibly[i+1])
	}
	var e End
	e.High, _ = reach(settings, surely, wanted)
	e.Low, _ = reach(settings, possibly, wanted)
	e.Setting, e.Slope = reach(settings, values, wanted)
	if at, slope := reachSharply(points, wanted); !math.IsInf(at, 0) {
		e.Setting, e.Slope = at, slope
	}
	e.Setting = math.Min(math.Max(e.Setting, e.Low), e.High)
	return e
}

// reachSharply is where the sharp points alone reach wanted.
func reachSharply(points []Point, wanted float64) (at, slope float64) {
	var settings, values []float64
	for _, p := range points {
		if p.sharp {
			settings, values = append(settings, p.Setting), append(values, p.value())
		}
	}
	return reach(settings, values, wanted)
}

// sharpen leaves out the points between sharp ones that are not sharp.
func sharpen(points []Point) []Point {
	first := slices.IndexFunc(points, func(p Point) bool { return p.sharp })
	last := len(points) - 1
	for last >= 0 && !points[last].sharp {
		last--
	}
	var kept []Point
	for i, p := range points {
		if i <= first || i >= last || p.sharp {
			kept = append(kept, p)
		}
	}
	return kept
}

// reach returns where values along rising settings first reach wanted, with the
// slope there: -Inf when the first one does already, +Inf when none does. From
// or to an infinite value the step is at the end that is on the safe side of a
// bound: where the value is known to be short.
func reach(settings, values []float64, wanted float64) (at, slope float64) {
	i := slices.IndexFunc(values, func(v float64) bool { return v >= wanted })
	switch {
	case i < 0:
		return math.Inf(1), 0
	case i == 0:
		return math.Inf(-1), 0
	}
	rise, run := values[i]-values[i-1], settings[i]-settings[i-1]
	switch {
	case math.IsInf(values[i-1], -1): // known to hold from here only
		return settings[i], 0
	case math.IsInf(values[i], 1): // may hold from there on already
		return settings[i-1], 0
	}
	return settings[i-1] + run*(wanted-values[i-1])/rise, rise / run
}
