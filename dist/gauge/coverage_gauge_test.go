//go:build coverage

package gauge

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/dist/fit"
)

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

// How often the intervals of 95 % miss, how often a part on the limit is accepted behind its
// guard band, and how often a ratio on the border is called met or not met. Printed
// with -v; the bounds are the rates stated in the documentation, three standard errors of that
// many repetitions added: a right rate fails once in 740 times.
func TestCoverageOfGaugeStudies(t *testing.T) {
	for _, design := range [][3]int{{10, 2, 2}, {10, 3, 2}, {10, 5, 2}, {5, 2, 2}, {2, 2, 2}} {
		for name, g := range map[string]truth{
			"no interaction":   {5, 0.5, 0, 1},
			"all alike":        {5, 1, 1, 1},
			"operators decide": {5, 2, 0.5, 1},
			"operators alone":  {5, 5, 0, 0.3},
		} {
			t.Run(fmt.Sprintf("%dx%dx%d %s", design[0], design[1], design[2], name), func(t *testing.T) { g.repeat(t, design) })
		}
	}
	t.Run("10x1x3", func(t *testing.T) { truth{part: 5, repeatability: 1}.repeat(t, [3]int{10, 1, 3}) })
}

// repetitions of a design; GAUGE_REPETITIONS in place of it moves the bounds with it.
var repetitions = 3000

func init() {
	if text := os.Getenv("GAUGE_REPETITIONS"); text != "" {
		repetitions, _ = strconv.Atoi(text)
	}
}

func (g truth) repeat(t *testing.T, design [3]int) {
	random := rand.New(rand.NewPCG(7, uint64(100*design[0]+design[1])))
	variances := g.variances()
	real := math.Sqrt(variances["gauge"])
	rates := map[Model]map[string]float64{ByTest: {}, With: {}}
	for range repetitions {
		readings, wrong := g.draw(design[0], design[1], design[2], random), real*random.NormFloat64()
		for model, rate := range rates {
			s, err := New(readings, model, 0.95)
			require.NoError(t, err)
			for _, c := range append(s.Components, s.Between, s.Gauge) {
				if want := variances[c.Source]; c.Interval.Low > want || want > c.Interval.High {
					rate[c.Source] += 1 / float64(repetitions)
				}
			}
			u, err := s.Uncertainty(Known{})
			require.NoError(t, err)
			if wrong > GuardFactor*u.Process {
				rate["accepted on the limit"] += 1 / float64(repetitions)
			}
			if wrong > 0.8*u.Process { // no guard band is narrower
				values, weights := u.errs.variances()
				if beyond(wrong, values, weights) < accepted { // it is beyond the guard band
					rate["accepted behind the guard band"] += 1 / float64(repetitions)
				}
			}
			if u.Interval.High < real {
				rate["called met"] += 1 / float64(repetitions)
			}
			if u.Interval.Low > real {
				rate["called not met"] += 1 / float64(repetitions)
			}
		}
	}
	atMost := func(model Model, what string, stated float64) {
		assert.LessOrEqual(t, rates[model][what], stated+3*math.Sqrt(stated*(1-stated)/float64(repetitions)), "%s, %s", model, what)
	}
	for model, rate := range rates {
		t.Logf("interaction %s: %s", model, printed(rate))
		for what := range variances {
			stated := map[Model]float64{With: 0.06, ByTest: 0.07}[model]
			if design[0] == 2 && (what == Part || what == Operator) {
				stated = 0.1 // of two parts and two operators
			}
			atMost(model, what, stated)
		}
		atMost(model, "accepted behind the guard band", accepted)
		atMost(model, "called met", 0.03)
		atMost(model, "called not met", 0.06)
	}
}

func printed(rates map[string]float64) (text string) {
	for _, what := range slices.Sorted(maps.Keys(rates)) {
		text += fmt.Sprintf(" %s %.3f;", what, rates[what])
	}
	return text
}

// A fit with the gauge's error taken out as a 10x3x2 study found it, of 30 parts, each read by
// another operator: how often the interval of 95 % misses the parts' own standard deviation, and how often the bound of 95 % on
// the parts above a limit that 1 % exceed is below 1 %.
func TestCoverageOfFitsBehindAGauge(t *testing.T) {
	for _, g := range []struct {
		truth
		missed float64 // at most, of the fits there are
	}{
		{truth{1, 0.15, 0.1, 0.28}, 0.05}, // a tenth of the readings' variance
		{truth{1, 0.4, 0.2, 0.55}, 0.05},  // a third
	} {
		const fits = 500
		random := rand.New(rand.NewPCG(11, 0))
		missed, below, refused := 0, 0, 0
		limit := g.part * dist.NormalQuantile(0.99)
		for range fits {
			s, err := New(g.draw(10, 3, 2, random), ByTest, 0.95)
			require.NoError(t, err)
			var values []float64
			for range 30 {
				values = append(values, g.draw(1, 1, 1, random)[0].Value)
			}
			sample, err := fit.NewSample(fit.Data{Values: values, GaugeSD: s.Scatter(false), GaugeFreedom: s.ScatterFreedom(false)})
			var f *fit.Fit
			if err == nil {
				f, err = sample.Fit(fit.Normal, fit.Options{Level: 0.95})
			}
			if err != nil {
				refused++ // a gauge error estimated as large as the spread of the readings
				continue
			}
			if f.Parameters[1].Interval.Low > g.part || g.part > f.Parameters[1].Interval.High {
				missed++
			}
			e, err := f.Exceedance(limit, true, 0.95)
			require.NoError(t, err)
			if e.Upper < 0.01 {
				below++
			}
		}
		t.Logf("%v: spread missed %d, bound of the exceedance below it %d, refused %d of %d", g.truth, missed, below, refused, fits)
		assert.LessOrEqual(t, float64(below), 0.05*fits+3*math.Sqrt(0.05*0.95*fits), "%v", g.truth)
		assert.LessOrEqual(t, float64(missed), g.missed*fits+3*math.Sqrt(g.missed*(1-g.missed)*fits), "%v", g.truth)
		assert.LessOrEqual(t, refused, fits/50, "%v", g.truth)
	}
}
