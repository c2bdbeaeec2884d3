// Package decide answers the questions a design review asks, with an interval
// and one of three answers each: is there a setting at which every requirement
// holds (Window), is a change safe (Change), which design is better (Compare). It
// knows no physics: it sees scenarios of package sim.
//
// # Common draws
//
// All designs are evaluated on the same draws. A difference between two of them,
// or the course of a probability along a setting, is then known far better than
// any single value.
//
// # Counts or tails
//
// A probability is counted where the run has enough rows to show the target:
// where a target, or a margin, times the number of groups (chassis) is at
// least 5. Otherwise it comes from package rare by way of package tail. Which of
// them is used depends on the size of the run and on the target (of a relative
// margin, on what was counted before the change), not on the difference that is
// judged, so that no answer gets a second chance.
//
// The difference that a change makes to a probability which is counted is found
// again from as many rows drawn along the rise of the output (package strata), where
// the limit is seen exceeded; of the two answers the one with the narrower interval
// stands, whatever it says.
//
// Where no exceedance is in reach of the tail methods, a stricter limit serves: the
// limit is exceeded no more often than that.
//
// # What an answer rests on
//
// An answer takes the sampling noise into account, with the confidence of the
// run, and nothing else: not a wrong model. Undecided never means yes; it comes
// with what would decide, more rows or knowing more.
package decide
