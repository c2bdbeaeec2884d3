package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist/gauge"
)

func newAudit() *cobra.Command {
	var d deciding
	var a torqueAudit
	cmd := &cobra.Command{
		Use:   "audit STUDY",
		Short: "How many screws to audit per lot, and how many outside the torque band to allow",
		Long: `audit plans a torque audit: the smallest sample of screws, and the number of
readings below and above the torque band to allow, so that a lot with so many loose or
over-tight screws that it breaks a limit in a condition of the mission, judged as
run does, is caught with a stated chance. The operating characteristic says which
lots pass.

A reading's own error (--gauge, or --gauge-study with the result of gauge) makes a
guard band: a screw passes when it reads that much inside the band (ISO 14253-1),
and the plan allows for screws that are read wrongly. --variables adds plans that use the
mean and the standard deviation of the readings (ISO 3951): fewer readings, for a torque
that is normal and a lot that is off as a whole; they do not find single loose screws.`,
		Args: exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			read, err := d.load(args[0], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			if err := a.reading.load(); err != nil {
				return err
			}
			a.Reading = a.reading.ReadingError
			setup, show, clear := d.ofRecord(cmd, read, "sides of the band")
			result, verdict, err := a.Ask(cmd.Context(), setup, read, show)
			clear()
			return d.answer(cmd, result, verdict, err)
		},
	}
	d.shared.flags(cmd)
	d.conditionFlag(cmd)
	d.recordFlags(cmd)
	a.flags(cmd)
	return cmd
}

// torqueAudit holds the flags of audit.
type torqueAudit struct {
	question.Audit
	reading readingFlags
}

func (a *torqueAudit) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.Int64Var(&a.Lot, "lot", 500, "number of screws in a lot")
	f.Float64Var(&a.ConsumersRisk, "consumers-risk", 0.1, "largest chance that a lot that breaks a limit is accepted")
	f.Int64Var(&a.Acceptable, "acceptable", 0, "acceptable quality: number of loose screws, and of over-tight ones, in a lot that is still to be accepted")
	f.Float64Var(&a.ProducersRisk, "producers-risk", 0.05, "largest chance that a lot of acceptable quality is refused")
	renamed(f, "caught", "consumers-risk")
	renamed(f, "good", "acceptable")
	renamed(f, "producer", "producers-risk")
	f.StringSliceVar(&a.Limits, "limit", nil, "only these limits, by their `NAME` in the study (default: all with a target)")
	f.StringVar(&a.Low, "low", "", "lower end of the torque band, as in 0.60N*m (default: where the study cuts the torque)")
	f.StringVar(&a.High, "high", "", "upper end of the torque band (default: where the study cuts the torque, or none)")
	f.StringVar(&a.Loose, "loose", "", "torque of a screw below the band (default: half the lower end; 3/4 and 0 beside it)")
	f.StringVar(&a.Tight, "tight", "", "torque of a screw above the band (default: 1.5 times the upper end; 1.25 and 2 beside it)")
	f.BoolVar(&a.Variables, "variables", false, "plans by variables as well")
	a.reading.flags(f)
}

// readingFlags say what is wrong with the reading of a torque.
type readingFlags struct {
	question.ReadingError
	text, study string
	given       func(flag string) bool
}

func (e *readingFlags) flags(f *pflag.FlagSet) {
	f.StringVar(&e.text, "gauge", "", "standard deviation of a reading's own error, as in 0.005N*m (default: none)")
	f.StringVar(&e.study, "gauge-study", "", "the same from a gauge study: `FILE` with what gauge --format json printed, or with the readings")
	f.Float64Var(&e.Factor, "guard-factor", gauge.GuardFactor, "guard band in standard deviations of that error; 1.65 accepts 5 % of the screws on the limit (with --gauge-study: as many as accept 5 % at most, the error being an estimate)")
	e.given = f.Changed
}

// load finds the error.
func (e *readingFlags) load() error {
	switch {
	case !(e.Factor >= 0 && e.Factor <= 10):
		return usage(fmt.Errorf("--guard-factor %g: must be 0 to 10", e.Factor))
	case e.text != "" && e.study != "":
		return usage(errors.New("--gauge and --gauge-study are the same error: give one of them"))
	case e.text != "":
		v, err := units.Parse(e.text, units.Quantity("N*m"))
		if err == nil && !(v.SI > 0) {
			err = errors.New("must be above 0")
		}
		if err != nil {
			return usage(fmt.Errorf("--gauge %q: %w", e.text, err))
		}
		e.Single = v.SI
	case e.study != "":
		g, err := gaugeStudy(e.study)
		if err != nil {
			return err
		}
		return ofData(e.study, e.Take(g, e.given("guard-factor")))
	}
	return nil
}
