package main

import (
	"math"
	"slices"

	"clampodds/dist/fit"
	"clampodds/dist/readings"
	"clampodds/reports"
)

// describe adds what needs no family: the readings themselves, lots, capability,
// the run chart and outliers.
func (f *fitting) describe(r *reports.Fit, table *readings.Table, sample *fit.Sample, best *fit.Fit) error {
	d, err := sample.Describe(f.level)
	if err != nil {
		return err
	}
	r.Warnings = append(r.Warnings, fitWarnings(d.Warnings)...)
	r.Description = plainValues(
		"readings", float64(d.N), "mean", d.Mean, "mean, low", d.MeanInterval.Low, "mean, high", d.MeanInterval.High,
		"standard deviation", d.StdDev, "standard deviation, low", d.StdDevInterval.Low, "standard deviation, high", d.StdDevInterval.High,
		"smallest", d.Min, "lower quartile", d.Lower, "median", d.Median, "upper quartile", d.Upper, "largest", d.Max,
		"skewness", d.Skewness, "excess kurtosis", d.ExcessKurtosis, "autocorrelation of neighbours", d.Autocorrelation)
	chart(r, sample)
	lots, err := f.lots(r, table)
	if err != nil {
		return err
	}
	if err := f.capability(r, sample, lots, best); err != nil {
		return err
	}
	return outliers(r, table, sample)
}

// plainValues pairs names with numbers.
func plainValues(pairs ...any) (list []reports.NamedValue) {
	for i := 0; i < len(pairs); i += 2 {
		list = append(list, reports.NamedValue{Name: pairs[i].(string), Value: real(pairs[i+1].(float64))})
	}
	return list
}

func chart(r *reports.Fit, sample *fit.Sample) {
	c := sample.RunChart()
	r.Warnings = append(r.Warnings, fitWarnings(c.Warnings)...)
	r.Chart = plainValues("centre", c.Centre, "lower limit", c.Lower, "upper limit", c.Upper, "short-term standard deviation", c.Sigma,
		"readings outside the limits", float64(len(c.Beyond)), "runs about the centre", float64(c.Runs), "runs expected", c.ExpectedRuns,
		"p of the readings outside", c.PBeyond, "p of the runs", c.PRuns)
}

// lots splits the spread of grouped readings; nil for others.
func (f *fitting) lots(r *reports.Fit, table *readings.Table) (*fit.Lots, error) {
	if table.Groups == nil {
		return nil, nil
	}
	l, err := fit.NewLots(table.ByGroup(), f.level)
	if err != nil {
		return nil, err
	}
	r.Warnings = append(r.Warnings, fitWarnings(l.Warnings)...)
	r.NewLot = l.Entry().TOML(quantityText(table.Unit))
	r.Lots = plainValues("lots", float64(l.Count), "mean", l.Mean, "within lots, standard deviation", l.Within,
		"within, low", l.WithinInterval.Low, "within, high", l.WithinInterval.High, "between lots, standard deviation", l.Between, "in all, standard deviation", l.Total,
		"correlation of two readings of one lot", l.Correlation, "correlation, low", l.CorrelationInterval.Low, "correlation, high", l.CorrelationInterval.High,
		"F", l.F, "p of equal lots", l.P)
	return &l, nil
}

func (f *fitting) capability(r *reports.Fit, sample *fit.Sample, lots *fit.Lots, best *fit.Fit) error {
	limits := rangeOf(f.low, f.high)
	if limits == (fit.Range{}) {
		return nil
	}
	c, err := sample.Capability(lots, limits, f.level)
	if err != nil {
		return err
	}
	r.Warnings = append(r.Warnings, fitWarnings(c.Warnings)...)
	for _, i := range []struct {
		name  string
		index fit.Index
	}{{"Cp", c.Cp}, {"Cpk", c.Cpk}, {"Pp", c.Pp}, {"Ppk", c.Ppk}} {
		if math.IsNaN(i.index.Estimate) {
			continue // Cp and Pp need both limits
		}
		r.Capability = append(r.Capability, reports.CapabilityRow{
			Index: i.name, Value: real(i.index.Estimate), Low: real(i.index.Interval.Low),
			High: real(i.index.Interval.High), Lower: real(i.index.Lower),
		})
	}
	if slices.ContainsFunc(c.Warnings, func(w fit.Warning) bool { return w.Code == fit.NotNormal }) {
		r.Capability = append(r.Capability, byPercentiles(best, limits)...)
	}
	return nil
}

// byPercentiles are the indices that do not presuppose normal readings, without
// intervals.
func byPercentiles(best *fit.Fit, limits fit.Range) (rows []reports.CapabilityRow) {
	unknown := real(math.NaN())
	pp, ppk := fit.Performance(best.Distribution(), limits)
	for _, i := range []struct {
		name  string
		value float64
	}{{"Pp", pp}, {"Ppk", ppk}} {
		if !math.IsNaN(i.value) {
			rows = append(rows, reports.CapabilityRow{
				Index: i.name + ", percentiles of " + string(best.Family), Value: real(i.value), Low: unknown, High: unknown, Lower: unknown,
			})
		}
	}
	return rows
}

// outliers flags readings; the test needs four.
func outliers(r *reports.Fit, table *readings.Table, sample *fit.Sample) error {
	n := len(table.Values)
	if n < 4 {
		return nil
	}
	test, err := sample.Outliers(min(10, n-3), 0.05)
	if err != nil {
		return err
	}
	for _, s := range test.Steps[:test.Flagged] {
		r.Outliers = append(r.Outliers, reports.Outlier{Line: table.Line(s.Index), Reading: real(s.Reading), Statistic: real(s.Statistic), Critical: real(s.Critical)})
	}
	return nil
}
