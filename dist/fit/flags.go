package fit

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"clampodds/dist"
)

// Flags are what readings are marked with under a fitted family: outliers, and a
// process that was not stable.
type Flags struct {
	Outliers OutlierTest
	Chart    RunChart
}

// The simulated samples that set a critical value. A free statistic is simulated once
// for a sample size: 20 000 leave 0.0015 of a level of 0.05. One that depends on
// the fitted parameters, or on the rounding, takes 999, and its level is exact for
// any number.
const (
	freeReplicates  = 20_000
	flagReplicates  = 999
	refitReplicates = 199
	// simulatedSize is the most readings for which that is needed: for more, the
	// levels of the steps add up to no more than the significance
	// and the estimated parameters no longer matter.
	simulatedSize = 200
	// fine is the step of rounded readings, in standard deviations, below which
	// they count as exact.
	fine = 0.1
)

// Flags judges the readings under the fitted family: outliers and stability, each
// with a rate of false alarms of at most significance, in (0, 1). The seed is that
// of the simulated critical values. With readings that are only bounds, and under
// the uniform family, there are no flags, and Reason says why; under the uniform
// family the runs are judged all the same.
func (f *Fit) Flags(significance float64, seed uint64) (Flags, error) {
	s := f.sample
	flags := Flags{
		OutlierTest{Most: mostOutliers(f.N)},
		RunChart{Significance: significance},
	}
	if err := checkLevel(significance); err != nil {
		return flags, err
	}
	if reason := s.noFlags(f.Family); reason != "" {
		flags.Outliers.Reason, flags.Chart.Reason = reason, reason
		if f.Family == Uniform && s.N() > 3 {
			flags.Chart.ofRuns(s, significance)
			flags.Chart.judge()
		}
		return flags, nil
	}
	m, err := s.model(f.Family)
	if err != nil {
		return flags, err
	}
	y := s.yardstick(m, values(f.Parameters))
	c := &flags.Chart
	c.Centre, c.Sigma = f.Distribution().Quantile(0.5), s.shortTerm()
	c.ofRuns(s, significance/2)
	found, err := f.null(m, y, flags.Outliers.Most, seed)
	if err != nil {
		return flags, err
	}
	flags.Outliers.Method = found.method
	flags.Outliers.steps(y, s.data.Values, found.smallest.threshold(significance))
	c.ofLimits(s, y, found.first.threshold(c.BeyondLevel))
	first, _ := y.smallestLevels(y.onScale(s.data.Values), 1)
	c.PBeyond = found.first.p(first)
	c.judge()
	return flags, nil
}

// noFlags says why readings cannot be flagged.
func (s *Sample) noFlags(family Family) string {
	switch {
	case s.boundsOnly():
		return "some readings are only bounds: how far out they lie, and on which side of the median, is not known"
	case family == Uniform:
		return "the uniform family ends at the outermost readings"
	case s.N() < 4:
		return "three readings are too few"
	}
	return ""
}

// nulls are the levels of samples without outliers.
type nulls struct {
	first, smallest null // of the first step, of all steps
	method          string
}

// null is the distribution of a level where nothing is wrong: lists of simulated levels,
// rising. Of several the most cautious counts; an empty one says that a level is what it
// says.
type null [][]float64

// threshold is the level below which a sample's has at most the given probability.
func (n null) threshold(significance float64) float64 {
	lowest := significance
	for i, simulated := range n {
		threshold := significance
		if len(simulated) > 0 {
			threshold = 0
			if rank := int(math.Floor(significance*float64(len(simulated)+1))) - 1; rank >= 0 {
				threshold = simulated[rank]
			}
		}
		if i == 0 || threshold < lowest {
			lowest = threshold
		}
	}
	return lowest
}

// p is the probability of a level as small.
func (n null) p(level float64) float64 {
	largest := 0.0
	for _, simulated := range n {
		p := math.Min(1, level)
		if len(simulated) > 0 {
			asSmall, _ := slices.BinarySearch(simulated, math.Nextafter(level, 2))
			p = float64(1+asSmall) / float64(1+len(simulated))
		}
		largest = math.Max(largest, p)
	}
	return largest
}

var exact = null{nil}

// null finds the distribution of the levels.
func (f *Fit) null(m model, y yardstick, most int, seed uint64) (nulls, error) {
	s := f.sample
	plain := s.step <= fine*s.sd && !given(s.data.Kept) && (s.data.GaugeSD == 0 || f.Family == Normal)
	if s.N() > simulatedSize && (plain || !y.free) {
		return nulls{exact, exact, "level of each step"}, nil
	}
	result := nulls{first: exact, smallest: exact, method: "exact"}
	if y.free && most > 1 && s.N() <= simulatedSize {
		var err error
		if result, err = freeNull(y, s.N(), most, seed); err != nil {
			return nulls{}, err
		}
	}
	if y.free && plain {
		return result, nil
	}
	replicates := flagReplicates
	if !y.free {
		replicates = refitReplicates
	}
	first, smallest, err := f.curveNull(m, y, most, replicates, seed)
	if err != nil {
		return nulls{}, err
	}
	if !y.free {
		return nulls{null{first}, null{smallest}, "samples simulated from the fitted curve"}, nil
	}
	// The curve's own error can make its samples too kind to a coarse one, and the
	// rounding makes the others too kind: a flag must pass both.
	return nulls{append(result.first, first), append(result.smallest, smallest),
		"simulated for the family, and again from the fitted curve with its rounding; the stricter"}, nil
}

const flagStream = 0x666c616773 // a stream of its own

// curveNull has the levels of samples simulated from the fitted curve, taken as the
// readings were.
func (f *Fit) curveNull(m model, y yardstick, most, replicates int, seed uint64) (first, smallest []float64, err error) {
	d, err := dist.FromSpec(m.spec(values(f.Parameters)))
	if err != nil {
		return nil, nil, err
	}
	random := rand.New(rand.NewPCG(seed, flagStream))
	for attempts := 0; len(first) < replicates && attempts < 2*replicates; attempts++ {
		if a, b, ok := f.sample.simulatedLevels(d, m, y, most, random); ok {
			first, smallest = append(first, a), append(smallest, b)
		}
	}
	slices.Sort(first)
	slices.Sort(smallest)
	return first, smallest, nil
}

// freeNull is that of a free yardstick for n readings. The first step is exact.
func freeNull(y yardstick, n, most int, seed uint64) (nulls, error) {
	d, err := y.standard()
	if err != nil {
		return nulls{}, err
	}
	random := rand.New(rand.NewPCG(seed, flagStream))
	sample, simulated := make([]float64, n), make([]float64, freeReplicates)
	for i := range simulated {
		for j := range sample {
			sample[j] = d.Quantile(inside(random))
		}
		slices.Sort(sample)
		_, simulated[i] = y.smallestLevels(sample, most)
	}
	slices.Sort(simulated)
	// The steps together flag no less than the first alone, so that their level is no higher.
	return nulls{exact, null{nil, simulated}, "simulated for the family and the number of readings"}, nil
}

// simulatedLevels draws a sample as the readings were drawn, fits what the yardstick
// needs and returns the levels.
func (s *Sample) simulatedLevels(d dist.Distribution, m model, y yardstick, most int, random *rand.Rand) (first, smallest float64, ok bool) {
	drawn, ok := s.drawnLike(d, s.N(), random)
	if !ok {
		return 0, 0, false
	}
	if !y.free {
		data := s.data
		data.Values = drawn
		replicate, err := NewSample(data)
		if err != nil {
			return 0, 0, false
		}
		best, err := replicate.nearMaximum(m)
		if err != nil {
			return 0, 0, false
		}
		y = replicate.yardstick(m, m.natural(best.working(best.best)))
	}
	first, smallest = y.smallestLevels(y.onScale(drawn), most)
	return first, smallest, true
}

// OutlierTest asks whether some readings lie farther out than the fitted family
// allows. The reading farthest out is taken off and the rest looked at again, up to
// the most outliers asked for; those up to the last step beyond its critical value
// are flagged, so that two do not hide each other (Rosner, Technometrics 25 (1983)
// 165). One step of normal readings is Grubbs' test. The critical values of all
// steps have one level, set so that among readings of the family without outliers
// some are flagged with probability significance (of Flags) at most. A flagged reading is a
// question to whoever took it; nothing here drops it.
type OutlierTest struct {
	Most   int    // steps allowed
	Method string // how the critical values were found
	// Reason says why there is no test; Steps are then empty.
	Reason string
	Steps  []OutlierStep
	// Flagged is the number of outliers: those of the first Flagged steps.
	Flagged int
}

// OutlierStep looks at the reading farthest out of those left.
type OutlierStep struct {
	Index   int // of the reading, from 0
	Reading float64
	// Statistic is the distance from the mean of those left in their standard
	// deviations, of logarithms or normal scores where the family is not normal;
	// for the half-normal and the Rayleigh family the share in the sum of squares.
	Statistic float64
	Critical  float64
}

// mostOutliers is the cap: a fifth of the readings, 1 to 10. Beyond, the rest no longer
// says what is usual.
func mostOutliers(n int) int { return min(10, max(1, n/5)) }

// steps takes the readings off, the farthest first, and flags those up to the last
// step whose level is below the threshold. values are those on the scale, in the order of
// the readings.
func (t *OutlierTest) steps(y yardstick, readings []float64, threshold float64) {
	order := make([]int, len(readings))
	scaled := make([]float64, len(readings))
	for i, x := range readings {
		order[i], scaled[i] = i, y.scale(x)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(scaled[a], scaled[b]) })
	left := make([]float64, len(order))
	for i, at := range order {
		left[i] = scaled[at]
	}
	for len(t.Steps) < t.Most && left[0] < left[len(left)-1] {
		far := y.farthest(left)
		at := 0
		if far.last {
			at = len(left) - 1
		}
		t.Steps = append(t.Steps, OutlierStep{order[at], readings[order[at]], far.statistic, y.critical(len(left), threshold)})
		if far.level < threshold {
			t.Flagged = len(t.Steps)
		}
		left, order = slices.Delete(left, at, at+1), slices.Delete(order, at, at+1)
	}
}

// smallestLevels are the level of the reading farthest out, and the smallest level of
// any step.
func (y yardstick) smallestLevels(sorted []float64, most int) (first, smallest float64) {
	first, smallest = 1, 1
	for i := 0; i < most && sorted[0] < sorted[len(sorted)-1]; i++ {
		far := y.farthest(sorted)
		if i == 0 {
			first = far.level
		}
		smallest = min(smallest, far.level)
		if far.last {
			sorted = sorted[:len(sorted)-1]
		} else {
			sorted = sorted[1:]
		}
	}
	return first, smallest
}
