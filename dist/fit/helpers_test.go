package fit

import (
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/dist/readings"
)

// bearings: millions of revolutions to failure of 23 ball bearings, Lieblein and
// Zelen, J. Res. Nat. Bur. Standards 57 (1956) 273 (from memory; the seventh is
// also printed as 48.40).
var bearings = []float64{
	17.88, 28.92, 33.00, 41.52, 42.12, 45.60, 48.48, 51.84, 51.96, 54.12, 55.56, 67.80,
	68.64, 68.64, 68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.40,
}

// audit is an invented torque audit, N m.
var audit = []float64{2.48, 2.55, 2.51, 2.44, 2.57, 2.50, 2.53, 2.46, 2.49, 2.58, 2.52, 2.41}

func column(t testing.TB, file string, o readings.Options) *readings.Table {
	t.Helper()
	f, err := os.Open("../../testdata/nist/" + file)
	require.NoError(t, err)
	defer f.Close()
	table, err := readings.Read(f, o)
	require.NoError(t, err)
	return table
}

func sample(t testing.TB, d Data) *Sample {
	t.Helper()
	s, err := NewSample(d)
	require.NoError(t, err)
	return s
}

func fitted(t testing.TB, d Data, family Family) *Fit {
	t.Helper()
	f, err := sample(t, d).Fit(family, Options{Level: 0.95})
	require.NoError(t, err)
	return f
}

// asTheyStand tests readings as sources do, which take rounded ones for exact.
func asTheyStand(t testing.TB, values []float64, family Family) AndersonDarling {
	t.Helper()
	s := sample(t, Data{Values: values})
	s.step = 0
	f, err := s.Fit(family, Options{Level: 0.95})
	require.NoError(t, err)
	return f.AndersonDarling
}

// draw returns n values of a distribution.
func draw(d dist.Distribution, n int, random *rand.Rand) []float64 {
	values := make([]float64, n)
	for i := range values {
		values[i] = d.Quantile((float64(random.Uint64()>>12) + 0.5) / (1 << 52))
	}
	return values
}

func mustDist(t testing.TB, shape string, values map[string]float64) dist.Distribution {
	t.Helper()
	d, err := dist.FromSpec(dist.Spec{Shape: shape, Values: values})
	require.NoError(t, err)
	return d
}
