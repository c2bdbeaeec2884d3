// Package tail shows a scenario of package sim to package rare: the probability
// that a row exceeds a requirement, as a problem in the space of independent
// standard normal variables.
//
// A row here is one card. Draws that the cards of a chassis share count as the
// card's own: the probability for one card does not depend on who else has the
// same draw.
//
// The coordinates are the normal scores of the variables before
// correlation: x = F^-1(Φ(L u)), L the Cholesky factor of the Gaussian copula. Only
// variables of one correlated set mix.
package tail
