//go:build coverage

package fit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
)

// flagged counts what is called so in repetitions.
type flagged struct{ outlier, unstable, runs int }

// free statistics have one distribution of levels for a family and a size; the
// repetitions share it.
var freeNulls sync.Map

// repeatFlags draws readings of a family, spoils them, and counts flags.
func repeatFlags(t *testing.T, family Family, truth dist.Distribution, n int, step float64, repeated int, spoil func(values []float64)) (c flagged) {
	t.Helper()
	random := rand.New(rand.NewPCG(uint64(n), uint64(1000*step)))
	for range repeated {
		values := draw(truth, n, random)
		if spoil != nil {
			spoil(values)
		}
		if step > 0 {
			for i := range values {
				values[i] = step * math.Round(values[i]/step)
			}
		}
		s, err := NewSample(Data{Values: values, Resolution: step})
		if err != nil {
			continue // all equal: no fit, no flag
		}
		f, err := s.quickFit(family)
		require.NoError(t, err)
		m, err := s.model(family)
		require.NoError(t, err)
		y, ok := s.yardstick(m, values2(f))
		require.True(t, ok)
		most := mostOutliers(n)
		var null nulls
		key := fmt.Sprint(family, n)
		if kept, seen := freeNulls.Load(key); seen && step == 0 {
			null = kept.(nulls)
		} else {
			null, err = f.null(m, y, most, 1)
			require.NoError(t, err)
			if step == 0 && y.free {
				freeNulls.Store(key, null)
			}
		}
		first, smallest := y.smallestLevels(y.onScale(values), most)
		if smallest < null.smallest.threshold(0.05) {
			c.outlier++
		}
		chart := RunChart{Significance: 0.05}
		chart.ofRuns(s)
		if chart.PRuns <= chart.RunsLevel {
			c.runs++
		}
		if chart.PRuns <= chart.RunsLevel || first < null.first.threshold(chart.BeyondLevel) {
			c.unstable++
		}
	}
	return c
}

func values2(f *Fit) []float64 { return values(f.Parameters) }

// quickFit is the maximum of the likelihood without its posterior.
func (s *Sample) quickFit(family Family) (*Fit, error) {
	m, err := s.model(family)
	if err != nil {
		return nil, err
	}
	best, err := s.nearMaximum(m)
	if err != nil {
		return nil, err
	}
	f := &Fit{Family: family, N: s.N(), Level: 0.95, sample: s, kept: s.data.Kept, fixed: m.fixed}
	for i, x := range m.natural(best.working(best.best)) {
		f.Parameters = append(f.Parameters, Parameter{Key: m.parameters[i], Value: x})
	}
	return f, nil
}

func TestFlagsKeepTheirRate(t *testing.T) {
	repeated := 2000
	if text := os.Getenv("FLAG_REPETITIONS"); text != "" {
		repeated, _ = strconv.Atoi(text)
	}
	for _, family := range []struct {
		family Family
		truth  dist.Distribution
	}{
		{Normal, mustDist(t, "normal", map[string]float64{"mean": 10, "sd": 1})},
		{HalfNormal, mustDist(t, "half-normal", map[string]float64{"scale": 1})},
		{Lognormal, mustDist(t, "lognormal", map[string]float64{"median": 1, "sigma_ln": 0.5})},
	} {
		for _, n := range []int{8, 12, 30, 100} {
			for _, rounded := range []float64{0, 0.5, 1} {
				sd := family.truth.StdDev()
				step := rounded * sd
				null := repeatFlags(t, family.family, family.truth, n, step, repeated, nil)
				fmt.Printf("%-12s %4d %4.1f  outlier %.4f unstable %.4f runs %.4f\n", family.family, n, rounded,
					float64(null.outlier)/float64(repeated), float64(null.unstable)/float64(repeated), float64(null.runs)/float64(repeated))
				assert.LessOrEqual(t, float64(null.outlier), 1.0*float64(repeated))
			}
		}
	}
}
