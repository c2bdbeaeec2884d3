package fit

import "fmt"

// Code types a warning; codes do not change between versions.
type Code string

// The codes.
const (
	// FewReadings: too few readings to tell families apart or to see a tail.
	FewReadings Code = "few-readings"
	// NotDistinguishable: another family describes the readings about as well.
	NotDistinguishable Code = "not-distinguishable"
	// Rejected: the goodness-of-fit test speaks against the family.
	Rejected Code = "rejected"
	// FitNotTested: there is no goodness-of-fit test for these readings.
	FitNotTested Code = "fit-not-tested"
	// CoarseResolution: the readings come in steps that are not small beside
	// their spread, and no resolution was declared.
	CoarseResolution Code = "coarse-resolution"
	// GaugeDominates: the gauge's own error makes most of the spread.
	GaugeDominates Code = "gauge-dominates"
	// Unbounded: the readings do not bound the parameters; intervals are infinite.
	Unbounded Code = "unbounded"
	// NotNormal: an index that presupposes normal readings is given for others.
	NotNormal Code = "not-normal"
	// NotStable: the readings drift or jump in the order they were taken.
	NotStable Code = "not-stable"
	// LotsDiffer: the lots differ by more than their own scatter explains.
	LotsDiffer Code = "lots-differ"
	// FewLots: the spread between lots rests on few lots.
	FewLots Code = "few-lots"
	// BoundsOnly: some readings are only bounds, so that statistics of all are not given.
	BoundsOnly Code = "bounds-only"
	// OutsideLimits: readings lie outside the limits.
	OutsideLimits Code = "outside-limits"
)

// Warning is a caution that belongs to a result.
type Warning struct {
	Code Code
	Text string
}

func warn(c Code, format string, arguments ...any) Warning {
	return Warning{Code: c, Text: fmt.Sprintf(format, arguments...)}
}
