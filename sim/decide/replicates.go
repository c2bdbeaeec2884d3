package decide

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"clampodds/sim"
	"clampodds/sim/interval"
)

// wantedReplicates is how many independent parts a run is cut into.
const wantedReplicates = 20

// statistics are what is compared of an output's values.
var statistics = []struct {
	name string
	of   func(sorted []float64) float64
}{
	{"mean", meanOfFinite}, {"P50", percentile(0.5)}, {"P95", percentile(0.95)}, {"P99", percentile(0.99)},
}

// meanOfFinite is the mean of the values below infinity.
func meanOfFinite(sorted []float64) float64 {
	finite := sorted
	for len(finite) > 0 && math.IsInf(finite[len(finite)-1], 1) {
		finite = finite[:len(finite)-1]
	}
	return stat.Mean(finite, nil)
}

// percentile is the value of rank ceil(p n).
func percentile(p float64) func([]float64) float64 {
	return func(sorted []float64) float64 { return stat.Quantile(p, stat.Empirical, sorted, nil) }
}

// OutputChange compares one statistic of an output in two scenarios, on common
// draws.
type OutputChange struct {
	Output sim.Output
	// Statistic is "mean", "P50", "P95" or "P99", over rows with a value for the
	// mean, over all for the others.
	Statistic string
	// First and Other are the statistic in each, averaged over the replicates.
	First, Other float64
	// Difference is other - first: Student's t on the differences of the
	// replicates, independent parts of the run.
	Difference interval.MeanInterval
	// WidthRatio is how many times as wide the interval would be had both
	// scenarios been drawn independently; +Inf where the difference never varies.
	WidthRatio float64
}

// replicates gathers rows of a run in independent parts, and of each the
// statistics of some outputs.
type replicates struct {
	rows    int64 // of a part, at least
	outputs []sim.Output
	at      [][]int         // by scenario and output: the column
	values  [][][]float64   // by scenario and output, of the part under way
	results [][][][]float64 // by scenario, output and statistic: one for each part
}

// newReplicates watches outputs, by name, that all scenarios have; it sets the
// run's Draws, and its blocks where they would be too few.
func newReplicates(r *sim.Run, names []string) (*replicates, error) {
	p := &replicates{rows: max((r.Samples+wantedReplicates-1)/wantedReplicates, 1)}
	for s, scenario := range r.Scenarios {
		outputs := scenario.Model.Outputs()
		var at []int
		for _, name := range names {
			i := slices.IndexFunc(outputs, func(o sim.Output) bool { return o.Name == name })
			if i < 0 {
				return nil, fmt.Errorf("%s has no output %q", scenario.Name, name)
			}
			at = append(at, i)
			if s == 0 {
				p.outputs = append(p.outputs, outputs[i])
			}
		}
		p.at = append(p.at, at)
		p.values = append(p.values, make([][]float64, len(names)))
		results := make([][][]float64, len(names))
		for i := range results {
			results[i] = make([][]float64, len(statistics))
		}
		p.results = append(p.results, results)
	}
	const usual = 1024 // rows of a block
	if r.BlockRows == 0 && !r.Sampler.Dependent() && p.rows < usual {
		r.BlockRows = int(p.rows)
	}
	r.Draws = p.draws
	return p, nil
}

// draws implements sim.Run.Draws.
func (p *replicates) draws(_ int64, scenario int, _, y [][]float64) error {
	for i, at := range p.at[scenario] {
		p.values[scenario][i] = append(p.values[scenario][i], y[at]...)
	}
	if scenario == len(p.at)-1 && int64(len(p.values[0][0])) >= p.rows {
		p.close()
	}
	return nil
}

// close takes the statistics of the part under way and starts the next. Rows
// of a last part that is not full stay out.
func (p *replicates) close() {
	for s, outputs := range p.values {
		for i, values := range outputs {
			slices.Sort(values)
			for k, statistic := range statistics {
				p.results[s][i][k] = append(p.results[s][i][k], statistic.of(values))
			}
			outputs[i] = values[:0]
		}
	}
}

// changes compares two scenarios.
func (p *replicates) changes(first, other int, level float64) []OutputChange {
	var list []OutputChange
	for i, output := range p.outputs {
		for k, statistic := range statistics {
			a, b := p.results[first][i][k], p.results[other][i][k]
			if len(a) == 0 {
				continue
			}
			list = append(list, newOutputChange(output, statistic.name, a, b, level))
		}
	}
	return list
}

func newOutputChange(output sim.Output, statistic string, first, other []float64, level float64) OutputChange {
	differences := make([]float64, len(first))
	for r := range first {
		differences[r] = other[r] - first[r]
	}
	c := OutputChange{
		Output: output, Statistic: statistic,
		First: stat.Mean(first, nil), Other: stat.Mean(other, nil), Difference: interval.Replicates(differences, level),
	}
	if len(first) > 1 {
		c.WidthRatio = math.Sqrt((stat.Variance(first, nil) + stat.Variance(other, nil)) / stat.Variance(differences, nil))
	}
	return c
}
