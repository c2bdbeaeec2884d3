package contact

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// coatFactorOf is C = R(coat)/R(bare) of one side.
func coatFactorOf(ratio, eps, tau float64) float64 {
	var side coated
	side.set(coats(), tau, ratio, 1)
	return coats().factor(&side, &spot{radius: 1, eps: eps, lnEps: math.Log(eps), bare: coats().constriction(eps)})
}

// seriesFactor is C from the flux tube series as it stands. Coat and bare body
// differ by a sum that ends like exp(-2 d_n eps tau); the bare body's is the
// published polynomial of TestTubeConstriction.
func seriesFactor(ratio, eps, tau float64) float64 {
	g := (ratio - 1) / (ratio + 1)
	sum := 0.0
	for n := 1; ; n++ {
		at := (float64(n) + 0.25) * math.Pi
		d := at - 3/(8*at) // McMahon; Newton does the rest
		for range 3 {
			d -= math.J1(d) / (math.J0(d) - math.J1(d)/d)
		}
		q := g * math.Exp(-2*d*eps*tau)
		if math.Abs(q) < 1e-12 {
			break
		}
		j0 := math.J0(d)
		sum += math.Sin(d*eps) * math.J1(d*eps) / (eps * eps * d * d * d * j0 * j0) * 2 * q / (1 - q)
	}
	e2 := eps * eps
	bare := 1 - eps*(1.409252413-e2*(0.2959098468+e2*(0.0525416243+e2*0.021)))
	return (bare + 8/math.Pi*eps*sum) / (ratio * bare)
}

// hankelFactor is C of a layered half space by quadrature: (4/pi) Int sin u J1(u)/u^2
// (Phi - 1) du + 1 over K, in Gauss-Legendre panels that
// follow both the waves of f and the fall of the images.
func hankelFactor(ratio, tau float64) float64 {
	g := (ratio - 1) / (ratio + 1)
	nodes := []float64{0.1834346424956498, 0.5255324099163290, 0.7966664774136267, 0.9602898564975363}
	weights := []float64{0.3626837833783620, 0.3137066458778873, 0.2223810344533745, 0.1012285362903763}
	sum := 0.0
	panel := min(1, 0.25/tau)
	for start := 0.0; start*2*tau < 30; start += panel {
		for i, x := range nodes {
			for _, u := range []float64{start + panel*(1-x)/2, start + panel*(1+x)/2} {
				q := g * math.Exp(-2*u*tau)
				sum += panel * weights[i] / 2 * math.Sin(u) * math.J1(u) / (u * u) * 2 * q / (1 - q)
			}
		}
	}
	return (1 + 4/math.Pi*sum) / ratio
}

// TestCoatFactorIsTheSeries checks the tables over their range against series and
// integral, which share nothing with them but the physics: 1e-6 for coats of up to 20
// times the body's conductivity, where the tables hold what is said of them.
func TestCoatFactorIsTheSeries(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	between := func(low, high float64) float64 {
		return low * math.Exp(random.Float64()*math.Log(high/low))
	}
	for range 300 {
		ratio, eps, tau := between(leastCoatRatio, 20), between(1e-3, 0.152), between(3e-3, 300)
		if eps*tau < 2e-3 {
			tau = 2e-3 / eps * between(1, 100) // the series ends within some thousand terms
		}
		assert.InEpsilon(t, seriesFactor(ratio, eps, tau), coatFactorOf(ratio, eps, tau), 1e-6, "K %g eps %g tau %g", ratio, eps, tau)
	}
	for i := range 100 { // beyond the spot law's range, and better coats; every other at the end, where what middleEps2 leaves is most
		ratio, eps, tau := between(leastCoatRatio, mostCoatRatio), between(1e-3, 0.2), between(0.1, 100)
		if i%2 == 0 {
			eps = math.Sqrt(mostCoatPressure)
		}
		tau = max(tau, 1e-3/eps)
		assert.InEpsilon(t, seriesFactor(ratio, eps, tau), coatFactorOf(ratio, eps, tau), 1.4e-5, "K %g eps %g tau %g", ratio, eps, tau)
	}
	for _, c := range []struct{ ratio, tau, want float64 }{ // summed elsewhere, to d_n eps = 6000 with the tail's mean: 1e-9
		{0.000553, 0.05, 138.202311}, {0.0036, 0.02, 9.7968853}, {0.0036, 0.08, 33.6134913}, {0.03, 1, 26.7045372}, {0.03, 3, 33.0298638},
	} {
		assert.InEpsilon(t, c.want, coatFactorOf(c.ratio, 0.2, c.tau), 1.4e-5, "%+v", c)
	}
	for range 60 {
		ratio, tau := between(leastCoatRatio, 20), between(1e-3, 100)
		assert.InEpsilon(t, hankelFactor(ratio, tau), coatFactorOf(ratio, 1e-9, tau), 1e-6, "K %g tau %g", ratio, tau)
	}
}

func TestCoatFactorLimits(t *testing.T) {
	for _, ratio := range []float64{1e-4, 1.3 / 167, 0.1, 1, 2.5, 100} {
		for _, eps := range []float64{1e-3, 0.03, 0.2} {
			assert.InDelta(t, 1, coatFactorOf(ratio, eps, 1e-12), 4e-5, "no coat, K %g eps %g", ratio, eps)
			assert.InEpsilon(t, 1/ratio, coatFactorOf(ratio, eps, 1e5), 1e-9, "thick coat, K %g eps %g", ratio, eps)
		}
	}
	for eps := 0.001; eps < 0.2; eps *= 1.1 {
		// Mikic's power law, which is 0.76 % under the exact series at eps = 0.15.
		assert.InEpsilon(t, math.Pow(1-eps, 1.5), coats().constriction(eps), 0.0077)
	}
}

// TestCoatFactorGrows: a thicker or poorer coat never conducts better, nor a better
// coat worse. Two tables of 1e-6 stand behind each value.
func TestCoatFactorGrows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ratio, eps := logarithmic(t, "K", 1e-4, 50), logarithmic(t, "eps", 1e-3, 0.2)
		tau, by := logarithmic(t, "tau", 1e-7, 1e4), logarithmic(t, "by", 1.0001, 30)
		here := coatFactorOf(ratio, eps, tau)
		thicker := coatFactorOf(ratio, eps, tau*by)
		if better := math.Log(thicker / here); better*math.Log(ratio) > 3e-6*math.Abs(math.Log(ratio)) {
			t.Fatalf("C from %g to %g with the thickness", here, thicker)
		}
		if conducting := coatFactorOf(ratio*by, eps, tau); conducting > here*(1+3e-6) {
			t.Fatalf("C from %g to %g with the conductivity", here, conducting)
		}
	})
}

func TestIndentation(t *testing.T) {
	assert.InEpsilon(t, spotRadius(1e-3), indentation, 1e-12)
}

// TestCoatedHardness walks from no coat to a thick one.
func TestCoatedHardness(t *testing.T) {
	body := Body{Hardness: 1.4e9, Coat: Coat{Conductivity: 1.3, Hardness: 3.5e9}}
	for _, hard := range []bool{true, false} {
		if !hard {
			body.Coat.Hardness = 0.1e9
		}
		previous := body.Hardness
		for x := 1e-3; x < 6; x *= 1.01 {
			body.Coat.Thickness = x * 1e-6
			h := body.hardness(1e-6)
			assert.False(t, hard && h < previous*(1-1e-12) || !hard && h > previous*(1+1e-12), "t/d %g", x)
			assert.InEpsilon(t, previous, h, 0.2, "step at t/d %g", x)
			previous = h
		}
		assert.Equal(t, body.Coat.Hardness, previous)
	}
	// Antonetti and Yovanovich 1985: one depth of a soft coat leaves 1.81 times its hardness.
	body.Coat.Thickness = 1e-6
	assert.InEpsilon(t, 1.81*body.Coat.Hardness, body.hardness(1e-6), 1e-12)
}

func TestCoatIsRefused(t *testing.T) {
	body := aluminiumBody()
	for _, c := range []struct {
		coat    Coat
		message string
	}{
		{Coat{1e-10, 1, 1e9}, "first body: coat thickness 1e-10 m: want 1e-09 to 0.01 m"},
		{Coat{1e-6, 0, 1e9}, "first body: coat conductivity 0 W/mK: want 0.001 to 5000 W/mK"},
		{Coat{1e-6, 1, 0}, "first body: coat hardness 0 Pa: want 100000 to 1e+12 Pa"},
	} {
		with := body
		with.Coat = c.coat
		_, err := NewPair(with, body, 0)
		require.Error(t, err)
		assert.Equal(t, c.message, err.Error())
	}
}
