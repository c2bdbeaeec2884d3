package sim

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/integrate/quad"

	"clampodds/dist"
)

// coverageCase is a run whose output is standard normal in every row, so that
// all true values are known: with cards > 1 the cards of a chassis have the
// variance share common in common.
type coverageCase struct {
	name    string
	sampler Sampler
	cards   int
	common  float64
	samples int64
	block   int
	missing bool // one row in six has no value, chassis by chassis very unequally
}

// splitNormal is the model: x0 shared, x1 and x2 the card's own, x3 and x4 what
// decides whether it has a value.
type splitNormal struct {
	common  float64
	missing bool
}

func (splitNormal) Outputs() []Output { return []Output{{Name: "y", Bin: 1e-3}} }

func (m splitNormal) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		y[0][r] = math.Sqrt(m.common)*x[0][r] + math.Sqrt((1-m.common)/2)*(x[1][r]+x[2][r])
		if m.missing && 0.9*x[3][r]+math.Sqrt(1-0.81)*x[4][r] > 0.9674 {
			y[0][r] = math.Inf(1)
		}
	}
}

var (
	coveragePercentiles   = []float64{0.01, 0.5, 0.95, 0.99}
	coverageProbabilities = []float64{0.1, 1e-2, 1e-3}
)

func (c coverageCase) run(t *testing.T) Run {
	s := Scenario{
		Name: "s", Model: splitNormal{c.common, c.missing},
		Inputs: newInputs(t, c.cards,
			shared("common", normal(0, 1)), variable("own 1", normal(0, 1)), variable("own 2", normal(0, 1)),
			shared("gap", normal(0, 1)), variable("own gap", normal(0, 1))),
	}
	for _, p := range coverageProbabilities {
		s.Requirements = append(s.Requirements, Requirement{Name: pString(p), Output: "y", Limit: -dist.NormalQuantile(p)})
	}
	return Run{
		Scenarios: []Scenario{s}, Sampler: c.sampler, Samples: c.samples, BlockRows: c.block,
		Workers: 1, Confidence: 0.95,
	}
}

func pString(p float64) string { return strconv.FormatFloat(p, 'g', -1, 64) }

// groupProbability is the probability that at least one of the cards exceeds
// the limit, by quadrature over what they have in common.
func (c coverageCase) groupProbability(limit float64) float64 {
	return quad.Fixed(func(s float64) float64 {
		own := dist.NormalCDF((limit - math.Sqrt(c.common)*s) / math.Sqrt(1-c.common))
		return math.Exp(dist.NormalLogDensity(s)) * (1 - math.Pow(own, float64(c.cards)))
	}, -9, 9, 400, nil, 0)
}

// Coverage of all intervals by repetition. Over 1000 repetitions the share that
// covers has a standard error of 0.69 % at 95 %: 3 of them below nominal would
// be a false alarm once in 700. Intervals that never miss may be far above: few
// events, or the worst case assumed.
func TestCoverage(t *testing.T) {
	if testing.Short() {
		t.Skip("a thousand runs each")
	}
	for _, c := range []coverageCase{
		{name: "independent", sampler: Random{}, cards: 1, samples: 1500},
		{name: "four cards, strong common draws", sampler: Random{}, cards: 4, common: 0.9, samples: 1200},
		{name: "four cards, weak common draws", sampler: Random{}, cards: 4, common: 0.2, samples: 1200},
		{name: "twenty chassis only", sampler: Random{}, cards: 8, common: 0.5, samples: 160},
		{name: "rows without value", sampler: Random{}, cards: 4, common: 0.5, samples: 1200, missing: true},
		{name: "Latin hypercube", sampler: LatinHypercube{}, cards: 1, common: 0.4, samples: 1280, block: 64},
		{name: "Latin hypercube of chassis", sampler: LatinHypercube{}, cards: 4, common: 0.5, samples: 1600, block: 160},
		{name: "Halton", sampler: Halton{}, cards: 1, common: 0.4, samples: 1280, block: 128},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := c.run(t)
			covered, width := map[string]float64{}, map[string]float64{}
			check := func(name string, truth float64, e Estimate) {
				if e.Low <= truth && truth <= e.High {
					covered[name] += 1.0 / repetitions
				}
				width[name] += (e.High - e.Low) / repetitions
			}
			for seed := range repetitions {
				r.Seed = uint64(seed)
				result := execute(t, r)
				s := result.Scenarios[0]
				for _, p := range coveragePercentiles {
					check("percentile "+pString(p), dist.NormalQuantile(p), s.Quantities[0].Percentile(p))
				}
				check("mean", 0, s.Quantities[0].Mean())
				if c.missing {
					continue
				}
				for i, p := range coverageProbabilities {
					check("card "+pString(p), p, s.Requirements[i].Exceeded.PerRow())
					check("chassis "+pString(p), c.groupProbability(s.Requirements[i].Requirement.Limit), s.Requirements[i].Exceeded.PerGroup())
				}
			}
			for name, share := range covered {
				assert.GreaterOrEqual(t, share, 0.95-3*math.Sqrt(0.95*0.05/repetitions), name)
				t.Logf("%-20s coverage %.3f, mean width %.4g", name, share, width[name])
			}
		})
	}
}

// Coverage of the difference of two exceedance probabilities on common draws,
// as above; the scenario's values are those of the first, shifted.
func TestPairedCoverage(t *testing.T) {
	const shift = 0.8
	if testing.Short() {
		t.Skip("a thousand runs each")
	}
	for _, c := range []coverageCase{
		{name: "four cards, strong common draws", sampler: Random{}, cards: 4, common: 0.9, samples: 4000},
		{name: "Latin hypercube", sampler: LatinHypercube{}, cards: 1, common: 0.4, samples: 4000, block: 200},
	} {
		r := c.run(t)
		first := r.Scenarios[0]
		first.Requirements = first.Requirements[:1]
		other := first
		other.Name = "shifted"
		other.Requirements = []Requirement{first.Requirements[0]}
		other.Requirements[0].Limit -= shift
		r.Scenarios = []Scenario{first, other}
		truth := dist.NormalSurvival(other.Requirements[0].Limit) - 0.1
		covered := 0.0
		for seed := range repetitions {
			r.Seed = uint64(seed)
			pair := execute(t, r).Pairs[0].Exceedances[0].Paired()
			if pair.ScoreLower(0.975) <= truth && truth <= pair.ScoreUpper(0.975) {
				covered += 1. / repetitions
			}
		}
		assert.GreaterOrEqual(t, covered, 0.95-3*math.Sqrt(0.95*0.05/repetitions), c.name)
		t.Logf("%s: coverage %.3f", c.name, covered)
	}
}
