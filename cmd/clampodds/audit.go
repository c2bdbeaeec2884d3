package main

import (
	"context"
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/loosen"
)

// torqueKey is the input that is audited.
const torqueKey = "screw.torque"

func newAudit() *cobra.Command {
	var s shared
	var m sampling
	var a torqueAudit
	cmd := &cobra.Command{
		Use:   "audit STUDY",
		Short: "How many screws to audit per lot, and how many loose ones to allow",
		Long: `audit plans a torque audit: the smallest sample of screws, and the number of
readings below the torque band to allow, so that a lot with so many loose screws
that it breaks the limit is caught with a stated chance. The operating
characteristic says which lots pass.

A reading's own error (--gauge, or --gauge-study with the result of gauge) makes a
guard band: a screw passes when it reads that much above the lower end (ISO 14253-1),
and the plan allows for screws that are read wrongly. --variables adds plans that use the
mean and the standard deviation of the readings (ISO 3951): fewer readings, for a torque
that is normal and a lot that is off as a whole; they do not find single loose screws.`,
		Args: exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			read, err := s.load(args[0], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			read = read.Averaged() // each card by itself
			if err := a.reading.load(); err != nil {
				return err
			}
			if err := a.prepare(read); err != nil {
				return usage(err)
			}
			search, err := a.search(cmd.Context(), read, &m, a.band)
			if err != nil {
				return err
			}
			show, clear := progress(cmd.ErrOrStderr(), s.quiet, "assumptions")
			result, err := a.find(cmd.Context(), read, search, show)
			if err == nil && a.variables {
				result.Variables, err = a.byVariables(cmd.Context(), read, &m)
			}
			clear()
			if err != nil {
				return ended(err)
			}
			if err := emit(cmd.OutOrStdout(), s.form, result); err != nil {
				return err
			}
			verdict := search.Base().Verdict()
			if result.Verdict == sim.NotMet.Answer() {
				verdict = sim.NotMet
			}
			return verdicts(verdict)
		},
	}
	s.flags(cmd)
	s.conditionFlag(cmd)
	m.flags(cmd)
	a.flags(cmd)
	return cmd
}

// torqueAudit holds what an audit plan is asked for.
type torqueAudit struct {
	lot, good         int64
	caught, producer  float64
	limit             string
	lowText, highText string
	looseText         string
	reading           readingError
	variables         bool

	band  dist.Distribution // of the torque inside the band
	loose []float64         // torques of a loose screw, N*m; the plan is for used
	used  int
}

func (a *torqueAudit) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.Int64Var(&a.lot, "lot", 500, "number of screws in a lot")
	f.Float64Var(&a.caught, "caught", 0.9, "chance with which a lot that breaks the limit is to be caught")
	f.Int64Var(&a.good, "good", 0, "number of loose screws in a lot that is still to pass")
	f.Float64Var(&a.producer, "producer", 0.05, "chance with which such a good lot may be refused")
	f.StringVar(&a.limit, "limit", "", "the limit to keep, by its `NAME` in the study (default: the first temperature's)")
	f.StringVar(&a.lowText, "low", "", "lower end of the torque band, as in 0.60N*m (default: where the study cuts the torque)")
	f.StringVar(&a.highText, "high", "", "upper end of the torque band (default: where the study cuts the torque, or none)")
	f.StringVar(&a.looseText, "loose", "", "torque of a screw below the band (default: half the lower end; 3/4 and 0 beside it)")
	f.BoolVar(&a.variables, "variables", false, "plans by variables as well")
	a.reading.flags(f)
}

// prepare checks what is asked and finds band and loose torques.
func (a *torqueAudit) prepare(read *study.Study) error {
	switch {
	case a.lot < 1 || a.lot > 1_000_000:
		return fmt.Errorf("--lot %d: must be 1 to 1000000", a.lot)
	case !(a.caught > 0 && a.caught < 1):
		return fmt.Errorf("--caught %v: must be above 0 and below 1", a.caught)
	case !(a.producer > 0 && a.producer < 1):
		return fmt.Errorf("--producer %v: must be above 0 and below 1", a.producer)
	case a.good < 0 || a.good >= a.lot:
		return fmt.Errorf("--good %d: must be 0 to %d", a.good, a.lot-1)
	}
	if err := read.OnlyApart(torqueKey); err != nil {
		return err
	}
	torque := read.Input(torqueKey)
	if torque.Dist == nil || torque.Level < sim.Card {
		return fmt.Errorf("%s does not scatter from card to card: an audit of single screws finds nothing", torqueKey)
	}
	low, high := torque.Dist.Support()
	var err error
	if low, err = torqueFlag("--low", a.lowText, low); err != nil {
		return err
	}
	if high, err = torqueFlag("--high", a.highText, high); err != nil {
		return err
	}
	if !(low > 0) {
		return fmt.Errorf("the torque band has no lower end: give --low, or cut %s with low", torqueKey)
	}
	if a.band, err = dist.NewTruncated(torque.Dist, low, high); err != nil {
		return fmt.Errorf("torque band: %w", err)
	}
	a.reading.limit = low + a.reading.factor*a.reading.uncertainty()
	return a.looseTorques(low)
}

func (a *torqueAudit) looseTorques(low float64) error {
	if a.looseText == "" {
		a.loose, a.used = []float64{0.75 * low, 0.5 * low, 0}, 1
		return nil
	}
	torque, err := torqueFlag("--loose", a.looseText, 0)
	if err == nil && !(torque >= 0 && torque < low) {
		err = fmt.Errorf("--loose %s: must be below the band", a.looseText)
	}
	a.loose, a.used = []float64{torque}, 0
	return err
}

// torqueFlag reads a torque of the command line, or takes the fallback.
func torqueFlag(flag, text string, fallback float64) (float64, error) {
	if text == "" {
		return fallback, nil
	}
	v, err := units.Parse(text, units.Quantity("N*m"))
	if err != nil {
		return 0, fmt.Errorf("%s %q: %w", flag, text, err)
	}
	return v.SI, nil
}

// search evaluates the study with a torque in place of its own: inside the band, for instance.
func (a *torqueAudit) search(ctx context.Context, read *study.Study, m *sampling, torque dist.Distribution) (*loosen.Search, error) {
	one, err := singleCards(read)
	if err != nil {
		return nil, err
	}
	q, err := targeted(read, one, a.limit)
	if err != nil {
		return nil, usage(err)
	}
	one.Requirements = []sim.Requirement{q}
	one.Plan, err = one.Plan.WithDistributions(func(v sim.Variable) (dist.Distribution, error) {
		if v.Input == torqueKey {
			return torque, nil
		}
		return v.Dist, nil
	})
	if err != nil {
		return nil, usage(err)
	}
	return newSearch(ctx, m.run(read, one))
}

// breaking is the smallest number of loose screws in the lot whose share is above
// a share; 0 when the lot has not that many.
func (a *torqueAudit) breaking(share float64) int64 {
	n := int64(math.Floor(share*float64(a.lot))) + 1
	if n > a.lot {
		return 0
	}
	return n
}
