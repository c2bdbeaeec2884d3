package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist/fit"
	"clampodds/dist/readings"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/assurance"
)

func newFit() *cobra.Command {
	var s shared
	var f fitting
	cmd := &cobra.Command{
		Use:   "fit DATA",
		Short: "Distribution from measured readings, capability, ready to paste into a study",
		Long: `fit takes a column of readings, fits families of distributions to it and prints
one as an entry for a study.

DATA is a workbook (.xlsx, --sheet) or a text file as a spreadsheet exports it:
commas, semicolons, tabs or bars between the cells, UTF-8 or UTF-16, the unit in
the header, torque [N*m], or in a row below it, remarks behind "# ". Comments of
cells are shown. Cells are bare numbers; <0.05 and >2.5 are readings beyond what the gauge
shows. Whatever else stands there is refused, all of it at once. No reading is
dropped, and nothing is put in the place of one beyond the gauge. Outliers and a
process that was not stable are flagged under the fitted family, each in 5 of 100
columns at most where nothing is wrong.

The entry carries the number of readings: a study allows for what so few leave
open. Readings of several lots need --lot; there are then entries for a unit of a new
lot as well: the part of its lot, that within it, and both pooled. --format json has the standard errors and the points of a
probability plot. --gauge-study takes the gauge's error out of the fitted spread.

--target says how many parts may be beyond --low or --high: met, not met or
undecided, and then how many more readings would decide. --plan-readings MEAN,SD
says it before there are any.`,
		Args: func(cmd *cobra.Command, args []string) error {
			if f.planned != nil {
				return exactly(0)(cmd, args)
			}
			return exactly(1)(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if f.planned != nil {
				plan, err := f.plan()
				if err != nil {
					return usage(err)
				}
				return emit(cmd.OutOrStdout(), s.form, plan)
			}
			// Garbage is collected in time for 100 MB of readings to stay within 500 MB.
			defer debug.SetMemoryLimit(debug.SetMemoryLimit(400 << 20))
			table, digest, err := f.read(cmd.Context(), args[0])
			if err != nil {
				return err
			}
			if err := f.takeGaugeStudy(table.Unit); err != nil {
				return err
			}
			result, err := f.result(args[0], digest, table)
			if err != nil {
				return usage(fmt.Errorf("%s: %w", args[0], err))
			}
			if err := emit(cmd.OutOrStdout(), s.form, result); err != nil {
				return err
			}
			return verdicts(f.verdicts...)
		},
	}
	s.flags(cmd)
	f.flags(cmd)
	return cmd
}

// fitting holds the flags of fit. Numbers are in the unit of the readings.
type fitting struct {
	options           readings.Options
	input             string
	group             string // the old name of --lot, refused
	separator         string
	low, high         float64
	keptLow, keptHigh float64
	gauge, gaugeLimit float64
	gaugeStudy        string
	gaugeFreedom      float64 // of its estimate, 0: known
	oneOperator       bool
	gaugeTaken        *reports.FitGauge // from the study
	resolution        float64
	betaLow, betaHigh float64
	families          []string
	level             float64
	bootstrap         int
	seed              uint64
	target            float64
	chance            float64
	planned           []float64
	verdicts          []sim.Verdict
}

func (f *fitting) flags(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.options.Sheet, "sheet", "", "`NAME` of the sheet of a workbook (default: the only one with cells)")
	flags.StringVar(&f.options.Column, "column", "", "`HEADER` or number of the column of readings")
	flags.StringVar(&f.options.Unit, "unit", "", "unit of the readings (default: the one in the header or a row of units)")
	flags.StringVar(&f.input, "input", "", "`KEY` of the input that was measured: its range says which families are possible (default: by the header and the unit)")
	flags.StringVar(&f.options.Group, "lot", "", "`HEADER` or number of the column with the lot, tool, supplier or operator")
	flags.StringVar(&f.group, "group", "", "")
	_ = flags.MarkHidden("group") // fails for an unknown flag only
	flags.StringVar(&f.separator, "separator", "", "character between cells (default: found in the first line)")
	flags.BoolVar(&f.options.DecimalComma, "decimal-comma", false, "2,48 is two and 48 hundredths")
	flags.Float64Var(&f.low, "low", math.Inf(-1), "least value allowed, for capability and the probability of parts below")
	flags.Float64Var(&f.high, "high", math.Inf(1), "largest value allowed")
	flags.Float64Var(&f.keptLow, "kept-low", math.Inf(-1), "parts below were cut by inspection and are not among the readings")
	flags.Float64Var(&f.keptHigh, "kept-high", math.Inf(1), "parts above were cut by inspection")
	flags.Float64Var(&f.gauge, "gauge", 0, "standard deviation of a reading's own error; it is taken out of the spread")
	flags.StringVar(&f.gaugeStudy, "gauge-study", "", "the same from a gauge study: `FILE` with what gauge --format json printed, or with the readings")
	flags.BoolVar(&f.oneOperator, "one-operator", false, "all readings are of one operator, so that what operators differ by is no spread among them")
	flags.Float64Var(&f.gaugeLimit, "gauge-limit", 0, "limit of a reading's own error, as an accuracy class states it; taken as uniform, on top of --gauge")
	flags.Float64Var(&f.resolution, "resolution", 0, "step that the readings are rounded to")
	flags.Float64Var(&f.betaLow, "beta-low", 0, "lower end of a beta distribution")
	flags.Float64Var(&f.betaHigh, "beta-high", 0, "upper end of a beta distribution")
	flags.StringSliceVar(&f.families, "family", nil, "families to fit (default: all that the readings allow)")
	flags.Float64Var(&f.level, "confidence", 0.95, "level of the intervals")
	flags.IntVar(&f.bootstrap, "bootstrap", 999, "replicates for tests without a table of critical values; 0 leaves them out")
	flags.Float64Var(&f.target, "target", 0, "largest probability of parts beyond --low or --high: judged, with the number of readings that would decide")
	flags.Float64Var(&f.chance, "chance", assurance.Wanted, "chance that so many readings decide")
	flags.Float64SliceVar(&f.planned, "plan-readings", nil, "no DATA yet: how many readings show --target, if the process has `MEAN,SD`")
	flags.Uint64Var(&f.seed, "seed", 0, "seed of the bootstrap")
}

// read reads the readings and their digest.
func (f *fitting) read(ctx context.Context, path string) (*readings.Table, string, error) {
	if f.group != "" {
		return nil, "", usage(fmt.Errorf("--group %q: the flag is called --lot now", f.group))
	}
	var err error
	if f.options.Separator, err = separatorOf(f.separator); err != nil {
		return nil, "", usage(err)
	}
	file, err := files.Open(ctx, path, files.MostOfTable)
	if err != nil {
		return nil, "", ofReading(err)
	}
	defer file.Close()
	hash := sha256.New()
	f.options.Convert = inTheirUnit(f.options.Unit)
	table, err := readings.Read(io.TeeReader(file, hash), f.options)
	if problems := (*readings.Problems)(nil); errors.As(err, &problems) {
		return nil, "", usage(fmt.Errorf("%s: %w", path, err))
	}
	if err != nil {
		return nil, "", ofFiles(fmt.Errorf("%s: %w", path, err))
	}
	return table, hex.EncodeToString(hash.Sum(nil)), nil
}

// separatorOf is the character of a --separator, 0 for none.
func separatorOf(text string) (rune, error) {
	switch separator := []rune(text); len(separator) {
	case 0:
		return 0, nil
	case 1:
		return separator[0], nil
	}
	return 0, fmt.Errorf("--separator %q: must be one character", text)
}

// inTheirUnit keeps the numbers in their unit, which must be one that a study can
// be pasted with; that is also how a row of units is told from readings. Beside a
// unit asked for on the command line, another one of the file's converts, which the reader
// refuses as a contradiction.
func inTheirUnit(asked string) func(unit string) (func(float64) float64, error) {
	return func(unit string) (func(float64) float64, error) {
		switch {
		case unit == "" || asked == "" && units.Known(unit) || unit == asked && units.Known(unit):
			return func(x float64) float64 { return x }, nil
		case !units.Known(unit):
			return nil, fmt.Errorf("%s is no known unit: leave it out, or give another with --unit", unit)
		}
		return between(unit, asked)
	}
}

// between converts numbers from one unit to another of the same quantity.
func between(from, to string) (func(x float64) float64, error) {
	quantity := quantityOf(to)
	own, err := units.Conversion(to, quantity)
	if err != nil {
		return nil, err
	}
	other, err := units.Conversion(from, quantity)
	if err != nil || own(0) == other(0) && own(1) == other(1) {
		return func(x float64) float64 { return x }, err // the same unit spelt another way
	}
	return func(x float64) float64 { return (other(x) - own(0)) / (own(1) - own(0)) }, nil
}

// quantityOf is what a known unit measures, in the words of package units.
func quantityOf(unit string) units.Quantity {
	if _, err := units.Parse("1 "+unit, units.Temperature); err == nil {
		return units.Temperature
	}
	return units.Quantity(unit)
}

// takeGaugeStudy takes the error of a reading from a gauge study.
func (f *fitting) takeGaugeStudy(unit string) error {
	if f.gaugeStudy == "" {
		if f.oneOperator {
			return usage(errors.New("--one-operator says how to use a --gauge-study, and there is none"))
		}
		return nil
	}
	if f.gauge != 0 {
		return usage(errors.New("--gauge and --gauge-study are the same error: give one of them"))
	}
	g, err := gaugeStudy(f.gaugeStudy)
	if err != nil {
		return err
	}
	scale, err := gaugeUnit(g, unit)
	if err != nil {
		return usage(fmt.Errorf("%s: %w", f.gaugeStudy, err))
	}
	f.gauge = scale * float64(g.Scatter.Several)
	freedom := g.Scatter.SeveralFreedom
	if f.oneOperator {
		f.gauge, freedom = scale*float64(g.Scatter.One), g.Scatter.OneFreedom
	}
	if freedom != nil {
		f.gaugeFreedom = float64(*freedom)
	}
	f.gaugeTaken = &reports.FitGauge{Study: g.Data, Digest: g.Digest, OneOperator: f.oneOperator, SD: real(f.gauge)}
	return nil
}

// result fits the readings and judges them.
func (f *fitting) result(path, digest string, table *readings.Table) (reports.Fit, error) {
	r := reports.Fit{Schema: reports.FitSchema, Version: version, Data: path, Digest: digest, Column: table.Column, Unit: table.Unit, Level: real(f.level), Gauge: f.gaugeTaken}
	if err := f.checkTarget(); err != nil {
		return r, err
	}
	if f.target > 0 {
		r.Chance = real(f.chance)
	}
	if !(f.gauge >= 0 && f.gaugeLimit >= 0) {
		return r, fmt.Errorf("--gauge %g, --gauge-limit %g: must be >= 0", f.gauge, f.gaugeLimit)
	}
	p, err := f.measurand(table)
	if err != nil {
		return r, err
	}
	sample, err := f.sample(&r, table)
	if err != nil {
		return r, err
	}
	compared, err := sample.Compare(f.chosen(), fit.Options{Level: f.level, Replicates: f.bootstrap, Seed: f.seed})
	if err != nil {
		return r, err
	}
	if len(compared.Fits) == 0 {
		return r, fmt.Errorf("no family fits these readings: %w", compared.Refused[0].Err)
	}
	for _, g := range compared.Fits {
		family := fittedFamily(g, table.Unit)
		if p.what != "" {
			family.Below0 = real(p.impossible(g))
		}
		r.Families = append(r.Families, family)
	}
	for _, g := range compared.Refused {
		r.Refused = append(r.Refused, reports.RefusedFamily{Family: string(g.Family), Reason: g.Err.Error()})
	}
	at, why := p.pasted(compared.Fits)
	best := compared.Fits[at]
	r.Choice = reports.Choice{Family: string(best.Family), Quantity: p.what, Reason: why}
	r.Entry, r.Warnings = r.Families[at].Entry, append(r.Warnings, r.Families[at].Warnings...)
	if err := f.beyond(&r, best); err != nil {
		return r, err
	}
	points, err := best.ProbabilityPlot(200)
	if err != nil {
		return r, err
	}
	for _, p := range points {
		r.Plot = append(r.Plot, reports.PlotPoint{Reading: real(p.Reading), Position: real(p.Position), Fitted: real(p.Fitted)})
	}
	return r, f.describe(&r, table, sample, best)
}

// sample takes the readings. Coarse steps without a declared resolution are taken as
// rounding, and the result says so.
func (f *fitting) sample(r *reports.Fit, table *readings.Table) (*fit.Sample, error) {
	data := fit.Data{
		Values: table.Values, Below: table.Below, Above: table.Above, Resolution: f.resolution,
		GaugeSD: math.Hypot(f.gauge, fit.LimitError(f.gaugeLimit)), GaugeFreedom: f.freedomWithLimit(),
		Kept: rangeOf(f.keptLow, f.keptHigh), BetaLimits: fit.Range{Low: f.betaLow, High: f.betaHigh},
	}
	sample, err := fit.NewSample(data)
	if err != nil {
		return nil, err
	}
	if data.Resolution = sample.Coarse(); data.Resolution == 0 {
		return sample, nil
	}
	r.Warnings = append(r.Warnings, reports.Warning{Code: string(fit.CoarseResolution), Text: fmt.Sprintf(
		"the readings come in steps of %s, no small part of their spread: each is taken as anything within half a step; --resolution gives another", reports.Plain(data.Resolution))})
	return fit.NewSample(data)
}

// freedomWithLimit are the degrees of freedom of a gauge study's estimate once what is known, the limit of an accuracy class, has been added.
func (f *fitting) freedomWithLimit() float64 {
	if f.gaugeFreedom == 0 {
		return 0
	}
	ratio := math.Hypot(f.gauge, fit.LimitError(f.gaugeLimit)) / f.gauge
	return f.gaugeFreedom * math.Pow(ratio, 4)
}

// rangeOf is a range with ends that may be infinite; none when both are.
func rangeOf(low, high float64) fit.Range {
	if math.IsInf(low, -1) && math.IsInf(high, 1) {
		return fit.Range{}
	}
	return fit.Range{Low: low, High: high}
}

// chosen are the families asked for; by default all, the beta family only with
// its limits.
func (f *fitting) chosen() []fit.Family {
	var list []fit.Family
	for _, name := range f.families {
		list = append(list, fit.Family(name))
	}
	if len(list) > 0 {
		return list
	}
	for _, g := range fit.Families() {
		if g != fit.Beta || f.betaLow != f.betaHigh {
			list = append(list, g)
		}
	}
	return list
}

func fittedFamily(g *fit.Fit, unit string) reports.FittedFamily {
	ad := g.AndersonDarling
	r := reports.FittedFamily{
		Family: string(g.Family), LogLikelihood: real(g.LogLikelihood), AICc: real(g.AICc),
		A2: real(ad.A2), Adjusted: real(ad.Adjusted), P: real(ad.P), Method: ad.Method,
		Entry: g.Entry().TOML(quantityText(unit)), Warnings: fitWarnings(g.Warnings),
	}
	for _, p := range g.Parameters {
		r.Parameters = append(r.Parameters, reports.FittedParameter{Key: p.Key, Value: real(p.Value), SE: real(p.SE), Interval: reports.Interval{Low: real(p.Interval.Low), High: real(p.Interval.High)}})
	}
	return r
}

// quantityText writes a value of the readings as the text of a study file, nil
// for readings without a unit.
func quantityText(unit string) func(value float64, difference bool) string {
	if unit == "" || unit == "1" {
		return nil
	}
	difference := unit
	if quantityOf(unit) == units.Temperature && unit != "K" {
		difference = "delta " + strings.NewReplacer("°", "deg").Replace(unit)
	}
	return func(value float64, isDifference bool) string {
		text := unit
		if isDifference {
			text = difference
		}
		return fmt.Sprintf("%q", reports.Plain(value)+" "+text)
	}
}

func fitWarnings(all []fit.Warning) (list []reports.Warning) {
	for _, w := range all {
		list = append(list, reports.Warning{Code: string(w.Code), Text: w.Text})
	}
	return list
}

// beyond states the probability of parts beyond each limit given.
func (f *fitting) beyond(r *reports.Fit, best *fit.Fit) error {
	for _, side := range []struct {
		limit float64
		above bool
		name  string
	}{{f.low, false, "below"}, {f.high, true, "above"}} {
		if math.IsInf(side.limit, 0) {
			continue
		}
		e, err := best.Exceedance(side.limit, side.above, f.level)
		if err != nil {
			return err
		}
		r.Beyond = append(r.Beyond, reports.Beyond{
			Limit: real(e.Limit), Side: side.name, Family: string(best.Family),
			PlugIn: real(e.PlugIn), Predictive: real(e.Predictive), Upper: real(e.Upper),
		})
		f.judge(&r.Beyond[len(r.Beyond)-1], e)
	}
	return nil
}
