package main

import (
	"context"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist/gauge"
	"clampodds/sim"
)

func newAudit() *cobra.Command {
	var d deciding
	var a torqueAudit
	cmd := &cobra.Command{
		Use:   "audit STUDY",
		Short: "How many screws to audit per lot, and how many outside the torque band to allow",
		Args:  exactly(1),
		RunE: d.asking(func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
			if err := a.Reading.Read(a.gauge, a.gaugeStudy, d.given("guard-factor")); err != nil {
				return nil, 0, err
			}
			return question.AskOfRecord(ctx, d.as(), s[0], "sides of the band", a.Ask)
		}),
	}
	d.ofRecord(cmd)
	d.conditionFlag(cmd)
	a.flags(cmd)
	return cmd
}

// torqueAudit holds the flags of audit.
type torqueAudit struct {
	question.Audit
	gauge, gaugeStudy string // the error of a reading as typed; a file
}

func (a *torqueAudit) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.Int64Var(&a.Lot, "lot", 500, "number of screws in a lot")
	f.Float64Var(&a.ConsumersRisk, "consumers-risk", 0.1, "largest chance that a lot that breaks a limit is accepted")
	f.Int64Var(&a.Acceptable, "acceptable", 0, "acceptable quality: number of loose screws, and of over-tight ones, in a lot that is still to be accepted")
	f.Float64Var(&a.ProducersRisk, "producers-risk", 0.05, "largest chance that a lot of acceptable quality is refused")
	flags.Renamed(f, "caught", "consumers-risk")
	flags.Renamed(f, "good", "acceptable")
	flags.Renamed(f, "producer", "producers-risk")
	f.StringSliceVar(&a.Limits, "limit", nil, "only these limits, by their `NAME` in the study (default: all with a target)")
	f.StringVar(&a.Low, "low", "", "lower end of the torque band, as in 0.60N*m (default: where the study cuts the torque)")
	f.StringVar(&a.High, "high", "", "upper end of the torque band (default: where the study cuts the torque, or none)")
	f.StringVar(&a.Loose, "loose", "", "torque of a screw below the band (default: half the lower end; 3/4 and 0 beside it)")
	f.StringVar(&a.Tight, "tight", "", "torque of a screw above the band (default: 1.5 times the upper end; 1.25 and 2 beside it)")
	f.BoolVar(&a.Variables, "variables", false, "plans by variables as well")
	f.StringVar(&a.gauge, "gauge", "", "standard deviation of a reading's own error, as in 0.005N*m (default: none)")
	f.StringVar(&a.gaugeStudy, "gauge-study", "", "the same from a gauge study: `FILE` with what gauge --format json printed, or with the readings")
	f.Float64Var(&a.Reading.Factor, "guard-factor", gauge.GuardFactor, "guard band in standard deviations of that error; 1.65 accepts 5 % of the screws on the limit (with --gauge-study: as many as accept 5 % at most, the error being an estimate)")
}
