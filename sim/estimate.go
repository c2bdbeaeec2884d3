package sim

import (
	"math"

	"clampodds/sim/interval"
	"clampodds/sim/result"
)

// Estimate is one number of a result with its interval, in SI units.
type Estimate struct {
	// Value is the estimate, NaN when there is nothing to estimate from.
	Value float64 `json:"value"`
	// The interval's end that the samples cannot give is infinite (0 or 1 for a
	// probability) and has a warning.
	Interval
	// Level is the confidence asked for, Achieved what the interval has: more
	// where counts are whole numbers, less where an end is missing.
	Level    float64 `json:"level"`
	Achieved float64 `json:"achieved"`
	// Count is the number of events of a probability out of N; of a percentile
	// the number of values up to its rank, out of N values.
	Count int64 `json:"count"`
	N     int64 `json:"n"`
	// EffectiveN is the number of independent values that say as much as the N
	// at hand: less than N when cards of one chassis go together, more when the
	// points of a block are laid out evenly.
	EffectiveN float64 `json:"effective_n"`
	// Method names the interval.
	Method   string    `json:"method"`
	Warnings []Warning `json:"warnings,omitempty"`
}

// The warnings.
const (
	// EndNotAvailable: too few samples for one end of the interval.
	EndNotAvailable result.WarningCode = "end-not-available"
	// NothingCounted: no value or no sample to estimate from.
	NothingCounted result.WarningCode = "nothing-counted"
	// NeverSeen: no event; the interval is a one-sided upper bound.
	NeverSeen result.WarningCode = "never-seen"
	// AlwaysSeen: nothing but events; the interval is a one-sided lower bound.
	AlwaysSeen result.WarningCode = "always-seen"
	// FewClusters: too few groups or blocks with events to see how they go
	// together; the interval assumes the worst case.
	FewClusters result.WarningCode = "few-clusters"
	// WithoutValue: some rows have no value and are left out.
	WithoutValue result.WarningCode = "without-value"
	// ConstantOutput: outputs that are the same in every row.
	ConstantOutput result.WarningCode = "constant-output"
	// Stopped: the run was cancelled before its end.
	Stopped result.WarningCode = "stopped"
	// SamplesRounded: more samples than asked, to fill groups or blocks.
	SamplesRounded result.WarningCode = "samples-rounded"
)

func (e *Estimate) warn(code WarningCode, text string) {
	e.Warnings = append(e.Warnings, Warning{Code: code, Text: text})
}

// noEstimate is the estimate from nothing, low and high the ends of what is
// possible.
func noEstimate(level, low, high float64, method string) Estimate {
	e := Estimate{Value: math.NaN(), Interval: result.Interval{Low: low, High: high}, Level: level, Method: method}
	e.warn(NothingCounted, "nothing to estimate from")
	return e
}

// WarningCode names a kind of warning; codes do not change between versions.
type WarningCode = result.WarningCode

// Warning says what to mind about a number.
type Warning = result.Warning

// Interval bounds a number.
type Interval = result.Interval

// Verdict says how a requirement fares against its target.
type Verdict = result.Verdict

// The verdicts.
const (
	NoTarget  = result.NoTarget
	Met       = result.Met
	NotMet    = result.NotMet
	Undecided = result.Undecided
)

// All is the verdict on several requirements together.
func All(verdicts ...Verdict) Verdict { return result.All(verdicts...) }

// Counted estimates a probability from events among so many independent rows, as the
// counts of a run do.
func Counted(events, rows int64, level float64) Estimate {
	return probability(clusterSums{count: uint64(events), size: uint64(rows), together: 1}, level)
}

// probability estimates the share of counted in all from sums over clusters.
//
// Clopper & Pearson, Biometrika 26 (1934) 404, with the effective sample size
// where values are dependent: Korn & Graubard, Survey Methodology 24 (1998)
// 193. Nothing counted gives the one-sided upper bound of the same level, all
// counted the lower one: a target wrongly taken as met, or as not met, is then as
// improbable as the level says. The price is that around three expected events
// the two kinds of miss together reach 6.2 % at 95 %.
func probability(c clusterSums, level float64) Estimate {
	if c.size == 0 {
		return noEstimate(level, 0, 1, "Clopper-Pearson")
	}
	effective, warnings := c.effective(level)
	share := float64(c.count) / float64(c.size)
	e := Estimate{
		Value: share, Level: level, Achieved: level, Count: int64(c.count), N: int64(c.size),
		EffectiveN: effective, Method: "Clopper-Pearson" + c.methodSuffix(), Warnings: warnings,
	}
	switch c.count {
	case 0:
		e.High = interval.UpperBoundZero(effective, level)
		e.warn(NeverSeen, "never seen: the interval is an upper bound")
	case c.size:
		e.Low, e.High = interval.ClopperPearsonLower(effective, effective, level), 1
		e.warn(AlwaysSeen, "seen in every sample: the interval is a lower bound")
	default:
		e.Low, e.High = interval.ClopperPearson(share*effective, effective, level)
	}
	return e
}
