package fit

import "fmt"

// Code types a warning.
type Code int

// The codes.
const (
	// FewReadings: too few readings to tell families apart or to see a tail.
	FewReadings Code = iota + 1
	// NotDistinguishable: another family describes the readings about as well.
	NotDistinguishable
	// Rejected: the goodness-of-fit test speaks against the family.
	Rejected
	// FitNotTested: there is no goodness-of-fit test for these readings.
	FitNotTested
	// CoarseResolution: the readings come in steps that are not small beside
	// their spread, and no resolution was declared.
	CoarseResolution
	// GaugeDominates: the gauge's own error makes most of the spread.
	GaugeDominates
	// Unbounded: the readings do not bound the parameters; intervals are infinite.
	Unbounded
	// NotNormal: an index that presupposes normal readings is given for others.
	NotNormal
	// NotStable: the readings drift or jump in the order they were taken.
	NotStable
	// LotsDiffer: the lots differ by more than their own scatter explains.
	LotsDiffer
	// FewLots: the spread between lots rests on few lots.
	FewLots
	// OutsideLimits: readings lie outside the limits.
	OutsideLimits
)

// Warning is a caution that belongs to a result.
type Warning struct {
	Code Code
	Text string
}

func warn(c Code, format string, arguments ...any) Warning {
	return Warning{Code: c, Text: fmt.Sprintf(format, arguments...)}
}
