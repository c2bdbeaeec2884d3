// Package strata estimates how often a row exceeds one requirement, from rows
// drawn mostly where that happens: far fewer than plain random sampling takes,
// with an interval that is as sure.
//
// # How
//
// A linear fit of the output on the normal scores of the inputs, from a small
// sample of its own, gives the direction in which the output rises. Strata are
// slices across that direction, of known probability. Each gets rows of its own,
// as many as a second small sample says pay: few where the limit is out of
// reach, many around it. The estimate is Σ W k/n over the strata, of probability
// W with k of n rows exceeding.
//
// # Why it can be trusted
//
// The direction decides what the rows cost and nothing else. Strata, weights and
// numbers of rows stand before the first counted row is drawn, so that the
// estimate is unbiased whatever the model does. Events that the direction knows
// nothing of, a card that cannot be clamped, are as likely in the sample as in
// truth, and the interval (interval.WeightedCounts) allows for those possible
// but unseen: every stratum gets so many rows that one more event in it would not
// matter. That is what half of the rows are for.
//
// # Lack of knowledge
//
// A KnowledgeLook keeps apart what varies from card to card and what is the same for all
// cards but not known, such as a model's factor: the probability is then a number
// that is not known either, with a distribution. It is read from one sample of all
// inputs: where the rows that exceed lie in the space of the unknown ones.
//
// A row is one card; draws that the cards of a chassis share count as its own:
// the probability for one card does not depend on who else has the same draw.
package strata
