package question

import (
	"fmt"
	"slices"

	"clampodds/dist/fit"
	"clampodds/reports"
)

// steps says what the gauge's coarse step does to the entry; nil where it is not coarse. What the readings leave of the spread is
// compared with as many exact ones, by normal readings and where nothing but the step comes between.
func (f *Fit) steps(r *reports.Fit, sample *fit.Sample, fits []*fit.Fit) error {
	found := sample.CoarseSteps()
	if found == nil {
		return nil
	}
	r.Steps = &reports.Steps{CoarseSteps: *found, Readings: sample.N()}
	d, err := sample.Describe(f.Level)
	if err != nil {
		return err
	}
	r.Steps.OfSD = found.Step / d.StdDev
	at := slices.IndexFunc(fits, func(g *fit.Fit) bool { return g.Family == fit.Normal })
	if at < 0 || f.Gauge.sd() > 0 || bounded(f.Kept) != (fit.Range{}) {
		return nil
	}
	r.Steps.Factor = ratio(fits[at].Parameters[1].Interval)
	r.Steps.Exact = ratio(d.StdDevInterval)
	return nil
}

func ratio(r fit.Range) float64 { return r.High / r.Low }

// twoValues refuses readings that stand on two values only and that no family bears: any curve between the two would do.
func twoValues(sample *fit.Sample, fits []*fit.Fit) error {
	c := sample.CoarseSteps()
	if c == nil || c.Values > 2 || slices.ContainsFunc(fits, bears) {
		return nil
	}
	return fmt.Errorf("all readings stand on two neighbouring values, %s apart, so that the parts may all but agree, or fill that step: read them with a finer gauge; where its step is finer, give it with --resolution", reports.Plain(c.Step))
}
