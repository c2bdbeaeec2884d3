package main

import (
	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/question"
)

func newGauge() *cobra.Command {
	var s shared
	var g gauging
	cmd := &cobra.Command{
		Use:   "gauge DATA",
		Short: "Is the gauge good enough? Repeatability, operators, uncertainty, which readings accept a part",
		Args:  exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if cmd.Flags().Changed("guard-factor") {
				g.GuardFactor = &g.factor
			}
			result, verdict, err := g.AskFile(args[0], g.separator)
			return s.answer(result, verdict, err)
		},
	}
	s.flags(cmd)
	g.flags(cmd)
	return cmd
}

// gauging holds the flags of gauge.
type gauging struct {
	question.Gauge
	separator string
	factor    float64
}

func (g *gauging) flags(cmd *cobra.Command) {
	g.Gauge = question.NewGauge()
	f := cmd.Flags()
	f.StringVar(&g.Columns.Part, "part", "", "`HEADER` or number of the column of parts (default: by its header)")
	f.StringVar(&g.Columns.Operator, "operator", "", "`HEADER` or number of the column of operators (default: by its header; without one all readings are of one)")
	f.StringVar(&g.Columns.Reading, "column", "", "`HEADER` or number of the column of readings (default: the one that is left)")
	f.StringVar(&g.Columns.Format.Sheet, "sheet", "", "`NAME` of the sheet of a workbook (default: the only one with cells)")
	f.StringVar(&g.Columns.Format.Unit, "unit", "", "unit of the readings (default: the one in the header or a row of units)")
	f.StringVar(&g.separator, "separator", "", "character between cells (default: found in the first line)")
	f.BoolVar(&g.Columns.Format.DecimalComma, "decimal-comma", false, "2,48 is two and 48 hundredths")
	f.StringVar((*string)(&g.Model), "interaction", string(g.Model), "interaction of operator and part: auto (left out where its p is above 0.25), with or without")
	f.Float64Var(&g.Known.Resolution, "resolution", 0, "step of the gauge")
	f.Float64Var(&g.Known.Linearity, "linearity", 0, "largest deviation of the gauge over its range, taken as uniform")
	f.Float64Var(&g.Known.Calibration, "calibration", 0, "standard uncertainty of the gauge's calibration")
	f.Float64Var(&g.Tolerance.Low, "low", g.Tolerance.Low, "lower end of the tolerance")
	f.Float64Var(&g.Tolerance.High, "high", g.Tolerance.High, "upper end of the tolerance")
	f.Float64Var(&g.LargestRatio, "largest-ratio", g.LargestRatio, "largest ratio of 2 U to the tolerance")
	f.Float64Var(&g.factor, "guard-factor", 0, "guard band in standard uncertainties (default: as many as accept 5 % of the parts on a limit at most, the uncertainty being an estimate)")
	f.Float64Var(&g.Level, "confidence", g.Level, "level of the intervals")
}
