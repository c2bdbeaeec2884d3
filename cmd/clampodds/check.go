package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
)

func newCheck() *cobra.Command {
	var s shared
	var validation, names bool
	cmd := &cobra.Command{
		Use:   "check STUDY | check --validation | check --known",
		Short: "Read a study and print every input as understood, or all problems at once",
		Long: `check reads a study and prints every input as understood, or all problems at
once.

check --validation needs no study: it prints the outside checks of this version,
the value a source gives beside the value obtained. A value that differs from its
source says so and why. It exits with 0 whatever they say: the tests judge them.

check --known needs none either: it lists the threads, materials and finishes that
a study may name, all keys, and units.`,
		Args: func(cmd *cobra.Command, args []string) error {
			switch {
			case !validation && !names:
				return exactly(1)(cmd, args)
			case validation && names:
				return usage(fmt.Errorf("usage: %s: one at a time", cmd.UseLine()))
			case s.condition != "":
				return usage(fmt.Errorf("usage: %s: --validation and --known look at no study, so at no condition", cmd.UseLine()))
			}
			return exactly(0)(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if names {
				return emit(cmd.OutOrStdout(), s.form, known())
			}
			if validation {
				checks, err := outsideChecks()
				if err != nil {
					return failure(err)
				}
				return emit(cmd.OutOrStdout(), s.form, checks)
			}
			read, err := s.load(args[0], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			return emit(cmd.OutOrStdout(), s.form, newInputsResult(read))
		},
	}
	s.flags(cmd)
	s.conditionFlag(cmd)
	cmd.Flags().BoolVar(&names, "known", false, "list threads, materials, finishes, keys and units, without a study")
	cmd.Flags().BoolVar(&validation, "validation", false, "print the outside checks of this version, without a study")
	return cmd
}

// newInputsResult lists a study's inputs for the reports.
func newInputsResult(s *study.Study) reports.Inputs {
	r := reports.Inputs{Schema: reports.InputsSchema, Provenance: provenance(s), Limits: []reports.InputLimit{}, Conditions: []reports.InputCondition{}}
	for i := range s.Inputs {
		in := &s.Inputs[i]
		if in.Origin == study.Default && in.Nominal == 0 && in.Parameter.Zero != "" {
			continue // an input that is off
		}
		shown := reports.Input{
			Key: in.Key, Meaning: in.Parameter.Meaning, Typed: in.Typed, Unit: in.Parameter.Unit,
			Nominal: real(in.Nominal), NominalText: in.Format(in.Nominal),
			Knowledge: in.Knowledge, Source: in.Source, File: in.File, Line: in.Line,
		}
		if in.Dist != nil {
			whole := in.Averaged()
			deviation := whole.StdDev()
			shown.Level = study.LevelName(in.Level)
			shown.StdDev = real(deviation)
			shown.SpreadText = units.Format(deviation, in.Quantity().Difference(), in.Unit)
			shown.RangeText = in.Format(whole.Quantile(0.01)) + " … " + in.Format(whole.UpperQuantile(0.01))
		}
		r.Inputs = append(r.Inputs, shown)
	}
	for _, c := range s.Correlations {
		r.Together = append(r.Together, reports.InputPair{Key: c.A, With: c.B, Rank: real(c.Rank), File: c.File, Line: c.Line})
	}
	for i := range s.Limits {
		l := &s.Limits[i]
		r.Limits = append(r.Limits, reports.InputLimit{
			Output: l.Output, Label: label(l.Output), Limit: real(l.Max), Unit: string(l.Quantity), Shown: l.Format(l.Max),
			Target: given(l.Target), Source: l.Source, File: l.File, Line: l.Line,
		})
	}
	if s.ConditionName == "" { // they change the study as written
		for i := range s.Conditions {
			r.Conditions = append(r.Conditions, newInputCondition(s, &s.Conditions[i]))
		}
	}
	return r
}

// newInputCondition says what a condition changes: inputs as they stand in the study
// and as they are under the condition, with the numbers of what it drifts.
func newInputCondition(s *study.Study, c *study.Condition) reports.InputCondition {
	r := reports.InputCondition{Name: c.Name, Share: given(c.Share), Changes: []reports.InputChange{}, File: c.File, Line: c.Line}
	changed, err := s.Condition(c.Name)
	if err != nil {
		panic("clampodds: " + err.Error()) // every condition was read with the study
	}
	for _, d := range study.Differences(s, changed) {
		change := reports.InputChange{Key: d.Key, Before: d.Before, After: d.After}
		if d.Before == d.After { // moved, not typed anew
			in, moved := s.Input(d.Key), changed.Input(d.Key)
			change.After = "nominal " + in.Format(in.Nominal) + " becomes " + in.Format(moved.Nominal)
		}
		r.Changes = append(r.Changes, change)
	}
	return r
}

// given is a number for JSON, nil for an unset 0.
func given(x float64) *reports.Real {
	if x == 0 {
		return nil
	}
	v := real(x)
	return &v
}
