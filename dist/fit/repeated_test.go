package fit

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Of columns in which nothing was repeated 0.5 in 100 at most are told so, few or many, skewed, however rounded: within 3 standard errors
// of so many columns (one false alarm in 700 for each). A test of more than the stated rate would show at 1 in 100.
func TestChanceRepeatsNoBlock(t *testing.T) {
	const columns = 2000
	most := columns*RepeatRate + 3*math.Sqrt(columns*RepeatRate)
	for _, c := range []struct {
		family Family
		values map[string]float64
	}{
		{Normal, map[string]float64{"mean": 10, "sd": 1}},
		{HalfNormal, map[string]float64{"scale": 1}},
		{Lognormal, map[string]float64{"median": 1, "sigma_ln": 1}},
	} {
		truth := mustDist(t, string(c.family), c.values)
		for _, n := range []int{8, 10, 12, 16, 30} {
			for _, step := range []float64{0, 0.1, 0.5, 1, 2} {
				random := rand.New(rand.NewPCG(uint64(n), uint64(1000*step)))
				told := 0
				for range columns {
					if repeated(inSteps(draw(truth, n, random), step*truth.StdDev())) != nil {
						told++
					}
				}
				assert.LessOrEqual(t, float64(told), most, "%s, %d readings, steps of %v sd", c.family, n, step)
			}
		}
	}
}

func inSteps(values []float64, step float64) []float64 {
	for i, x := range values {
		if step > 0 {
			values[i] = step * math.Round(x/step)
		}
	}
	return values
}

// What was pasted below itself is found: from five readings on that differ; rounded to a fifth of the standard deviation from eight on in 9 of 10
// columns, and from fifteen on in steps of one of it.
func TestAPastedBlockIsFound(t *testing.T) {
	pasted := func(values ...float64) *Repeat { return repeated(append(slices.Clone(values), values...)) }
	assert.Nil(t, pasted(3, 1, 4, 2), "24 2^4 / 8! = 0.0095")
	found := pasted(3, 1, 4, 2, 5)
	require.NotNil(t, found)
	// 120 orders of the first half, of all 10!/2^5 of both.
	assert.Equal(t, Repeat{Again: 5, Length: 5, Chance: found.Chance}, *found)
	assert.InEpsilon(t, 120*32/3628800., found.Chance, 1e-9)

	truth := mustDist(t, string(Normal), map[string]float64{"mean": 10, "sd": 1})
	for _, c := range []struct {
		n    int
		step float64
	}{{8, 0.2}, {15, 1}} {
		random, seen := rand.New(rand.NewPCG(7, 7)), 0
		for range 1000 {
			if pasted(inSteps(draw(truth, c.n, random), c.step)...) != nil {
				seen++
			}
		}
		assert.GreaterOrEqual(t, seen, 900, "%d readings in steps of %v", c.n, c.step)
	}

	// A block among others, and where it stands.
	column := draw(truth, 40, rand.New(rand.NewPCG(1, 2)))
	copy(column[30:36], column[4:10])
	found = repeated(column)
	require.NotNil(t, found)
	assert.Equal(t, []int{4, 30, 6}, []int{found.First, found.Again, found.Length})
}

// A sorted column, a gauge that sticks and a slow drift in coarse steps repeat values, and no block.
func TestWhatStandsStillIsNoBlock(t *testing.T) {
	var sorted, stuck, drift []float64
	for i := range 100 {
		sorted = append(sorted, float64(i/20))
		stuck = append(stuck, float64(i/50))
		drift = append(drift, math.Round(2*math.Sin(float64(i)/20)))
	}
	for _, values := range [][]float64{sorted, stuck, drift} {
		assert.Nil(t, repeated(values))
	}
}
