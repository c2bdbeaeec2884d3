package fit

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A gauge error that is an estimate widens what is left open and leaves the curve; with very many degrees of freedom it is as
// good as known.
func TestEstimatedGaugeWidensTheInterval(t *testing.T) {
	random := rand.New(rand.NewPCG(14, 14))
	var values []float64
	for range 30 {
		values = append(values, 10+random.NormFloat64())
	}
	for _, family := range []Family{Normal} {
		of := func(freedom float64) *Fit {
			s, err := NewSample(Data{Values: values, GaugeSD: 0.5, GaugeFreedom: freedom})
			require.NoError(t, err)
			f, err := s.Fit(family, Options{Level: 0.95})
			require.NoError(t, err)
			return f
		}
		known, many, few := of(0), of(1e6), of(5)
		assert.Equal(t, known.Parameters[1].Value, few.Parameters[1].Value)
		width := func(f *Fit) float64 { return f.Parameters[1].Interval.High - f.Parameters[1].Interval.Low }
		assert.InEpsilon(t, width(known), width(many), 0.01, "the middles of seven shares of what is next to a point")
		assert.Greater(t, width(few), 1.05*width(known))
		for _, f := range []*Fit{known, many, few} {
			for _, p := range f.Parameters {
				assert.Less(t, p.Interval.Low, p.Value)
				assert.Greater(t, p.Interval.High, p.Value)
			}
		}
	}
	_, err := NewSample(Data{Values: values, GaugeSD: 0.5, GaugeFreedom: -1})
	assert.ErrorContains(t, err, "degrees of freedom")
}
