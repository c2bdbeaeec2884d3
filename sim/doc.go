// Package sim draws random inputs, runs a model on them and says what the
// outcomes mean: percentiles, probabilities and verdicts, all with intervals.
// It knows no physics: it sees a model through the interface Model.
//
// # One run
//
// Inputs holds the random inputs: how each is distributed (package dist), which
// are correlated, and which the rows of a group share. A row is one card, a
// group one chassis of cards. A Run evaluates one or more scenarios on the rows
// in blocks and keeps whole-number counts; a Result turns them into estimates.
//
// # Common draws
//
// Random numbers are addressed by seed, block and the name of the variable, and
// by nothing else. Scenarios of one run therefore see the same chassis with the
// same cards, differing only in what the scenarios change, and their difference
// is known far better than either of them: a hundred times fewer rows settle
// whether a change is safe. The same holds between runs with the samplers
// Random and LatinHypercube and the same block size. It also makes results
// independent of the number of workers, to the last bit.
//
// # What an interval means
//
// An interval of level 0.95 comes from a recipe that covers the true value in
// at least 95 of 100 runs with fresh seeds; tests of this package count it. It
// covers the noise of the sampling and nothing else: not a wrong model, not
// inputs that are themselves uncertain.
//
// # What never seen means
//
// No exceedance in n independent rows is no zero: the probability is below
// 1 - 0.05^(1/n), about 3/n, with 95 % confidence. Value is then 0, High that
// bound, and a verdict compares the bound with the target.
//
// # How many rows
//
// A run is as long as asked, or goes on until one number is known well enough
// (ExecuteUntil). It then stops on the width of an interval, never on a verdict.
// The trace of a probability (RequirementResult.Trace) shows how it got there.
//
// # Rows that go together
//
// Cards of one chassis share the plate, the lot and the altitude: a hundred
// chassis of ten cards say less than a thousand independent cards. Points of
// a Latin hypercube or a Halton block depend on each other too, and say more.
// Intervals take both into account through the scatter between groups or
// blocks, as an effective number of independent rows (Estimate.EffectiveN).
// Where events are too few to see how they go together, the worst case is
// assumed. The intervals are exact in the sense above for independent rows and
// approximate, checked by repetition, for dependent ones.
//
// # Left out
//
// Rows without a finite value, cards that could not be clamped, are counted
// apart: they exceed every limit, and percentiles and means are those of the
// other rows.
package sim
