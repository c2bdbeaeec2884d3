package question

import (
	"fmt"
	"math"
	"slices"

	"clampodds/dist/fit"
	"clampodds/dist/readings"
	"clampodds/reports"
)

// flagRate is the rate of false alarms of outliers, and that of a process called not stable.
const flagRate = 0.05

// flagged marks outliers and draws up the run chart, under the family of the entry.
func (f *Fit) flagged(r *reports.Fit, table *readings.Table, sample *fit.Sample, best *fit.Fit, p measurand) error {
	r.Repeated = repeatedLines(table, sample)
	flags, err := best.Flags(flagRate, f.Seed)
	if err != nil {
		return err
	}
	r.Flags = reports.Flags{Family: string(best.Family), Rate: flagRate, Most: flags.Outliers.Most, Method: flags.Outliers.Method, Reason: flags.Outliers.Reason}
	var outliers []int
	for _, s := range flags.Outliers.Steps[:flags.Outliers.Flagged] {
		outliers = append(outliers, s.Index)
		r.Outliers = append(r.Outliers, reports.Outlier{Line: table.Line(s.Index), Reading: s.Reading, Statistic: s.Statistic, Critical: s.Critical})
	}
	if r.Slips, err = f.slips(table, sample, best, p, outliers); err != nil {
		return err
	}
	r.RemarkEntries()
	c := flags.Chart
	r.Warnings = append(r.Warnings, c.Warnings...)
	runs := []any{"runs about the median", float64(c.Runs), exact, "runs expected", c.ExpectedRuns, runsKnown, "p of the runs", c.PRuns, pKnown, "unusual below p", c.RunsLevel, pKnown}
	if c.Reason != "" {
		if c.Runs > 0 {
			r.Chart = numbersOf(runs...)
		}
		return nil
	}
	of := reports.StandardError(c.Sigma, sample.N())
	if c.Lower < best.Distribution().Quantile(0) {
		c.Lower = math.Inf(-1) // no reading of the family comes near it
	}
	r.Flags.NoLimits = math.IsInf(c.Upper, 1)
	chart := []any{"centre", c.Centre, of, "short-term standard deviation", c.Sigma, of}
	if !r.Flags.NoLimits {
		chart = slices.Insert(chart, 3, []any{"lower limit", c.Lower, of, "upper limit", c.Upper, of}...)
		chart = append(chart, "readings outside the limits", float64(len(c.Beyond)), exact, "p of the farthest", c.PBeyond, pKnown, "outside below p", c.BeyondLevel, pKnown)
	}
	r.Chart = numbersOf(append(chart, runs...)...)
	for _, i := range c.Beyond {
		r.OutsideChart = append(r.OutsideChart, reports.MarkedReading{Line: table.Line(i), Reading: table.Values[i]})
	}
	return nil
}

// repeatedLines is the block of readings that stands twice, by its lines; nil where none does.
func repeatedLines(table *readings.Table, sample *fit.Sample) *reports.Repeated {
	b := sample.Repeated()
	if b == nil {
		return nil
	}
	lines := func(first int) [2]int { return [2]int{table.Line(first), table.Line(first + b.Length - 1)} }
	return &reports.Repeated{Readings: b.Length, Lines: lines(b.First), Again: lines(b.Again), Rate: fit.RepeatRate}
}

// slipLevel is how far out a reading has to lie, under the family of the others, for the sentence that it chooses the family of
// the column: so far lies some reading of that family in 1 of 1000 columns. Columns of families that the others do not show at once
// (skewed ones, without their largest reading) are told so more often; see TestTheFamilyOfASlip for the rates.
const slipLevel = 0.001

// slips says whether a few readings that lie far out choose the family of all: without them it is another, under which they lie
// too far out. A slip of typing so hides behind a family whose tail takes it in, and that family's own test may flag good
// readings at its other end. Else it is what those flagged do to the entry; nil where there are none.
func (f *Fit) slips(table *readings.Table, sample *fit.Sample, best *fit.Fit, p measurand, flagged []int) (*reports.Slips, error) {
	for _, set := range sample.Suspects(slipLevel) {
		rest, err := f.without(sample, p, set)
		if err != nil {
			return nil, err
		}
		if rest == nil || rest.Family == best.Family {
			continue
		}
		near := func(i int) bool { return !(rest.Outlying(table.Values[i], sample.N()) < slipLevel) }
		if !slices.ContainsFunc(set, near) {
			return slipsAt(table, set, rest.Family, rest), nil
		}
	}
	if len(flagged) == 0 {
		return nil, nil
	}
	rest, err := f.without(sample, p, flagged)
	return slipsAt(table, flagged, best.Family, rest), err
}

// without is the fit that would go into a study without some of the readings; nil where they leave none.
func (f *Fit) without(sample *fit.Sample, p measurand, set []int) (*fit.Fit, error) {
	rest, err := sample.Without(set)
	if err != nil {
		return nil, nil // all others are alike, or too few
	}
	compared, err := rest.Compare(f.families(), f.Options)
	if err != nil || len(compared.Fits) == 0 {
		return nil, err
	}
	at, _ := p.pasted(compared.Fits)
	return compared.Fits[at], nil
}

func slipsAt(table *readings.Table, set []int, under fit.Family, rest *fit.Fit) *reports.Slips {
	s := &reports.Slips{Family: under}
	for _, i := range slices.Sorted(slices.Values(set)) {
		s.Readings = append(s.Readings, reports.MarkedReading{Line: table.Line(i), Reading: table.Values[i]})
	}
	if rest != nil {
		s.Without, s.Entry = rest.Family, rest.Entry().TOML(quantityText(table.Unit))
	}
	return s
}

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
