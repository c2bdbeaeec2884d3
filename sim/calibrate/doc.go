// Package calibrate narrows what is not known about a model by readings: Bayes'
// rule for one to three parameters, noise of the readings and variation from unit
// to unit kept apart. It knows no physics: it sees the model as a function.
//
// # What is asked
//
// A parameter is one unknown number, the same for all readings, with a prior
// distribution. A variable is anything else that is random: it may be shared by
// all readings (the lot the units come from, another number not known), belong to
// a unit (its flatness) or to a set-up of it (one tightening of its screw).
// Noise is the error of a reading alone. Taking variation for noise would make
// forty readings of one unit say as much as forty units.
//
// # Likelihood
//
// Given the parameters θ, the readings y are taken as jointly normal,
//
//	y | θ ~ N(μ(θ), C(θ) + diag(noise²)),
//
// μ and C being mean and covariance of what the model gives over the variables.
// They come from one fixed sample of draws, the same for every θ, whose mean,
// variances and covariances are made exactly those of independent standard
// normal scores. C is put together by sharing: with the scores z and draws k,
//
//	C = G_c G_cᵀ + [same unit] (G_u G_uᵀ + R) + [same set-up] G_s G_sᵀ,
//
// G = Σ_k (y_k - μ) z_kᵀ/K the linear part by the variables of each kind and R the
// covariance of what is not linear in the scores, counted to the unit. The
// variance of every reading is that of the sample, without exception; where the
// response is linear in normal variables, mean and covariance are exact however
// few the draws. Readings whose spread the variables make, rather than noise, are
// put on the scale of the first parameter before, if what varies from unit to unit
// is straighter there (straight.go).
//
// # Posterior
//
// Parameters are worked with as normal scores, where every prior is a standard
// normal. μ and C are computed at Chebyshev points and interpolated between them,
// first over the whole prior to find the mode, then within six standard
// deviations of the posterior; there the trapezoidal rule on a square grid
// integrates, whose error falls exponentially for functions that die away at both
// ends (Trefethen & Weideman, SIAM Review 56 (2014) 385). The box is moved and
// the step repeated until it fits.
//
// # What a posterior means
//
// An interval of level 0.95 holds the parameter with probability 0.95 given the
// prior, the readings and the model. It says nothing about a model that is
// wrong in its form: for that look at the surprise and at the trends of the
// residuals, and at nothing else before.
package calibrate
