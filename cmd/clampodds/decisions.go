package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist/gauge"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// deciding holds the flags of every command that decides something: those of the
// sampling and of the tail methods behind it.
type deciding struct {
	shared
	question.Asking
}

// flags adds all of them.
func (d *deciding) flags() {
	d.ofRecord()
	drawingFlags(d.cmd, &d.Sampling)
	d.Evaluations = question.TailEvaluations
	flags.Count(d.cmd.Flags(), &d.Evaluations, "evaluations", "largest number of model evaluations of each estimate by the tail methods")
}

// ofRecord adds those of a question that many numbers of record answer.
func (d *deciding) ofRecord() {
	d.Progress = d.progress
	recordFlags(d.cmd, &d.Sampling)
}

func newTorque() *cobra.Command {
	var d deciding
	var between question.Torques
	cmd := d.question("torque STUDY", "Which torque goes on the drawing?", exactly(1), func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
		return question.AskOfRecord(ctx, d.Asking, s[0], "cards", between.Ask)
	})
	d.ofRecord()
	d.conditionFlag()
	cmd.Flags().StringVar(&between.From, "from", "", "lowest nominal `TORQUE` looked at (default: a third of the study's)")
	cmd.Flags().StringVar(&between.To, "to", "", "highest nominal `TORQUE` looked at (default: three times the study's)")
	return cmd
}

func newChange() *cobra.Command {
	var d deciding
	var margin string
	var record onePage
	cmd := d.question("change BASE NEW", "Is a change safe?", exactly(2), func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
		if err := record.check(&d.read); err != nil {
			return nil, 0, err
		}
		answer, err := d.Change(ctx, s[0], s[1], margin, nil)
		if err != nil {
			return nil, 0, err
		}
		return answer.Result, answer.Safe, record.write(&d.read, answer.Result.Record())
	})
	d.flags()
	d.conditionFlag()
	cmd.Flags().StringVar(&margin, "margin", "", "what the change may do: a `PROBABILITY`, a share of the one before as in 50%, or target (default: the study's)")
	cmd.Flags().StringVar(&record.name, "record", "", "write a one-page record to `FILE`, .html or .docx")
	record.forceFlag(cmd, "replace FILE if it exists")
	return cmd
}

// onePage is a one-page record to be written, in the form that its name says.
type onePage struct{ output }

// check refuses a name before anything is computed.
func (f *onePage) check(read *files.Inputs) error {
	if f.name == "" {
		return nil
	}
	if err := read.Spare(f.name); err != nil {
		return err
	}
	if reports.WriterFor(f.name) == nil {
		return fmt.Errorf("--record %q: the name must end in .html or .docx", f.name)
	}
	return read.MayWrite(f.name, f.force)
}

func (f *onePage) write(read *files.Inputs, d reports.Document) error {
	if f.name == "" {
		return nil
	}
	return read.Write(f.name, f.force, func(w io.Writer) error { return reports.WriterFor(f.name)(w, d) })
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
	cmd := d.question("compare STUDY...", "Designs side by side on the same draws", some, func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
		return d.Compare(ctx, s, by)
	})
	d.flags()
	d.conditionFlag()
	cmd.Flags().StringVar(&by, "by", "", "rank by this limit, by its `NAME` in the studies: spot, edge, screw_stress, component.cpu (default: the first temperature's)")
	return cmd
}

func newChoose() *cobra.Command {
	var d deciding
	cmd := d.question("choose STUDY", "The cheapest combination of options that meets every limit in every condition", exactly(1), func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
		return question.AskOfRecord(ctx, d.Asking, s[0], "combinations", question.Choose)
	})
	d.ofRecord()
	return cmd
}

func newLoosen() *cobra.Command {
	var d deciding
	var a question.Loosening
	cmd := d.question("loosen STUDY", "How far each tolerance may be loosened before a limit is missed", exactly(1), func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
		return question.AskOfRecord(ctx, d.Asking, s[0], "tolerances", a.Ask)
	})
	d.ofRecord()
	d.conditionFlag()
	cmd.Flags().StringSliceVar(&a.Limits, "limit", nil, "only these limits, by their `NAME` in the study: edge, screw_stress, component.cpu (default: all with a target)")
	cmd.Flags().StringSliceVar(&a.Inputs, "input", nil, "only these tolerances, by the `KEY` of the input (default: all that scatter and are not lack of knowledge)")
	return cmd
}

func newAudit() *cobra.Command {
	var d deciding
	var a torqueAudit
	cmd := d.question("audit STUDY", "How many screws to audit per lot, and how many outside the torque band to allow", exactly(1), func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
		if err := a.Reading.Read(a.gauge, a.gaugeStudy, d.cmd.Flags().Changed("guard-factor"), a.commas); err != nil {
			return nil, 0, err
		}
		return question.AskOfRecord(ctx, d.Asking, s[0], "sides of the band", a.Ask)
	})
	d.ofRecord()
	d.conditionFlag()
	a.flags(cmd)
	return cmd
}

type torqueAudit struct {
	question.Audit
	gauge, gaugeStudy string // the error of a reading as typed; a file
	commas            bool   // in that file
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
	flags.GaugeStudy(f, &a.gaugeStudy)
	flags.DecimalComma(f, &a.commas)
	f.Float64Var(&a.Reading.Factor, "guard-factor", gauge.GuardFactor, "guard band in standard deviations of that error; 1.65 accepts 5 % of the screws on the limit (with --gauge-study: as many as accept 5 % at most, the error being an estimate)")
}

func newTail() *cobra.Command {
	var e exceedance
	cmd := e.question("tail STUDY", "Rare exceedance, down to 1e-9, and the most likely way to exceed", exactly(1), func(ctx context.Context, read []*study.Study) (result, sim.Verdict, error) {
		_, clear := e.progress("ways to exceed")
		defer clear()
		return e.Tail(ctx, read[0])
	})
	e.flags()
	keepingFlags(cmd, &e.Sampling)
	return cmd
}

func newDrivers() *cobra.Command {
	var e exceedance
	rows := 2000
	cmd := e.question("drivers STUDY", "Which inputs make the spread and the exceedance, and what changing each would bring", exactly(1), func(ctx context.Context, read []*study.Study) (result, sim.Verdict, error) {
		_, clear := e.progress("drivers")
		defer clear()
		return e.Drivers(ctx, read[0], rows)
	})
	e.flags()
	flags.Workers(cmd.Flags(), &e.Workers)
	flags.Count(cmd.Flags(), &rows, "samples", "cards in each sample; a change of an input takes two samples")
	return cmd
}

// exceedance holds the flags of every command that looks for a rare exceedance.
type exceedance struct {
	shared
	question.Exceedance
}

func (e *exceedance) flags() {
	e.conditionFlag()
	e.Evaluations = question.TailEvaluations
	f := e.cmd.Flags()
	f.StringVar(&e.Limit, "limit", "", "the limit that is exceeded, by its `NAME` in the study: spot, edge, screw_stress, component.cpu (default: the first temperature's)")
	f.StringVar(&e.At, "at", "", "move the limit to this `QUANTITY`, as in 95degC")
	flags.Count(f, &e.Evaluations, "evaluations", "largest number of model evaluations of the search for the ways to exceed")
	f.Float64Var(&e.RelativeError, "relative-error", 0.1, "relative standard error aimed at")
	flags.Seed(f, &e.Seed)
}
