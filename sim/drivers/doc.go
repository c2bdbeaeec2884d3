// Package drivers says which inputs make the spread of an output and the
// probability of a rare exceedance, and what holding or moving each would bring.
//
// An input is all instances of one entry of a study: both edges, all faces. It has
// one level, so what it drives is that level's.
//
// # The spread
//
// Shares of the variance: Sobol' indices of inputs, and of correlated inputs
// together, because the indices of one of them alone would mean nothing. Within
// such a set, Shapley effects, with all other inputs as one player more.
//
// # What if
//
// For each input, the same draws are turned into values four times more: with
// the input fixed at its mean, with half its spread, and with its mean one standard
// deviation lower and higher. Fixed and halved spreads shrink about the mean, cuts
// included; a moved mean takes the cuts along. One standard deviation is the unit
// of tolerance. Where an input starts at zero or near it (a roughness, a crown) and
// would be moved below, it is scaled to the moved mean instead. All instances
// change together, correlations stay.
//
// The exceedance is compared by importance sampling around the design points,
// before and after the change; percentiles by Latin hypercubes. Both see the same
// draws before and after: the difference is known much better than the two.
//
// # Slopes
//
// The derivatives of the exceedance probability with the mean and the standard
// deviation of an input, by the score function on the draws above. An input whose
// density jumps at an end of its support (uniform, half-normal) has none; what if
// answers for it.
package drivers
