package rare

import "fmt"

// Code types a warning.
type Code int

// The codes.
const (
	// NoDesignPoint: the search found no design point for an event within
	// reach: it hardly ever happens, or its limit state has no usable slope.
	NoDesignPoint Code = iota + 1
	// SaddlePoint: a search ended on a point that is not a local minimum of the
	// distance; nearer failures beside it were followed instead.
	SaddlePoint
	// NotConverged: a search stopped on the limit state at a point that is not a
	// smooth local minimum (a kink, or too many steps); it is used as a centre.
	NotConverged
	// SearchCutShort: the evaluations for the search of design points ran out.
	SearchCutShort
	// ManyDesignPoints: the search stopped at its greatest number of points;
	// the failure domain may surround the origin.
	ManyDesignPoints
	// WeightsCollapsed: a few draws carry the importance sampling estimate.
	WeightsCollapsed
	// TargetMissed: the allowed evaluations ended before the wanted relative
	// standard error was reached.
	TargetMissed
	// SubsetStuck: runs of the subset simulation found no way further down: the
	// limit state has no slope there (an indicator), or evaluations ran out.
	SubsetStuck
	// NoFailureSeen: no draw failed; only the upper bound means something.
	NoFailureSeen
	// DesignPointMissed: the subset simulation found failures away from every
	// design point; centres were added there.
	DesignPointMissed
)

// Warning is a caution that belongs to a result.
type Warning struct {
	Code Code
	Text string
}

func warn(c Code, format string, arguments ...any) Warning {
	return Warning{Code: c, Text: fmt.Sprintf(format, arguments...)}
}
