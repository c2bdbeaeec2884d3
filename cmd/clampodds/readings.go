package main

import (
	"context"
	"errors"
	"math"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/dist/readings"
	"clampodds/sim"
	"clampodds/sim/assurance"
)

func newFit() *cobra.Command {
	var f fitting
	arguments := func(cmd *cobra.Command, args []string) error {
		if f.planned != nil {
			return exactly(0)(cmd, args)
		}
		return exactly(1)(cmd, args)
	}
	cmd := f.command("fit DATA", "Distribution from measured readings, capability, ready to paste into a study", arguments, func(ctx context.Context, args []string) error {
		if f.planned != nil {
			plan, err := f.Plan(f.options.Unit, f.planned)
			return f.answer(plan, sim.NoTarget, err)
		}
		// Garbage is collected in time for 100 MB of readings to stay within 500 MB.
		defer debug.SetMemoryLimit(debug.SetMemoryLimit(400 << 20))
		result, verdict, err := f.AskFile(ctx, args[0], f.options, f.gaugeStudy, f.oneOperator)
		return f.answer(result, verdict, byFlag(err, "say which one holds the readings", "--column"))
	})
	f.flags()
	return cmd
}

// byFlag adds to what an error asks for the flag that says it.
func byFlag(err error, asked, flag string) error {
	if err == nil || !strings.Contains(err.Error(), asked) {
		return err
	}
	return errors.New(strings.ReplaceAll(err.Error(), asked, asked+" by "+flag))
}

// fitting holds the flags of fit.
type fitting struct {
	shared
	question.Fit
	options     readings.Options
	gaugeStudy  string
	oneOperator bool
	planned     []float64
}

func (f *fitting) flags() {
	set := f.cmd.Flags()
	flags.Readings(set, &f.options)
	flags.GaugeStudy(set, &f.gaugeStudy)
	set.StringVar(&f.options.Column, "column", "", "`HEADER` or number of the column of readings")
	set.StringVar(&f.Input, "input", "", "`KEY` of the input that was measured: its range says which families are possible (default: by the header and the unit)")
	set.StringVar(&f.options.Group, "lot", "", "`HEADER` or number of the column with the lot, tool, supplier or operator")
	flags.Renamed(set, "group", "lot")
	set.Float64Var(&f.Limits.Low, "low", math.Inf(-1), "least value allowed, for capability and the probability of parts below")
	set.Float64Var(&f.Limits.High, "high", math.Inf(1), "largest value allowed")
	set.Float64Var(&f.Kept.Low, "kept-low", math.Inf(-1), "parts below were cut by inspection and are not among the readings")
	set.Float64Var(&f.Kept.High, "kept-high", math.Inf(1), "parts above were cut by inspection")
	set.Float64Var(&f.Gauge.SD, "gauge", 0, "standard deviation of a reading's own error; it is taken out of the spread")
	set.BoolVar(&f.oneOperator, "one-operator", false, "all readings are of one operator, so that what operators differ by is no spread among them")
	set.Float64Var(&f.Gauge.Limit, "gauge-limit", 0, "limit of a reading's own error, as an accuracy class states it; taken as uniform, on top of --gauge")
	set.Float64Var(&f.Resolution, "resolution", 0, "step that the readings are rounded to")
	set.Float64Var(&f.BetaLimits.Low, "beta-low", 0, "lower end of a beta distribution")
	set.Float64Var(&f.BetaLimits.High, "beta-high", 0, "upper end of a beta distribution")
	set.StringSliceVar(&f.Families, "family", nil, "families to fit (default: all that the readings allow)")
	set.Float64Var(&f.Level, "confidence", 0.95, "level of the intervals")
	set.IntVar(&f.Replicates, "bootstrap", 999, "replicates for tests without a table of critical values; 0 leaves them out")
	set.Float64Var(&f.Target, "target", 0, "largest probability of parts beyond --low or --high: judged, with the number of readings that would decide")
	set.Float64Var(&f.Chance, "chance", assurance.Wanted, "chance that so many readings decide")
	set.Float64SliceVar(&f.planned, "plan-readings", nil, "no DATA yet: how many readings show --target, if the process has `MEAN,SD`")
	set.Uint64Var(&f.Seed, "seed", 0, "seed of the bootstrap")
	flags.DecimalCommas(set)
}

func newGauge() *cobra.Command {
	var g gauging
	cmd := g.command("gauge DATA", "Is the gauge good enough? Repeatability, operators, uncertainty, which readings accept a part", exactly(1), func(_ context.Context, args []string) error {
		if g.cmd.Flags().Changed("guard-factor") {
			g.GuardFactor = &g.factor
		}
		result, verdict, err := g.AskFile(args[0])
		return g.answer(result, verdict, byFlag(byFlag(err, "say which one holds them", "--part"), "say which one does", "--column"))
	})
	g.flags()
	return cmd
}

// gauging holds the flags of gauge.
type gauging struct {
	shared
	question.Gauge
	factor float64
}

func (g *gauging) flags() {
	g.Gauge = question.NewGauge()
	f := g.cmd.Flags()
	flags.Readings(f, &g.Columns.Format)
	f.StringVar(&g.Columns.Part, "part", "", "`HEADER` or number of the column of parts (default: by its header)")
	f.StringVar(&g.Columns.Operator, "operator", "", "`HEADER` or number of the column of operators (default: by its header; without one all readings are of one)")
	f.StringVar(&g.Columns.Reading, "column", "", "`HEADER` or number of the column of readings (default: the one that is left)")
	f.StringVar((*string)(&g.Model), "interaction", string(g.Model), "interaction of operator and part: auto (left out where its p is above 0.25), with or without")
	f.Float64Var(&g.Known.Resolution, "resolution", 0, "step of the gauge")
	f.Float64Var(&g.Known.Linearity, "linearity", 0, "largest deviation of the gauge over its range, taken as uniform")
	f.Float64Var(&g.Known.Calibration, "calibration", 0, "standard uncertainty of the gauge's calibration")
	f.Float64Var(&g.Tolerance.Low, "low", g.Tolerance.Low, "lower end of the tolerance")
	f.Float64Var(&g.Tolerance.High, "high", g.Tolerance.High, "upper end of the tolerance")
	f.Float64Var(&g.LargestRatio, "largest-ratio", g.LargestRatio, "largest ratio of 2 U to the tolerance")
	f.Float64Var(&g.factor, "guard-factor", 0, "guard band in standard uncertainties (default: as many as accept 5 % of the parts on a limit at most, the uncertainty being an estimate)")
	f.Float64Var(&g.Level, "confidence", g.Level, "level of the intervals")
	flags.DecimalCommas(f)
}
