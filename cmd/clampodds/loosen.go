package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
	"clampodds/sim/loosen"
)

func newLoosen() *cobra.Command {
	var s shared
	var m sampling
	var a ask
	cmd := &cobra.Command{
		Use:   "loosen STUDY",
		Short: "How far each tolerance may be loosened before a limit is missed",
		Long: `loosen moves one tolerance at a time, all others as written: its spread, the
limits it is cut at, its mean. It tells how far each may go before a limit is
missed, or what it would have to become when one is missed now. With [[cost]] in
the study it also finds the cheapest set of tolerances that meets every limit.`,
		Args: exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			read, err := s.load(args[0], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			read = read.Averaged() // each card by itself
			one, err := a.scenario(read)
			if err != nil {
				return usage(err)
			}
			moves, err := a.moves(read, one.Plan)
			if err != nil {
				return usage(err)
			}
			search, err := newSearch(cmd.Context(), m.run(read, one))
			if err != nil {
				return err
			}
			show, clear := progress(cmd.ErrOrStderr(), s.quiet, "tolerances")
			windows, cheapest, err := a.find(cmd.Context(), read, search, moves, show)
			clear()
			if err != nil {
				return ended(err)
			}
			if err := emit(cmd.OutOrStdout(), s.form, newLoosenResult(read, search, windows, cheapest)); err != nil {
				return err
			}
			return verdicts(pointVerdicts(search, search.Base()))
		},
	}
	s.flags(cmd)
	s.conditionFlag(cmd)
	m.flags(cmd)
	cmd.Flags().StringSliceVar(&a.limits, "limit", nil, "only these limits, by their `NAME` in the study: edge, screw, component.cpu (default: all with a target)")
	cmd.Flags().StringSliceVar(&a.inputs, "input", nil, "only these tolerances, by the `KEY` of the input (default: all that scatter and are not lack of knowledge)")
	return cmd
}

// ask holds what a search for tolerances is asked for.
type ask struct {
	limits, inputs []string
}

// scenario is the study as written with the limits asked for. What is asked is the
// probability for one card.
func (a ask) scenario(read *study.Study) (sim.Scenario, error) {
	one, err := singleCards(read)
	if err != nil || len(a.limits) == 0 {
		return one, err
	}
	var chosen []sim.Requirement
	for _, name := range a.limits {
		q, err := targeted(read, one, name)
		if err != nil {
			return one, err
		}
		chosen = append(chosen, q)
	}
	one.Requirements = chosen
	return one, nil
}

// newSearch evaluates a scenario as it is.
func newSearch(ctx context.Context, run *sim.Run) (*loosen.Search, error) {
	search, err := loosen.New(ctx, *run)
	if err != nil {
		return nil, ended(err)
	}
	return search, nil
}

// singleCards wires a study with every card in a chassis of its own.
func singleCards(read *study.Study) (sim.Scenario, error) {
	one, err := scenario(read, read.Title)
	if err != nil {
		return one, err
	}
	if one.Plan, err = one.Plan.Regrouped(1); err != nil {
		return one, usage(err)
	}
	return one, nil
}

// targeted finds the requirement of a limit that has a target; an empty name is
// the first temperature's.
func targeted(read *study.Study, one sim.Scenario, name string) (sim.Requirement, error) {
	l, err := limitNamed(read, name)
	if err != nil {
		return sim.Requirement{}, err
	}
	if l.Target == 0 {
		return sim.Requirement{}, fmt.Errorf("limit %s has no target: nothing says how often it may be exceeded", l.Name)
	}
	at := slices.IndexFunc(one.Requirements, func(q sim.Requirement) bool { return q.Name == l.Name })
	return one.Requirements[at], nil
}

// ended tells an interrupted search from a wrong one.
func ended(err error) error {
	if errors.Is(err, loosen.ErrStopped) {
		return failure(err)
	}
	return usage(err)
}

// moves lists the axes: spread, limits and mean of every tolerance.
func (a ask) moves(read *study.Study, plan *sim.Plan) ([]loosen.Move, error) {
	keys := a.inputs
	if len(keys) == 0 {
		for _, in := range read.Inputs {
			if isTolerance(&in) {
				keys = append(keys, in.Key)
			}
		}
	}
	var moves []loosen.Move
	for _, key := range keys {
		if err := read.OnlyApart(key); err != nil {
			return nil, fmt.Errorf("--input %w; name %s.left or %s.right", err, key, key)
		}
		if read.Input(key) == nil {
			if _, err := study.AsInput(key); err != nil {
				return nil, fmt.Errorf("--input %w", err)
			}
			return nil, fmt.Errorf("--input %s: the study has no such input; check lists them", key)
		}
		spread, err := loosen.Widen(plan, key)
		if err != nil {
			return nil, err
		}
		limits, cut, err := loosen.WidenLimits(plan, key)
		if err != nil {
			return nil, err
		}
		mean, err := loosen.ShiftMean(plan, key)
		if err != nil {
			return nil, err
		}
		moves = append(moves, spread)
		if cut {
			moves = append(moves, limits)
		}
		moves = append(moves, mean)
	}
	return moves, nil
}

// find looks for all windows, then for the cheapest set when the study has
// costs.
func (a ask) find(ctx context.Context, read *study.Study, search *loosen.Search, moves []loosen.Move, show func(done, total int64)) ([]loosen.Window, *loosen.Cheapest, error) {
	var windows []loosen.Window
	for i, m := range moves {
		if show != nil {
			show(int64(i), int64(len(moves)))
		}
		w, err := search.Window(ctx, m)
		if err != nil {
			return nil, nil, err
		}
		windows = append(windows, w)
	}
	if len(read.Costs) == 0 {
		return windows, nil, nil
	}
	cheapest, err := search.Cheapest(ctx, choices(read))
	return windows, &cheapest, err
}

// choices are the steps of the study's costs.
func choices(read *study.Study) []loosen.Choice {
	var list []loosen.Choice
	for _, c := range read.Costs {
		choice := loosen.Choice{Input: c.Input}
		for _, step := range c.Steps {
			choice.Steps = append(choice.Steps, loosen.Step{Factor: step.Spread, Cost: step.Cost})
		}
		list = append(list, choice)
	}
	return list
}

// pointVerdicts are the verdicts of the single requirements.
func pointVerdicts(search *loosen.Search, p loosen.Point) []sim.Verdict {
	var list []sim.Verdict
	for i, q := range search.Requirements() {
		list = append(list, sim.Judge(p.Exceeded[i], q.Target))
	}
	return list
}

// isTolerance reports whether an input scatters from part to part. The factors
// of the model error scatter, but no drawing can change them.
func isTolerance(in *study.Input) bool {
	return in.Dist != nil && !in.Knowledge && !strings.HasPrefix(in.Key, "contact.")
}

// untouched lists the inputs that scatter and are no tolerances.
func untouched(read *study.Study) []string {
	var keys []string
	for _, in := range read.Inputs {
		if in.Dist != nil && !isTolerance(&in) {
			keys = append(keys, in.Key)
		}
	}
	return keys
}

// enumerate joins words: "a, b and c".
func enumerate(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}
