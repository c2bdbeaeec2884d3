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

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/files"
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
				plan, err := f.Plan(f.options.Unit, f.planned)
				return s.answer(cmd, plan, sim.NoTarget, err)
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
			result, verdict, err := f.Ask(args[0], digest, table)
			return s.answer(cmd, result, verdict, ofData(args[0], err))
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
	flags := cmd.Flags()
	flags.StringVar(&f.options.Sheet, "sheet", "", "`NAME` of the sheet of a workbook (default: the only one with cells)")
	flags.StringVar(&f.options.Column, "column", "", "`HEADER` or number of the column of readings")
	flags.StringVar(&f.options.Unit, "unit", "", "unit of the readings (default: the one in the header or a row of units)")
	flags.StringVar(&f.Input, "input", "", "`KEY` of the input that was measured: its range says which families are possible (default: by the header and the unit)")
	flags.StringVar(&f.options.Group, "lot", "", "`HEADER` or number of the column with the lot, tool, supplier or operator")
	renamed(flags, "group", "lot")
	flags.StringVar(&f.separator, "separator", "", "character between cells (default: found in the first line)")
	flags.BoolVar(&f.options.DecimalComma, "decimal-comma", false, "2,48 is two and 48 hundredths")
	flags.Float64Var(&f.Limits.Low, "low", math.Inf(-1), "least value allowed, for capability and the probability of parts below")
	flags.Float64Var(&f.Limits.High, "high", math.Inf(1), "largest value allowed")
	flags.Float64Var(&f.Kept.Low, "kept-low", math.Inf(-1), "parts below were cut by inspection and are not among the readings")
	flags.Float64Var(&f.Kept.High, "kept-high", math.Inf(1), "parts above were cut by inspection")
	flags.Float64Var(&f.Gauge.SD, "gauge", 0, "standard deviation of a reading's own error; it is taken out of the spread")
	flags.StringVar(&f.gaugeStudy, "gauge-study", "", "the same from a gauge study: `FILE` with what gauge --format json printed, or with the readings")
	flags.BoolVar(&f.oneOperator, "one-operator", false, "all readings are of one operator, so that what operators differ by is no spread among them")
	flags.Float64Var(&f.Gauge.Limit, "gauge-limit", 0, "limit of a reading's own error, as an accuracy class states it; taken as uniform, on top of --gauge")
	flags.Float64Var(&f.Resolution, "resolution", 0, "step that the readings are rounded to")
	flags.Float64Var(&f.BetaLimits.Low, "beta-low", 0, "lower end of a beta distribution")
	flags.Float64Var(&f.BetaLimits.High, "beta-high", 0, "upper end of a beta distribution")
	flags.StringSliceVar(&f.Families, "family", nil, "families to fit (default: all that the readings allow)")
	flags.Float64Var(&f.Level, "confidence", 0.95, "level of the intervals")
	flags.IntVar(&f.Replicates, "bootstrap", 999, "replicates for tests without a table of critical values; 0 leaves them out")
	flags.Float64Var(&f.Target, "target", 0, "largest probability of parts beyond --low or --high: judged, with the number of readings that would decide")
	flags.Float64Var(&f.Chance, "chance", assurance.Wanted, "chance that so many readings decide")
	flags.Float64SliceVar(&f.planned, "plan-readings", nil, "no DATA yet: how many readings show --target, if the process has `MEAN,SD`")
	flags.Uint64Var(&f.Seed, "seed", 0, "seed of the bootstrap")
}

// read reads the readings and their digest.
func (f *fitting) read(ctx context.Context, path string) (*readings.Table, string, error) {
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
	f.options.Convert = question.InTheirUnit(f.options.Unit)
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

// takeGaugeStudy takes the error of a reading from a gauge study.
func (f *fitting) takeGaugeStudy(unit string) error {
	if f.gaugeStudy == "" {
		if f.oneOperator {
			return usage(errors.New("--one-operator says how to use a --gauge-study, and there is none"))
		}
		return nil
	}
	if f.Gauge.SD != 0 {
		return usage(errors.New("--gauge and --gauge-study are the same error: give one of them"))
	}
	g, err := gaugeStudy(f.gaugeStudy)
	if err != nil {
		return err
	}
	return ofData(f.gaugeStudy, f.Gauge.Take(g, unit, f.oneOperator))
}
