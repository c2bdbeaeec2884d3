package calibrate

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
)

// rig is a cheap likeness of a clamped card: a rise over a wall of a fixed
// resistance and one that the factor, the load and three variables divide. Its
// logarithm is what is observed: there variation is nearly normal.
type rig struct {
	loads, powers []float64
	units, setups []int
	unit          float64 // spread of the logarithm of the conductance from unit to unit
}

func (r rig) rise(o int, conductance float64) float64 {
	return r.powers[o] * (0.1 + 0.2/conductance)
}

func (r rig) conductance(o int, z [3]float64) float64 {
	return math.Pow(r.loads[o], 0.95) * math.Exp(0.10*z[0]+r.unit*z[1]+0.05*z[2])
}

const rigNoise = 0.3

// problem is the rig with its readings to come.
func (r rig) problem(t testing.TB) *Problem {
	p := &Problem{
		Parameters: []Parameter{{Name: "factor", Prior: lognormal(t, 1, 0.35)}},
		Variables:  []Variable{{"lot", Common}, {"unit", PerUnit}, {"set-up", PerSetup}},
		Covariates: []Covariate{{"load", r.loads}, {"power", r.powers}},
		Model: func(scores [][]float64) Response {
			drawn := batch.Columns(len(r.loads), len(scores[0])) // conductance at a factor of 1
			for o := range drawn {
				for k := range drawn[o] {
					drawn[o][k] = r.conductance(o, [3]float64{scores[0][k], scores[1][k], scores[2][k]})
				}
			}
			return func(parameters []float64, y [][]float64) {
				for o := range y {
					for k, conductance := range drawn[o] {
						y[o][k] = math.Log(r.rise(o, parameters[0]*conductance))
					}
				}
			}
		},
		Confidence: 0.95, Draws: 64,
	}
	for o := range r.loads {
		p.Observations = append(p.Observations, Observation{Noise: 0.02, Unit: r.units[o], Setup: r.setups[o]})
	}
	return p
}

// read takes readings of one rig with all that scatters.
func (r rig) read(p *Problem, factor float64, random *rand.Rand) {
	lot := random.NormFloat64()
	unit, setup := map[int]float64{}, map[int]float64{}
	for o, q := range p.Observations {
		if _, known := unit[q.Unit]; !known {
			unit[q.Unit] = random.NormFloat64()
		}
		if _, known := setup[q.Setup]; !known {
			setup[q.Setup] = random.NormFloat64()
		}
		r.observe(&p.Observations[o], r.rise(o, factor*r.conductance(o, [3]float64{lot, unit[q.Unit], setup[q.Setup]}))+rigNoise*random.NormFloat64(), rigNoise)
	}
}

// observe sets an observation to the logarithm of a rise.
func (r rig) observe(o *Observation, rise, noise float64) {
	o.Value, o.Noise = math.Log(rise), noise/rise
}

var demoRig = rig{
	loads:  []float64{0.5, 0.7, 0.7, 0.9, 0.5, 0.7, 0.9, 0.9},
	powers: []float64{40, 40, 60, 60, 60, 80, 80, 40},
	units:  []int{1, 1, 1, 1, 2, 2, 2, 2},
	setups: []int{1, 2, 2, 3, 4, 5, 6, 6},
	unit:   0.12,
}

// The wrong exponent of the load shows as a trend with load, and nothing else.
func TestWrongExponentIsFlagged(t *testing.T) {
	p := demoRig.problem(t)
	wrong := demoRig
	wrong.loads = nil
	for _, l := range demoRig.loads {
		wrong.loads = append(wrong.loads, l*l)
	}
	random := rand.New(rand.NewPCG(1, 2))
	wrong.read(p, 1, random)
	r, err := p.Solve(context.Background())
	require.NoError(t, err)
	require.Len(t, r.Trends, 2)
	assert.True(t, r.Trends[0].Flagged, "%+v", r.Trends[0])
	assert.Less(t, r.Trends[0].From, r.Trends[0].To, "conductance rises faster with the load than the model has it")
	assert.False(t, r.Trends[1].Flagged, "%+v", r.Trends[1])
	assert.Contains(t, codes(r), ResidualTrend)
}

func codes(r *Result) (list []sim.WarningCode) {
	for _, w := range r.Warnings {
		list = append(list, w.Code)
	}
	return list
}

func TestWarnings(t *testing.T) {
	solve := func(change func(p *Problem)) *Result {
		p := demoRig.problem(t)
		demoRig.read(p, 1, rand.New(rand.NewPCG(3, 4)))
		change(p)
		r, err := p.Solve(context.Background())
		require.NoError(t, err)
		return r
	}
	assert.Empty(t, codes(solve(func(*Problem) {})))
	for want, change := range map[sim.WarningCode]func(p *Problem){
		FewReadings:   func(p *Problem) { p.Observations, p.Covariates = p.Observations[:2], nil },
		PriorConflict: func(p *Problem) { p.Observations[1].Value += 1 },
		FarFromPrior: func(p *Problem) {
			for o := range p.Observations {
				p.Observations[o].Value += 1.2
			}
		},
		TooClose: func(p *Problem) {
			for o := range p.Observations {
				demoRig.observe(&p.Observations[o], demoRig.rise(o, demoRig.conductance(o, [3]float64{})), 20)
			}
		},
		HardlyNarrowed: func(p *Problem) {
			for o := range p.Observations {
				p.Observations[o].Noise = 2
			}
		},
		NoiseGoverns: func(p *Problem) {
			for o := range p.Observations {
				p.Observations[o].Noise = 2
			}
		},
	} {
		assert.Contains(t, codes(solve(change)), want)
	}
}

// Draws that cannot be observed are left out and reported.
func TestUnusableDraws(t *testing.T) {
	p := demoRig.problem(t)
	demoRig.read(p, 1, rand.New(rand.NewPCG(3, 4)))
	model := p.Model
	p.Model = func(scores [][]float64) Response {
		inner := model(scores)
		return func(parameters []float64, y [][]float64) {
			inner(parameters, y)
			for k, z := range scores[1] {
				if z > 1.28 { // one in ten
					y[0][k] = math.Inf(1)
				}
			}
		}
	}
	r, err := p.Solve(context.Background())
	require.NoError(t, err)
	assert.Contains(t, codes(r), UnusableDraws)
	assert.InDelta(t, 0.1, r.Unusable, 0.11) // 3 standard errors of 64 draws
	p.Model = func([][]float64) Response {
		return func(_ []float64, y [][]float64) { floats.AddConst(math.NaN(), y[0]) }
	}
	_, err = p.Solve(context.Background())
	assert.ErrorContains(t, err, "cannot have been observed")
}

func TestSameForAnyNumberOfWorkers(t *testing.T) {
	solve := func(workers int) *Result {
		p := demoRig.problem(t)
		demoRig.read(p, 0.9, rand.New(rand.NewPCG(5, 6)))
		second := Parameter{Name: "other", Prior: lognormal(t, 1, 0.2)}
		p.Parameters = append(p.Parameters, second)
		p.Workers = workers
		r, err := p.Solve(context.Background())
		require.NoError(t, err)
		return r
	}
	first := solve(1)
	for _, workers := range []int{2, 7} {
		assert.Equal(t, first, solve(workers))
	}
}

func TestInvalidProblemsAreRefused(t *testing.T) {
	fixed, err := dist.NewFixed(1)
	require.NoError(t, err)
	for want, spoil := range map[string]func(p *Problem){
		"parameters: 0":       func(p *Problem) { p.Parameters = nil },
		"parameters: 4":       func(p *Problem) { p.Parameters = make([]Parameter, 4) },
		"has no spread":       func(p *Problem) { p.Parameters[0].Prior = fixed },
		"there are none":      func(p *Problem) { p.Observations = nil },
		"value NaN":           func(p *Problem) { p.Observations[0].Value = math.NaN() },
		"noise NaN":           func(p *Problem) { p.Observations[0].Noise = math.NaN() },
		"noise 0":             func(p *Problem) { p.Observations[0].Noise = 0 },
		"set-up 2 is of unit": func(p *Problem) { p.Observations[1].Unit = 9 },
		"confidence: 1":       func(p *Problem) { p.Confidence = 1 },
		"workers: -1":         func(p *Problem) { p.Workers = -1 },
		"draws: 3":            func(p *Problem) { p.Draws = 3 },
		"sharing 0":           func(p *Problem) { p.Variables[0].Sharing = 0 },
		"7 values for 8":      func(p *Problem) { p.Covariates[0].Values = make([]float64, 7) },
	} {
		p := demoRig.problem(t)
		spoil(p)
		_, err := p.Solve(context.Background())
		assert.ErrorContains(t, err, want)
	}
}

func TestCancelledCalibrationEnds(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := demoRig.problem(t).Solve(ctx)
	assert.ErrorIs(t, err, context.Canceled)
}
