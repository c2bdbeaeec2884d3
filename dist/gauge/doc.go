// Package gauge judges a gauge by readings of the same parts: parts x operators x repeats,
// or parts x repeats by one operator.
//
// # The study
//
// Every operator reads every part equally often, twice at least; parts and operators stand
// for all others of their kind (two-way crossed random model). The analysis of variance is
// given with the interaction of operator and part and without it, its sum of squares then
// counted as repeatability. It is left out when its F test has p > 0.25 (Bancroft, Biometrics
// 20 (1964) 427, from memory): a test of 5 % would leave out many that are there.
//
// # Components
//
// Variance components are differences of mean squares; one below zero is set to zero. Their
// intervals are modified large-sample intervals: of the repeatability exact (chi-square), of
// differences Ting, Burdick, Graybill, Jeyaratnam and Lu, J. Statist. Comput. Simul. 35 (1990)
// 135, of the sum over the gauge Graybill and Wang, J. Am. Statist. Assoc. 75 (1980) 869 (all
// from memory). The choice of the model is no part of them; what they cover with it is
// repeated in the coverage suite.
//
// # Uncertainty
//
// The terms of ISO 22514-7: u_EVO repeatability on the parts, u_RE resolution, the larger of
// which counts, u_CAL calibration, u_LIN linearity; together the measuring system, u_MS. With u_AV
// operators and u_IA interaction they are the measurement process, u_MP. Accepting and
// rejecting parts follows ISO 14253-1: a part conforms where its reading is inside the limit by
// g u or more.
package gauge
