//go:build coverage

package fit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
)

// rounded puts values on a grid of a step, 0 for none, that lies anywhere.
func rounded(values []float64, step float64, random *rand.Rand) []float64 {
	if step == 0 {
		return values
	}
	at := step * random.Float64()
	for i, x := range values {
		values[i] = at + step*math.Round((x-at)/step)
	}
	return values
}

// asTaken is the sample as the fit command takes it, coarse steps as the resolution; nil where all readings are alike.
func asTaken(t *testing.T, values []float64) *Sample {
	s, err := NewSample(Data{Values: values})
	if err != nil {
		return nil
	}
	if step := s.Coarse(); step > 0 {
		return sample(t, Data{Values: values, Resolution: step})
	}
	return s
}

// TestRoundedReadingsAreNotBlamed repeats what is said of readings rounded to a step (in standard deviations): "not normal" of normal
// ones, and the rejection of the family they were drawn from. Both are said of 5 in 100 at most, of each cell no more than 3 standard
// errors above that (0.065 of 100; one right cell in 740 is above). Of skewed readings, "not normal" is to be said half as often
// as without rounding at least. Readings of four lots, half of the variance between them, are normal but not independent, and
// are called not normal more often than 5 in 100 without any rounding: with it no more than 3 standard errors oftener. The table is
// the one in DEVELOPERS.md, by ROUNDED_REPETITIONS=500 in place of 100.
func TestRoundedReadingsAreNotBlamed(t *testing.T) {
	rounds := repetitions / 10
	if text := os.Getenv("ROUNDED_REPETITIONS"); text != "" {
		rounds, _ = strconv.Atoi(text)
	}
	steps := []float64{0, 0.1, 0.2, 0.33, 0.5, 0.75, 1}
	independent := func(d dist.Distribution) func(n int, random *rand.Rand) []float64 {
		return func(n int, random *rand.Rand) []float64 { return draw(d, n, random) }
	}
	byLot := func(n int, random *rand.Rand) []float64 {
		values := draw(mustDist(t, "normal", map[string]float64{"mean": 0, "sd": math.Sqrt(0.5)}), n, random)
		var level [4]float64
		for i := range level {
			level[i] = math.Sqrt(0.5) * random.NormFloat64()
		}
		for i := range values {
			values[i] += level[i*4/n]
		}
		return values
	}
	normal := mustDist(t, "normal", map[string]float64{"mean": 10, "sd": 1})
	lognormal := mustDist(t, "lognormal", map[string]float64{"median": 1, "sigma_ln": 0.5})
	halfNormal := mustDist(t, "half-normal", map[string]float64{"scale": 1})
	weibull := mustDist(t, "weibull", map[string]float64{"shape": 2, "scale": 1})
	uniform := mustDist(t, "uniform", map[string]float64{"low": 0, "high": 1})
	const atLevel, power, dependent = "5 in 100 at most", "power", "dependent"
	for _, c := range []struct {
		name   string
		draw   func(n int, random *rand.Rand) []float64
		sd     float64
		judged Family // Normal: by Capability
		what   string
	}{
		{"normal: not normal", independent(normal), 1, Normal, atLevel},
		{"lognormal: rejected", independent(lognormal), lognormal.StdDev(), Lognormal, atLevel},
		{"weibull: rejected", independent(weibull), weibull.StdDev(), Weibull, atLevel},
		{"uniform: rejected", independent(uniform), uniform.StdDev(), Uniform, atLevel},
		{"four lots: not normal", byLot, 1, Normal, dependent},
		{"lognormal: not normal", independent(lognormal), lognormal.StdDev(), Normal, power},
		{"half-normal: not normal", independent(halfNormal), halfNormal.StdDev(), Normal, power},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			for _, n := range []int{8, 13, 30, 100} {
				random := rand.New(rand.NewPCG(uint64(n), 81))
				line, exact := "", 0.0
				for _, step := range steps {
					hits, of := 0, 0
					for range rounds {
						s := asTaken(t, rounded(c.draw(n, random), step*c.sd, random))
						if s == nil {
							continue
						}
						of++
						if blames(t, s, c.judged, random.Uint64()) {
							hits++
						}
					}
					share := float64(hits) / float64(of)
					error := func(p float64) float64 { return 3 * math.Sqrt(p*(1-p)/float64(of)) }
					if step == 0 {
						exact = share
					}
					line += fmt.Sprintf(" %5.1f", 100*share)
					switch c.what {
					case atLevel:
						assert.LessOrEqual(t, share, 0.05+error(0.05), "%d readings, step %g", n, step)
					case dependent:
						assert.LessOrEqual(t, share, exact+math.Sqrt2*error(exact), "%d readings, step %g", n, step)
					case power:
						assert.GreaterOrEqual(t, share, (exact-error(exact))/2, "%d readings, step %g", n, step)
					}
				}
				t.Logf("%-24s %3d %s %%", c.name, n, line)
			}
		})
	}
}

// blames says whether the readings are said not to be of a family; of one that cannot be fitted nothing is said.
func blames(t *testing.T, s *Sample, family Family, seed uint64) bool {
	o := Options{Level: 0.95, Replicates: 199, Seed: seed}
	if family == Normal {
		c, err := s.Capability(nil, Range{Low: -100, High: 100}, o)
		require.NoError(t, err)
		return slices.ContainsFunc(c.Warnings, func(w Warning) bool { return w.Code == NotNormal })
	}
	f, err := s.Fit(family, o)
	return err == nil && f.P < 0.05
}

// TestCapabilityOfRoundedReadings repeats the intervals and the one-sided bounds of the indices for normal readings in steps.
func TestCapabilityOfRoundedReadings(t *testing.T) {
	limits := Range{Low: -5, High: 4} // Cp 1.5, Cpk 4/3 of mean 0, sd 1
	normal := mustDist(t, "normal", map[string]float64{"mean": 0, "sd": 1})
	for _, n := range []int{15, 100, 300} {
		for _, step := range []float64{0.2, 0.5, 1} {
			random := rand.New(rand.NewPCG(uint64(n), uint64(100*step)))
			hits, names := map[string]int{}, []string{"Cp", "Cpk", "Pp", "Ppk", "Cpk, lower", "Ppk, lower", "Cp within lots"}
			for range repetitions {
				values := rounded(draw(normal, n, random), step, random)
				s := asTaken(t, values)
				require.NotNil(t, s)
				c, err := s.Capability(nil, limits, Options{Level: 0.95})
				require.NoError(t, err)
				lots, err := NewLots(slices.Collect(slices.Chunk(values, 5)), 0.95)
				if err != nil { // all of a lot alike, in every lot
					continue
				}
				of, err := s.Capability(&lots, limits, Options{Level: 0.95})
				require.NoError(t, err)
				for name, i := range map[string]Index{"Cp": c.Cp, "Pp": c.Pp, "Cp within lots": of.Cp} {
					hits[name] += within(i.Low, i.High, 1.5)
				}
				for name, i := range map[string]Index{"Cpk": c.Cpk, "Ppk": c.Ppk} {
					hits[name] += within(i.Low, i.High, 4./3)
					hits[name+", lower"] += within(i.Lower, math.Inf(1), 4./3)
				}
			}
			line := ""
			for _, name := range names {
				atLeast(t, 0.95, hits[name], repetitions, fmt.Sprintf("%s of %d, step %g", name, n, step))
				line += fmt.Sprintf(" %s %.1f", name, 100*float64(hits[name])/repetitions)
			}
			t.Logf("%3d readings, step %.2f:%s", n, step, line)
		}
	}
}

func within(low, high, truth float64) int {
	if low <= truth && truth <= high {
		return 1
	}
	return 0
}

// TestCoarseStepsAreTold repeats what comes first of normal readings in coarse steps: it is said of steps up to a fifth of the true
// standard deviation in 1 of 100 columns at most from 8 readings on, and in 2 of fewer; of three quarters and more in 9 of 10 columns from
// 8 readings on. Within 3 standard errors of 4000: 0.5, 0.7 and 1.4 %.
func TestCoarseStepsAreTold(t *testing.T) {
	normal := mustDist(t, "normal", map[string]float64{"mean": 0, "sd": 1})
	for _, n := range []int{4, 5, 6, 8, 13, 30, 100} {
		random := rand.New(rand.NewPCG(uint64(n), 82))
		line := ""
		for _, step := range []float64{0, 0.1, 0.2, 0.3, 0.5, 0.75, 1, 1.5} {
			told, of := 0, 0
			for range 4 * repetitions {
				if s, err := NewSample(Data{Values: rounded(draw(normal, n, random), step, random)}); err == nil {
					of++
					if s.CoarseSteps() != nil {
						told++
					}
				}
			}
			line += fmt.Sprintf("  %g: %.1f", step, 100*float64(told)/float64(of))
			switch most := map[bool]float64{true: 0.02, false: 0.01}[n < 8]; {
			case step <= 0.2:
				atLeast(t, 1-most, of-told, of, fmt.Sprintf("not told of %d readings, step %g", n, step))
			case step >= 0.75 && n >= 8:
				atLeast(t, 0.9, told, of, fmt.Sprintf("told of %d readings, step %g", n, step))
			}
		}
		t.Logf("%3d readings, told of 100 by step:%s", n, line)
	}
}
