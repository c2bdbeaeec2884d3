package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist/gauge"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// deciding holds the flags of every command that decides something: those of the
// sampling and of the tail methods behind it.
type deciding struct {
	shared
	sampling
	evaluations flags.Count
}

func (d *deciding) flags(cmd *cobra.Command) {
	d.shared.flags(cmd)
	d.sampling.flags(cmd)
	d.evaluations = question.TailEvaluations
	cmd.Flags().Var(&d.evaluations, "evaluations", "largest number of model evaluations of each estimate by the tail methods")
}

// ofRecord are the flags of a question that many numbers of record answer.
func (d *deciding) ofRecord(cmd *cobra.Command) {
	d.shared.flags(cmd)
	d.recordFlags(cmd)
}

// as says how a question is answered.
func (d *deciding) as() question.Asking {
	return question.Asking{Sampling: d.asked(), Evaluations: int(d.evaluations), Progress: d.progress}
}

func newTorque() *cobra.Command {
	var d deciding
	var between question.Torques
	cmd := d.command("torque STUDY", "Which torque goes on the drawing?", exactly(1), func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
		return question.AskOfRecord(ctx, d.as(), s[0], "cards", between.Ask)
	})
	d.ofRecord(cmd)
	d.conditionFlag(cmd)
	cmd.Flags().StringVar(&between.From, "from", "", "lowest nominal `TORQUE` looked at (default: a third of the study's)")
	cmd.Flags().StringVar(&between.To, "to", "", "highest nominal `TORQUE` looked at (default: three times the study's)")
	return cmd
}

func newChange() *cobra.Command {
	var d deciding
	var margin string
	var record recordFile
	cmd := d.command("change BASE NEW", "Is a change safe?", exactly(2), func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
		if err := record.check(&d.read); err != nil {
			return nil, 0, err
		}
		answer, err := d.as().Change(ctx, s[0], s[1], margin, nil)
		if err != nil {
			return nil, 0, err
		}
		return answer.Result, answer.Safe, record.write(&d.read, answer.Result.Record())
	})
	d.flags(cmd)
	d.conditionFlag(cmd)
	cmd.Flags().StringVar(&margin, "margin", "", "what the change may do: a `PROBABILITY`, a share of the one before as in 50%, or target (default: the study's)")
	record.flags(cmd)
	return cmd
}

func newCompare() *cobra.Command {
	var d deciding
	var by string
	some := func(cmd *cobra.Command, args []string) error {
		if len(args) < 2 || len(args) > decide.MostDesigns {
			return fmt.Errorf("usage: %s: 2 to %d studies (%d given)", cmd.UseLine(), decide.MostDesigns, len(args))
		}
		return nil
	}
	cmd := d.command("compare STUDY...", "Designs side by side on the same draws", some, func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
		return d.as().Compare(ctx, s, by)
	})
	d.flags(cmd)
	d.conditionFlag(cmd)
	cmd.Flags().StringVar(&by, "by", "", "rank by this limit, by its `NAME` in the studies: spot, edge, screw_stress, component.cpu (default: the first temperature's)")
	return cmd
}

func newChoose() *cobra.Command {
	var d deciding
	cmd := d.command("choose STUDY", "The cheapest combination of options that meets every limit in every condition", exactly(1), func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
		return question.AskOfRecord(ctx, d.as(), s[0], "combinations", question.Choose)
	})
	d.ofRecord(cmd)
	return cmd
}

func newLoosen() *cobra.Command {
	var d deciding
	var a question.Loosening
	cmd := d.command("loosen STUDY", "How far each tolerance may be loosened before a limit is missed", exactly(1), func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
		return question.AskOfRecord(ctx, d.as(), s[0], "tolerances", a.Ask)
	})
	d.ofRecord(cmd)
	d.conditionFlag(cmd)
	cmd.Flags().StringSliceVar(&a.Limits, "limit", nil, "only these limits, by their `NAME` in the study: edge, screw_stress, component.cpu (default: all with a target)")
	cmd.Flags().StringSliceVar(&a.Inputs, "input", nil, "only these tolerances, by the `KEY` of the input (default: all that scatter and are not lack of knowledge)")
	return cmd
}

func newAudit() *cobra.Command {
	var d deciding
	var a torqueAudit
	cmd := d.command("audit STUDY", "How many screws to audit per lot, and how many outside the torque band to allow", exactly(1), func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
		if err := a.Reading.Read(a.gauge, a.gaugeStudy, d.given("guard-factor")); err != nil {
			return nil, 0, err
		}
		return question.AskOfRecord(ctx, d.as(), s[0], "sides of the band", a.Ask)
	})
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
