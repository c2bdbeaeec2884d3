package fit

import (
	"fmt"

	"clampodds/sim/result"
)

// The codes of warnings.
const (
	// FewReadings: too few readings to tell families apart or to see a tail.
	FewReadings result.WarningCode = "few-readings"
	// NotDistinguishable: another family describes the readings about as well.
	NotDistinguishable result.WarningCode = "not-distinguishable"
	// Rejected: the goodness-of-fit test speaks against the family.
	Rejected result.WarningCode = "rejected"
	// FitNotTested: there is no goodness-of-fit test for these readings.
	FitNotTested result.WarningCode = "fit-not-tested"
	// CoarseResolution: the readings come in steps that are not small beside
	// their spread, and no resolution was declared.
	CoarseResolution result.WarningCode = "coarse-resolution"
	// GaugeDominates: the gauge's own error makes most of the spread.
	GaugeDominates result.WarningCode = "gauge-dominates"
	// EndsAtReadings: the only family not rejected is the uniform one, which has no tails.
	EndsAtReadings result.WarningCode = "ends-at-readings"
	// PilesUp: readings pile up at an end, as where a gauge shows no more.
	PilesUp result.WarningCode = "piles-up"
	// Unbounded: the readings do not bound the parameters; intervals are infinite.
	Unbounded result.WarningCode = "unbounded"
	// NotNormal: an index that presupposes normal readings is given for others.
	NotNormal result.WarningCode = "not-normal"
	// NotStable: the readings drift or jump in the order they were taken.
	NotStable result.WarningCode = "not-stable"
	// LotsDiffer: the lots differ by more than their own scatter explains.
	LotsDiffer result.WarningCode = "lots-differ"
	// FewLots: the spread between lots rests on few lots.
	FewLots result.WarningCode = "few-lots"
	// BoundsOnly: some readings are only bounds, so that statistics of all are not given.
	BoundsOnly result.WarningCode = "bounds-only"
	// Outliers: readings lie too far out for the family of the others.
	Outliers result.WarningCode = "outliers"
	// OutsideLimits: readings lie outside the limits.
	OutsideLimits result.WarningCode = "outside-limits"
)

// Warning is a caution that belongs to a result.
type Warning = result.Warning

func warn(c result.WarningCode, format string, arguments ...any) Warning {
	return Warning{Code: c, Text: fmt.Sprintf(format, arguments...)}
}
