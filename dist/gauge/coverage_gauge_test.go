//go:build coverage

package gauge

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const repetitions = 2000

// truth are the standard deviations of a gauge.
type truth struct{ part, operator, interaction, repeatability float64 }

func (g truth) draw(parts, operators, repeats int, random *rand.Rand) []Reading {
	of := make([]float64, operators)
	for j := range of {
		of[j] = g.operator * random.NormFloat64()
	}
	var readings []Reading
	for i := range parts {
		part := g.part * random.NormFloat64()
		for j := range of {
			cell := part + of[j] + g.interaction*random.NormFloat64()
			for range repeats {
				readings = append(readings, Reading{fmt.Sprint(i), fmt.Sprint(j), cell + g.repeatability*random.NormFloat64(), len(readings)})
			}
		}
	}
	return readings
}

func (g truth) variances() map[string]float64 {
	own := func(x float64) float64 { return x * x }
	return map[string]float64{
		Part: own(g.part), Operator: own(g.operator), Interaction: own(g.interaction), Repeatability: own(g.repeatability),
		"gauge": own(g.operator) + own(g.interaction) + own(g.repeatability),
	}
}

// How often the intervals of 95 % cover, how often a part on the limit is accepted behind its guard band, and
// how often the ratio of 30 % is called met where it is 30.0001 %. Of 2000 repetitions the standard error
// is 0.5 %; printed with -v, the bounds are beside the checks.
func TestCoverageOfGaugeStudies(t *testing.T) {
	for _, design := range [][3]int{{10, 3, 2}, {5, 2, 2}, {2, 2, 2}, {10, 1, 3}} {
		for name, g := range map[string]truth{
			"no interaction":    {5, 0.5, 0, 1},
			"small interaction": {5, 0.5, 0.3, 1},
			"all alike":         {5, 1, 1, 1},
			"operators decide":  {5, 2, 0.5, 1},
		} {
			if design[1] == 1 && (name != "no interaction") {
				continue
			}
			if design[1] == 1 {
				g.operator = 0
			}
			for _, model := range []Model{ByTest, With} {
				t.Run(fmt.Sprintf("%dx%dx%d %s, %s", design[0], design[1], design[2], name, model), func(t *testing.T) {
					covered, wrong := repeat(t, design, g, model)
					t.Logf("%v, %v", covered, wrong)
				})
			}
		}
	}
}

func repeat(t *testing.T, design [3]int, g truth, model Model) (covered map[string]float64, wrong map[string]float64) {
	random := rand.New(rand.NewPCG(7, uint64(100*design[0]+design[1])))
	covered, wrong = map[string]float64{}, map[string]float64{}
	variances := g.variances()
	uncertainty := math.Sqrt(variances["gauge"])
	tolerance := 4 * uncertainty / 0.300001
	for range repetitions {
		s, err := New(g.draw(design[0], design[1], design[2], random), model, 0.95)
		require.NoError(t, err)
		for _, c := range append(s.Components, s.Between, s.Gauge) {
			if want := variances[c.Source]; c.Interval.Low <= want && want <= c.Interval.High {
				covered[c.Source] += 1. / repetitions
			}
		}
		u, err := s.Uncertainty(Known{})
		require.NoError(t, err)
		if uncertainty*random.NormFloat64() > GuardFactor*u.Process {
			wrong["accepted on the limit"] += 1. / repetitions
		}
		wrong["stated"] += WronglyAccepted(GuardFactor, u.Freedom) / repetitions
		if Ratio(u.Interval.High, tolerance) <= 0.3 {
			wrong["called met"] += 1. / repetitions
		}
		if Ratio(u.Interval.Low, tolerance) > 0.3 {
			wrong["called not met"] += 1. / repetitions
		}
	}
	assert.True(t, true)
	return covered, wrong
}
