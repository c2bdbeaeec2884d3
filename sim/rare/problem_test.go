package rare

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func usual(seed uint64) Options {
	return Options{Stream: stream(seed), Evaluations: 20000, RelativeError: 0.1, Level: 0.95}
}

func TestInvalidArgumentsAreNamed(t *testing.T) {
	good := linear(2, 3)
	for _, c := range []struct {
		change func(p *Problem, o *Options)
		say    string
	}{
		{func(p *Problem, _ *Options) { p.Dim = 0 }, "Problem.Dim is 0, must be at least 1"},
		{func(p *Problem, _ *Options) { p.Events = 0 }, "Problem.Events is 0, must be at least 1"},
		{func(p *Problem, _ *Options) { p.Evaluate = nil }, "Problem.Evaluate is nil"},
		{func(_ *Problem, o *Options) { o.Stream = nil }, "Options.Stream is nil"},
		{func(_ *Problem, o *Options) { o.Evaluations = 1999 }, "Options.Evaluations is 1999, must be at least 2000 for 2 variables"},
		{func(p *Problem, _ *Options) { p.Dim = 1500 }, "Options.Evaluations is 20000, must be at least 30000 for 1500 variables"},
		{func(_ *Problem, o *Options) { o.RelativeError = math.NaN() }, "Options.RelativeError is NaN, must lie between 0 and 1"},
		{func(_ *Problem, o *Options) { o.Level = 1 }, "Options.Level is 1, must lie between 0 and 1"},
	} {
		p, o := good, usual(1)
		c.change(&p, &o)
		_, err := Estimate(p, o)
		require.Error(t, err)
		assert.Equal(t, "rare: "+c.say, err.Error())
	}
}

func TestNaNPanics(t *testing.T) {
	p := problem(1, func([]float64) float64 { return math.NaN() })
	assert.PanicsWithValue(t, "rare: limit state 0 is NaN at u = [0]", func() { _, _ = Estimate(p, usual(1)) })
}

func TestTailFarOut(t *testing.T) {
	assert.InEpsilon(t, 7.61985302416e-24, tail(10), 1e-11)          // printed digits; gonum's survival gives 0 here
	assert.InEpsilon(t, 1.0000000e-7, tail(5.19933758219282), 1e-12) // statistics of the normal, mpmath
}
