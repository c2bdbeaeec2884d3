// Package fit turns measured readings into distributions, and says how far the
// readings carry.
//
// NewSample takes the readings with what is known of them: those below or above
// what the gauge shows, its resolution, its own error, the inspection limits
// outside which parts never reached the bench. Sample.Fit fits one family by
// maximum likelihood, Sample.Compare several; none of them drops a reading.
//
// A fit of few readings is uncertain, and its tails most of all. Distribution is
// the fitted curve as if it were true; Predictive carries the uncertainty of the
// parameters, so that its tail probability is that of the next part; Exceedance
// puts both beside an upper bound. A tail of 1e-7 cannot be read off 12 readings:
// the bound says so.
//
// Parameter uncertainty comes from the likelihood itself, averaged with a flat
// weight over the parameters named at each family (location and logarithm of the
// scale, in the logarithm of the reading where the family calls for it). For the
// normal case that is exactly Student's t; for the lognormal, Weibull, Gumbel,
// half-normal, Rayleigh and uniform families the intervals have the stated
// coverage whatever the number of complete readings; for the gamma and the beta
// family nearly so.
//
// Everything is in SI units, or whatever single unit the readings are in.
package fit
