// Package loosen says how far a tolerance may go before a requirement is
// missed, all others as they are, and what it would have to become when one is
// missed now; and which of several offered tolerances meet the requirements at
// the lowest cost. It knows no physics: it sees scenarios of package sim.
//
// # One tolerance at a time
//
// A Move takes one study input along an axis: its spread by a factor, its
// inspection limits by a factor, its mean by a shift. All variables of the input
// move together. Along the axis the exceedance probability P of each requirement
// is estimated on common draws, so that its course is smooth although every
// single estimate is uncertain, and the position is sought at which P reaches the
// target.
//
// # What the interval of a position means
//
// A position is proven when the interval of every requirement's probability is at
// or below its target there, possible when none is above it. The true end of the
// tolerance lies between the last proven position and the first that is not
// possible with at least the confidence of the run: at the true end the interval
// of the probability contains the target that often. This inversion needs no
// assumption about the course of P but one: P crosses its target once between the
// positions looked at.
//
// A position is possible at the confidence of the run for all requirements
// together (Bonferroni); to be proven, every single one has to show it.
//
// # Sets of tolerances
//
// Cheapest walks through combinations of offered steps from the cheapest up. It
// assumes that a wider spread never lowers P and leaves out what is at least as
// wide in everything as a combination that missed. What it finds is judged again
// on fresh draws: the best of many looks better than it is.
package loosen
