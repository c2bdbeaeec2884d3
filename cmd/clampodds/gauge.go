package main

import (
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"clampodds/dist/gauge"
	"clampodds/reports"
	"clampodds/sim"
)

func newGauge() *cobra.Command {
	var s shared
	var g gauging
	cmd := &cobra.Command{
		Use:   "gauge DATA",
		Short: "Is the gauge good enough? Repeatability, operators, uncertainty, which readings accept a part",
		Long: `gauge judges a gauge by readings of the same parts: every operator reads every
part equally often, twice at least. A row for each reading; columns are found by
their headers (part, operator, and the one that is left). Without a column of
operators all readings are of one. The file is written as fit takes it.

It prints the components of the spread with intervals, the uncertainty in the terms
of ISO 22514-7, and with a tolerance (--low, --high) whether 2 U is a small enough
part of it, and from which reading on a part is accepted (ISO 14253-1). Missing
readings are refused with their lines.

fit and audit take the result: --gauge-study FILE with what --format json printed,
or with the readings.`,
		Args: exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			result, err := g.study(args[0])
			if err != nil {
				return err
			}
			if err := emit(cmd.OutOrStdout(), s.form, result); err != nil {
				return err
			}
			return verdicts(g.verdict)
		},
	}
	s.flags(cmd)
	g.flags(cmd)
	return cmd
}

// gauging holds the flags of gauge. Numbers are in the unit of the readings.
type gauging struct {
	columns   gauge.Options
	separator string
	model     string
	known     gauge.Known
	low, high float64
	largest   float64 // ratio of 2 U to the tolerance
	factor    float64 // 0: that of the degrees of freedom
	given     func(flag string) bool
	level     float64

	verdict sim.Verdict
}

// newGauging has the defaults of the flags.
func newGauging() gauging {
	return gauging{model: string(gauge.ByTest), low: math.Inf(-1), high: math.Inf(1), largest: 0.3, given: func(string) bool { return false }, level: 0.95}
}

func (g *gauging) flags(cmd *cobra.Command) {
	*g = newGauging()
	f := cmd.Flags()
	g.given = f.Changed
	f.StringVar(&g.columns.Part, "part", "", "`HEADER` or number of the column of parts (default: by its header)")
	f.StringVar(&g.columns.Operator, "operator", "", "`HEADER` or number of the column of operators (default: by its header; without one all readings are of one)")
	f.StringVar(&g.columns.Reading, "column", "", "`HEADER` or number of the column of readings (default: the one that is left)")
	f.StringVar(&g.columns.Format.Sheet, "sheet", "", "`NAME` of the sheet of a workbook (default: the only one with cells)")
	f.StringVar(&g.columns.Format.Unit, "unit", "", "unit of the readings (default: the one in the header or a row of units)")
	f.StringVar(&g.separator, "separator", "", "character between cells (default: found in the first line)")
	f.BoolVar(&g.columns.Format.DecimalComma, "decimal-comma", false, "2,48 is two and 48 hundredths")
	f.StringVar(&g.model, "interaction", g.model, "interaction of operator and part: auto (left out where its p is above 0.25), with or without")
	f.Float64Var(&g.known.Resolution, "resolution", 0, "step of the gauge")
	f.Float64Var(&g.known.Linearity, "linearity", 0, "largest deviation of the gauge over its range, taken as uniform")
	f.Float64Var(&g.known.Calibration, "calibration", 0, "standard uncertainty of the gauge's calibration")
	f.Float64Var(&g.low, "low", g.low, "lower end of the tolerance")
	f.Float64Var(&g.high, "high", g.high, "upper end of the tolerance")
	f.Float64Var(&g.largest, "largest-ratio", g.largest, "largest ratio of 2 U to the tolerance")
	f.Float64Var(&g.factor, "guard-factor", 0, "guard band in standard uncertainties (default: as many as accept 5 % of the parts on a limit, Student's t with the uncertainty's degrees of freedom)")
	f.Float64Var(&g.level, "confidence", g.level, "level of the intervals")
}

// study reads a study and judges it.
func (g *gauging) study(path string) (reports.Gauge, error) {
	text, digest, err := readWhole(path)
	if err != nil {
		return reports.Gauge{}, err
	}
	result, err := g.result(path, digest, text)
	if err != nil {
		return result, usage(fmt.Errorf("%s: %w", path, err))
	}
	return result, nil
}

func (g *gauging) check() error {
	switch {
	case !(g.low < g.high):
		return fmt.Errorf("--low %g, --high %g: the tolerance is empty", g.low, g.high)
	case !(g.factor >= 0 && g.factor <= 10):
		return fmt.Errorf("--guard-factor %g: must be 0 to 10", g.factor)
	case !(g.largest > 0 && g.largest <= 1):
		return fmt.Errorf("--largest-ratio %g: must be above 0, 1 at most", g.largest)
	}
	return nil
}

func (g *gauging) result(path, digest string, text []byte) (reports.Gauge, error) {
	r := reports.Gauge{Schema: reports.GaugeSchema, Version: version, Data: path, Digest: digest, Level: real(g.level)}
	if err := g.check(); err != nil {
		return r, err
	}
	var err error
	if g.columns.Format.Separator, err = separatorOf(g.separator); err != nil {
		return r, err
	}
	g.columns.Format.Convert = inTheirUnit(g.columns.Format.Unit)
	file, err := gauge.Read(text, g.columns)
	if err != nil {
		return r, err
	}
	r.Column, r.Unit = file.Column, file.Unit
	s, err := gauge.New(file.Readings, gauge.Model(g.model), g.level)
	if err != nil {
		return r, err
	}
	u, err := s.Uncertainty(g.known)
	if err != nil {
		return r, fmt.Errorf("--%w", err)
	}
	describeGauge(&r, s, u)
	g.judge(&r, u)
	return r, nil
}
