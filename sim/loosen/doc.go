// Package loosen says how far a tolerance may go before a requirement is missed
// in a condition of the mission, all others as they are, and what it would have
// to become when one is missed now. It knows no physics: it sees the members of a
// mission of package decide.
//
// A Move takes one study input along an axis: its spread by a factor, its
// inspection limits by a factor, its mean by a shift, a share of its draws to
// another distribution. All variables of the input move together, in every
// condition that does not set the input itself to something that cannot move.
//
// An end is the last position at which the mission is met, as decide judges it: by
// numbers of record, with both kinds of not knowing. See decide.Reach for how it is
// found and what it takes for granted.
package loosen
