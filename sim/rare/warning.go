package rare

import "fmt"

// Code types a warning.
type Code int

// The codes.
const (
	// SearchCutShort: the search for ways to fail did not come to its end: the
	// evaluations ran out, or the failures found need too many centres.
	SearchCutShort Code = iota + 1
	// WeightsCollapsed: a few draws carry the importance sampling estimate.
	WeightsCollapsed
	// TargetMissed: the relative standard error is greater than wanted.
	TargetMissed
	// NoFailureSeen: no draw failed; only the upper bound means something.
	NoFailureSeen
)

// Warning is a caution that belongs to a result.
type Warning struct {
	Code Code
	Text string
}

func warn(c Code, format string, arguments ...any) Warning {
	return Warning{Code: c, Text: fmt.Sprintf(format, arguments...)}
}
