package question

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"clampodds/dist/fit"
	"clampodds/dist/readings"
	"clampodds/reports"
)

// describe adds the readings themselves, lots and capability. Where readings are only bounds, what would need a value in their place
// comes from the fitted family or is not given.
func (f *Fit) describe(r *reports.Fit, table *readings.Table, sample *fit.Sample, best *fit.Fit) error {
	d, err := sample.Describe(f.Level)
	if err != nil {
		return err
	}
	r.Warnings = append(r.Warnings, d.Warnings...)
	for _, note := range table.Notes {
		r.Warnings = append(r.Warnings, reports.Warning{Code: "comment-of-cell", Text: "the file says of " + note})
	}
	if d.Bounds > 0 {
		curve := best.Distribution()
		of := reports.StandardError(curve.StdDev(), d.N)
		r.Description = numbersOf("readings", float64(d.N), exact, "bounds among them", float64(d.Bounds), exact,
			"mean, "+string(best.Family)+" fit", curve.Mean(), of, "standard deviation, "+string(best.Family)+" fit", curve.StdDev(), of,
			"lower quartile, "+string(best.Family)+" fit", curve.Quantile(0.25), of, "median, "+string(best.Family)+" fit", curve.Quantile(0.5), of, "upper quartile, "+string(best.Family)+" fit", curve.Quantile(0.75), of)
	} else {
		of := reports.StandardError(d.StdDev, d.N)
		r.Description = numbersOf(
			"readings", float64(d.N), exact, "mean", d.Mean, of, "mean, low", d.MeanInterval.Low, of, "mean, high", d.MeanInterval.High, of,
			"standard deviation", d.StdDev, of, "standard deviation, low", d.StdDevInterval.Low, of, "standard deviation, high", d.StdDevInterval.High, of,
			"smallest", d.Min, exact, "lower quartile", d.Lower, of, "median", d.Median, of, "upper quartile", d.Upper, of, "largest", d.Max, exact,
			// of many normal readings, from memory
			"skewness", d.Skewness, reports.StandardError(math.Sqrt(6), d.N), "excess kurtosis", d.ExcessKurtosis, reports.StandardError(math.Sqrt(24), d.N),
			"autocorrelation of neighbours", d.Autocorrelation, reports.StandardError(1, d.N))
	}
	lots, err := f.lots(r, table, best, d.Bounds > 0)
	if err != nil {
		return err
	}
	return f.capability(r, sample, lots, best, d.Bounds > 0)
}

// numbersOf are named numbers, each with what it is known to either way.
func numbersOf(triples ...any) (list []reports.NamedValue) {
	for i := 0; i < len(triples); i += 3 {
		list = append(list, reports.NamedValue{Name: triples[i].(string), Value: triples[i+1].(float64), Known: triples[i+2].(float64)})
	}
	return list
}

// What numbers of a fit are known to: exact are counts and readings. A p has three decimals, as in the table of families; those
// of a variance ratio and of expected runs, which scatter by one and more, are two and one.
const (
	exact     = 0.
	pKnown    = 0.01
	fKnown    = 0.1
	runsKnown = 1.
)

// lots splits the spread of grouped readings; nil for others.
func (f *Fit) lots(r *reports.Fit, table *readings.Table, best *fit.Fit, bounds bool) (*fit.Lots, error) {
	if len(table.LotColumns) > 0 {
		r.Warnings = append(r.Warnings, reports.Warning{Code: "lots-not-kept-apart", Text: fmt.Sprintf(
			"column %s looks as if it told lots apart: --lot %q splits the spread into that within and that between them", table.LotColumns[0], table.LotColumns[0])})
	}
	if table.Groups == nil {
		return nil, nil
	}
	if bounds {
		r.Warnings = append(r.Warnings, reports.Warning{Code: fit.BoundsOnly, Text: "the spread within and between lots is not given: it would need a value for the readings that are only bounds"})
		return nil, nil
	}
	groups := table.ByGroup()
	l, err := fit.NewLots(groups, f.Level)
	if err != nil {
		return nil, err
	}
	r.Warnings = append(r.Warnings, l.Warnings...)
	f.newLot(r, table.Unit, groups, l, best)
	for i, g := range groups {
		mean, sd := stat.MeanStdDev(g, nil) // sd is NaN of a single reading
		r.PerLot = append(r.PerLot, reports.LotRow{Lot: table.GroupNames[i], Readings: len(g), Mean: mean, SD: sd, Smallest: slices.Min(g), Largest: slices.Max(g)})
	}
	mean, of := reports.StandardError(l.Total, len(table.Values)), reports.StandardError(l.Within, len(table.Values))
	r.Lots = numbersOf("lots", float64(l.Count), exact, "mean", l.Mean, mean, "within lots, standard deviation", l.Within, of,
		"within, low", l.WithinInterval.Low, of, "within, high", l.WithinInterval.High, of, "between lots, standard deviation", l.Between, of, "in all, standard deviation", l.Total, of,
		"correlation of two readings of one lot", l.Correlation, of, "correlation, low", l.CorrelationInterval.Low, of, "correlation, high", l.CorrelationInterval.High, of,
		"F", l.F, fKnown, "p of equal lots", l.P, pKnown)
	return &l, nil
}

// newLot adds the entry for units of new lots. Where the family of all readings is never negative a lot is a factor, else
// a level that is added.
func (f *Fit) newLot(r *reports.Fit, unit string, groups [][]float64, l fit.Lots, best *fit.Fit) {
	entry, between := l.Parts(), l.Between
	if low, _ := best.Distribution().Support(); low >= 0 {
		factor, err := fit.NewLotFactor(groups, f.Level)
		if err != nil {
			r.NoNewLot = err.Error()
			return
		}
		entry, between = factor.Entry(), factor.Between
	}
	switch {
	case between == 0:
		r.NoNewLot = "the lots are no further apart than readings of one lot"
	case l.Count < 3:
		r.NoNewLot = "two lots tell nothing of how far lots lie apart"
	default:
		r.NewLot = entry.TOML(quantityText(unit))
	}
}

func (f *Fit) capability(r *reports.Fit, sample *fit.Sample, lots *fit.Lots, best *fit.Fit, bounds bool) error {
	limits := bounded(f.Limits)
	if limits == (fit.Range{}) {
		return nil
	}
	if bounds {
		r.Capability = byPercentiles(best, limits)
		return nil
	}
	c, err := sample.Capability(lots, limits, f.Options)
	if err != nil {
		return err
	}
	r.Warnings = append(r.Warnings, c.Warnings...)
	for _, i := range []fit.Index{c.Cp, c.Cpk, c.Pp, c.Ppk} {
		if !math.IsNaN(i.Estimate) { // Cp and Pp need both limits
			r.Capability = append(r.Capability, i)
		}
	}
	if slices.ContainsFunc(c.Warnings, func(w fit.Warning) bool { return w.Code == fit.NotNormal }) {
		r.Capability = append(r.Capability, byPercentiles(best, limits)...)
	}
	return nil
}

// byPercentiles are the indices that do not presuppose normal readings, without
// intervals.
func byPercentiles(best *fit.Fit, limits fit.Range) (rows []fit.Index) {
	pp, ppk := fit.Performance(best.Distribution(), limits)
	for _, i := range []fit.Index{pp, ppk} {
		if !math.IsNaN(i.Estimate) {
			i.Name += ", percentiles of " + string(best.Family)
			rows = append(rows, i)
		}
	}
	return rows
}

// GaugeError is the error of a reading, taken out of the fitted spread.
type GaugeError struct {
	SD, Freedom float64           // standard deviation; degrees of freedom of its estimate, 0: known
	Limit       float64           // of an accuracy class: uniform, beside SD
	From        *reports.FitGauge // the study it comes from, if any
}

// Take takes the error among readings of a unit from a gauge study.
func (e *GaugeError) Take(g reports.Gauge, unit string, oneOperator bool) error {
	scale, err := inUnit(g, unit)
	if err != nil {
		return err
	}
	sd, freedom := g.Scatter.Several, g.Scatter.SeveralFreedom
	if oneOperator {
		sd, freedom = g.Scatter.One, g.Scatter.OneFreedom
	}
	e.SD = scale * sd
	if freedom != nil {
		e.Freedom = *freedom
	}
	e.From = &reports.FitGauge{Study: g.Data, Digest: g.Digest, OneOperator: oneOperator, SD: e.SD}
	return nil
}

// sd is the whole standard deviation.
func (e *GaugeError) sd() float64 { return math.Hypot(e.SD, fit.LimitError(e.Limit)) }

// freedom are the degrees of freedom of an estimate once what is known, the limit of an accuracy class, has been added.
func (e *GaugeError) freedom() float64 {
	if e.Freedom == 0 {
		return 0
	}
	return e.Freedom * math.Pow(e.sd()/e.SD, 4)
}
