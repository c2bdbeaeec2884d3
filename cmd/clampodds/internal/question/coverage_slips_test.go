//go:build coverage

package question

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/dist/fit"
	"clampodds/dist/readings"
)

// told counts the columns of which the first sentence says that a few readings choose the family.
func told(t *testing.T, columns int, draw func() []float64) (n int) {
	f := Fit{Options: fit.Options{Level: 0.95, Replicates: 199}}
	for range columns {
		table, err := readings.Read(strings.NewReader(strings.Trim(strings.ReplaceAll(fmt.Sprint(draw()), " ", "\n"), "[]")), readings.Options{})
		require.NoError(t, err)
		s, err := fit.NewSample(fit.Data{Values: table.Values})
		require.NoError(t, err)
		if len(s.Suspects(slipLevel)) == 0 {
			continue // slips would find none
		}
		best, err := f.without(s, measurand{"torque"}, nil)
		require.NoError(t, err)
		if slips, err := f.slips(table, s, best, measurand{"torque"}, nil); assert.NoError(t, err) && slips != nil {
			n++
		}
	}
	return n
}

// TestTheFamilyOfASlip repeats the sentence that a few readings choose the family: of columns without a slip 5 in 100 are told
// so at most, of 300 for each family and number of readings no more than 3 standard errors above that (26; one right one in
// 700 would be above); and of normal columns one of whose readings was moved by 10 standard deviations 9 in 10 at least, from 13
// readings on. SLIP_COLUMNS in place of 300.
func TestTheFamilyOfASlip(t *testing.T) {
	columns := often("SLIP_COLUMNS", 300)
	of := func(shape string, values map[string]float64) dist.Distribution {
		return dist.Must(dist.FromSpec(dist.Spec{Shape: shape, Values: values}))
	}
	most := int(0.05*float64(columns) + 3*math.Sqrt(0.05*0.95*float64(columns)))
	for _, c := range []struct {
		name  string
		truth dist.Distribution
	}{
		{"normal, sd 3 % of the mean", of("normal", map[string]float64{"mean": 0.7, "sd": 0.02})},
		{"normal, sd 12 %", of("normal", map[string]float64{"mean": 0.7, "sd": 0.085})},
		{"lognormal, sigma 0.2", of("lognormal", map[string]float64{"median": 1, "sigma_ln": 0.2})},
		{"lognormal, sigma 0.5", of("lognormal", map[string]float64{"median": 1, "sigma_ln": 0.5})},
		{"gumbel", of("gumbel", map[string]float64{"location": 0.7, "scale": 0.02})},
		{"weibull, shape 20", of("weibull", map[string]float64{"shape": 20, "scale": 0.7})},
		{"weibull, shape 2", of("weibull", map[string]float64{"shape": 2, "scale": 0.7})},
		{"half-normal", of("half-normal", map[string]float64{"scale": 1})},
		{"gamma, shape 3", of("gamma", map[string]float64{"shape": 3, "scale": 1})},
	} {
		for _, n := range []int{8, 13, 30, 100} {
			random := rand.New(rand.NewPCG(uint64(n), 78))
			draw := func() []float64 {
				values := make([]float64, n)
				for i := range values {
					values[i] = c.truth.Quantile((float64(random.Uint64()>>12) + 0.5) / (1 << 52))
				}
				return values
			}
			clean := told(t, columns, draw)
			assert.LessOrEqual(t, clean, most, "%s, %d readings", c.name, n)
			if c.name != "normal, sd 3 % of the mean" {
				t.Logf("%-28s %3d readings: clean %3d of %d", c.name, n, clean, columns)
				continue
			}
			var seen [2]int
			for i, sign := range []float64{1, -1} {
				seen[i] = told(t, columns/10, func() []float64 {
					values := draw()
					values[n/2] = c.truth.Mean() + 10*sign*c.truth.StdDev()
					return values
				})
				if n >= 13 {
					assert.GreaterOrEqual(t, seen[i], columns/10*9/10, "%d readings, a slip of %g sd", n, 10*sign)
				}
			}
			t.Logf("%-28s %3d readings: clean %3d of %d; a slip of +10 sd %d, -10 sd %d of %d", c.name, n, clean, columns, seen[0], seen[1], columns/10)
		}
	}
}
