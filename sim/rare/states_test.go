package rare

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/floats"
)

// stream gives each purpose and index a generator of its own.
func stream(seed uint64) Stream {
	return func(purpose string, index uint64) *rand.Rand {
		h := seed
		for _, c := range []byte(purpose) {
			h = (h ^ uint64(c)) * 0x9E3779B97F4A7C15
			h ^= h >> 29
		}
		return rand.New(rand.NewPCG(h, index))
	}
}

// problem turns limit states of one point into a Problem.
func problem(dim int, states ...func(u []float64) float64) Problem {
	return Problem{Dim: dim, Events: len(states), Evaluate: func(u, g [][]float64) {
		for e, state := range states {
			for r := range u {
				g[e][r] = state(u[r])
			}
		}
	}}
}

// linear is beta - alpha.u with all alpha equal.
func linear(dim int, beta float64) Problem {
	return problem(dim, func(u []float64) float64 { return beta - floats.Sum(u)/math.Sqrt(float64(dim)) })
}

// lognormal is the lognormal value with the mean and deviation at u.
func lognormal(u, mean, deviation float64) float64 {
	zeta := math.Sqrt(math.Log1p(deviation * deviation / (mean * mean)))
	return mean * math.Exp(zeta*u-zeta*zeta/2)
}

// state is a published limit state and its exact probability.
type state struct {
	id      string
	exact   float64
	source  string
	problem Problem
}

func fourBranches(k float64) func(u []float64) float64 {
	return func(u []float64) float64 {
		sum, difference := (u[0]+u[1])/math.Sqrt2, u[0]-u[1]
		bow := 3 + 0.1*difference*difference
		return min(bow-sum, bow+sum, difference+k/math.Sqrt2, -difference+k/math.Sqrt2)
	}
}

func lognormalSum(n int) func(u []float64) float64 {
	return func(u []float64) float64 {
		g := float64(n) + 3*0.2*math.Sqrt(float64(n))
		for _, x := range u {
			g -= lognormal(x, 1, 0.2)
		}
		return g
	}
}

func sphere(radius float64) func(u []float64) float64 {
	return func(u []float64) float64 { return radius*radius - floats.Dot(u, u) }
}

func states() []state {
	square := func(x float64) float64 { return x * x }
	return []state{
		{"B1: R - S, N(4,1) - N(2,1)", 7.8649603525e-2, "Phi(-sqrt 2)", problem(2, func(u []float64) float64 { return 4 + u[0] - 2 - u[1] })},
		{"B1b: R - S, N(7,1) - N(2,1)", 2.0347600872e-4, "Phi(-5/sqrt 2); the state of Waarts 2000", problem(2, func(u []float64) float64 { return 7 + u[0] - 2 - u[1] })},
		{"B1c (RP107): 5 sqrt 10 - sum of 10", 2.8665157188e-7, "Phi(-5)", problem(10, func(u []float64) float64 { return 5*math.Sqrt(10) - floats.Sum(u) })},
		{"B1d: 5.199337582 - x1", 1.0000000e-7, "Phi(-5.199337582)", problem(1, func(u []float64) float64 { return 5.199337582 - u[0] })},
		{"B2: four branches, k = 7", 2.2227950662e-3, "quadrature; Dubourg 2011 prints 2.2228e-3", problem(2, fourBranches(7))},
		{"B2: four branches, k = 6", 4.4573314906e-3, "quadrature; printed 4.416e-3 to 4.46e-3 are sampled", problem(2, fourBranches(6))},
		{"B3 (RP22): convex quadratic", 4.2073055113e-3, "quadrature", problem(2, func(u []float64) float64 { return 2.5 - (u[0]+u[1])/math.Sqrt2 + 0.1*square(u[0]-u[1]) })},
		{"B4: concave quadratic", 1.0456369318e-1, "quadrature; the state of Borri & Speranzini 1997", problem(2, func(u []float64) float64 { return -0.5*square(u[0]-u[1]) - (u[0]+u[1])/math.Sqrt2 + 3 })},
		{"B4b (RP24): quartic", 2.8599456875e-3, "quadrature", problem(2, func(u []float64) float64 {
			x, y := 10+3*u[0], 10+3*u[1]
			return 2.5 - 0.2357*(x-y) + 0.00463*square(square(x+y-20))
		})},
		{"B4c (RP31): narrow quartic", 3.2266812096e-3, "quadrature", problem(2, func(u []float64) float64 { return 2 - u[1] + 256*square(square(u[0])) })},
		{"B5: circle, r = 5.2565", 1.0000e-6, "exp(-r^2/2)", problem(2, sphere(5.256521769))},
		{"B5: circle, r = 4", 3.3546262790e-4, "exp(-8)", problem(2, sphere(4))},
		{"B5: sphere in 10 variables, r = 6.5", 6.7682226205e-6, "chi-squared tail", problem(10, sphere(6.5))},
		{"B5: sphere in 100 variables, r = 13", 1.9760369013e-5, "chi-squared tail", problem(100, sphere(13))},
		{"B6 (RP28): product, two design points", 1.45329455e-7, "quadrature, 30 digits", problem(2, func(u []float64) float64 {
			return (78064+11710*u[0])*(0.0104+0.00156*u[1]) - 146.14
		})},
		{"B7 (RP35): two modes", 3.4789462872e-3, "quadrature", problem(2,
			func(u []float64) float64 { return 2 - u[1] + math.Exp(-0.1*u[0]*u[0]) + square(square(0.2*u[0])) },
			func(u []float64) float64 { return 4.5 - u[0]*u[1] })},
		{"B9 (RP75): 3 - x1 x2", 9.8192987215e-3, "quadrature", problem(2, func(u []float64) float64 { return 3 - u[0]*u[1] })},
		{"B10 (RP111): 12.5 - abs(x1 x2)", 8.0350859650e-7, "quadrature; the printed 7.65e-7 is sampled", problem(2, func(u []float64) float64 { return 12.5 - math.Abs(u[0]*u[1]) })},
		{"B12: parabola, two design points", 3.0163119013e-3, "quadrature; the state of Der Kiureghian & Dakessian 1998", problem(2, func(u []float64) float64 { return 5 - u[1] - 0.5*square(u[0]-0.1) })},
		{"B13: 40 lognormals", 1.9813843e-3, "FFT convolution; the state of Rackwitz 2001", problem(40, lognormalSum(40))},
		{"B13: 100 lognormals", 1.7348803e-3, "FFT convolution; the state of Rackwitz 2001", problem(100, lognormalSum(100))},
		{"B14 (RP8): six lognormals", 7.897937e-4, "FFT convolution; published 7.897927545e-4", problem(6, func(u []float64) float64 {
			m := func(i int) float64 { return lognormal(u[i], 120, 12) }
			return m(0) + 2*m(1) + 2*m(2) + m(3) - 5*lognormal(u[4], 50, 10) - 5*lognormal(u[5], 40, 8)
		})},
		{"RP33: two planes", 2.5755977908e-3, "bivariate normal", problem(3,
			func(u []float64) float64 { return 3*math.Sqrt(3) - floats.Sum(u) },
			func(u []float64) float64 { return 3 - u[2] })},
		{"RP89: parabola and plane", 5.4712805290e-3, "quadrature; the printed 5.43e-3 is sampled", problem(2,
			func(u []float64) float64 { return 8 - u[0]*u[0] - u[1] },
			func(u []float64) float64 { return 6 - u[0]/5 - u[1] })},
		{"ln R - ln S", 2.32802505e-3, "closed form", problem(2, func(u []float64) float64 {
			return math.Log(lognormal(u[0], 200, 30)) - math.Log(lognormal(u[1], 100, 20))
		})},
	}
}

// cliff is lower by beyond where u0 < -edge, and has the slope of u1 everywhere.
func cliff(edge, slope, beyond float64) Problem {
	return problem(20, func(u []float64) float64 {
		g := slope - u[1]
		if u[0] < -edge {
			g -= beyond
		}
		return g
	})
}
