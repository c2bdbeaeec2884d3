package main

import (
	"math"
	"runtime/debug"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/dist/readings"
	"clampodds/sim"
	"clampodds/sim/assurance"
)

func newFit() *cobra.Command {
	var s shared
	var f fitting
	cmd := &cobra.Command{
		Use:   "fit DATA",
		Short: "Distribution from measured readings, capability, ready to paste into a study",
		Args: func(cmd *cobra.Command, args []string) error {
			if f.planned != nil {
				return exactly(0)(cmd, args)
			}
			return exactly(1)(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if f.planned != nil {
				plan, err := f.Plan(f.options.Unit, f.planned)
				return s.answer(plan, sim.NoTarget, err)
			}
			// Garbage is collected in time for 100 MB of readings to stay within 500 MB.
			defer debug.SetMemoryLimit(debug.SetMemoryLimit(400 << 20))
			result, verdict, err := f.AskFile(cmd.Context(), args[0], f.options, f.separator, f.gaugeStudy, f.oneOperator)
			return s.answer(result, verdict, err)
		},
	}
	s.flags(cmd)
	f.flags(cmd)
	return cmd
}

// fitting holds the flags of fit.
type fitting struct {
	question.Fit
	options     readings.Options
	separator   string
	gaugeStudy  string
	oneOperator bool
	planned     []float64
}

func (f *fitting) flags(cmd *cobra.Command) {
	set := cmd.Flags()
	set.StringVar(&f.options.Sheet, "sheet", "", "`NAME` of the sheet of a workbook (default: the only one with cells)")
	set.StringVar(&f.options.Column, "column", "", "`HEADER` or number of the column of readings")
	set.StringVar(&f.options.Unit, "unit", "", "unit of the readings (default: the one in the header or a row of units)")
	set.StringVar(&f.Input, "input", "", "`KEY` of the input that was measured: its range says which families are possible (default: by the header and the unit)")
	set.StringVar(&f.options.Group, "lot", "", "`HEADER` or number of the column with the lot, tool, supplier or operator")
	flags.Renamed(set, "group", "lot")
	set.StringVar(&f.separator, "separator", "", "character between cells (default: found in the first line)")
	set.BoolVar(&f.options.DecimalComma, "decimal-comma", false, "2,48 is two and 48 hundredths")
	set.Float64Var(&f.Limits.Low, "low", math.Inf(-1), "least value allowed, for capability and the probability of parts below")
	set.Float64Var(&f.Limits.High, "high", math.Inf(1), "largest value allowed")
	set.Float64Var(&f.Kept.Low, "kept-low", math.Inf(-1), "parts below were cut by inspection and are not among the readings")
	set.Float64Var(&f.Kept.High, "kept-high", math.Inf(1), "parts above were cut by inspection")
	set.Float64Var(&f.Gauge.SD, "gauge", 0, "standard deviation of a reading's own error; it is taken out of the spread")
	set.StringVar(&f.gaugeStudy, "gauge-study", "", "the same from a gauge study: `FILE` with what gauge --format json printed, or with the readings")
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
}
