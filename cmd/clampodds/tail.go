package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
	"clampodds/sim/rare"
	"clampodds/sim/tail"
)

func newTail() *cobra.Command {
	var s shared
	var q exceedance
	cmd := &cobra.Command{
		Use:   "tail STUDY",
		Short: "Rare exceedance, down to 1e-9, and the most likely way to exceed",
		Long: `tail estimates the probability that one card exceeds a limit where that is too
rare to be counted: it searches the ways to exceed, searches them again by
itself, and draws around them. It says whether the number is established: the
search came to its end and the second one found the same ways.`,
		Args: exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			read, err := s.load(args[0], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			limit, state, err := q.state(read)
			if err != nil {
				return usage(err)
			}
			options := q.options(read, limit)
			var found rare.Result
			err = untilInterrupted(cmd.Context(), func() (err error) {
				found, err = estimate(state, options)
				return err
			})
			if err != nil {
				return err
			}
			result := newTailResult(read, limit, state, found)
			result.Seed, result.Allowed, result.RelativeError = q.seedOf(read), options.Evaluations, real(options.RelativeError)
			result.Moved = q.at != ""
			if err := emit(cmd.OutOrStdout(), s.form, result); err != nil {
				return err
			}
			return tailOutcome(limit, found)
		},
	}
	s.flags(cmd)
	s.conditionFlag(cmd)
	q.flags(cmd)
	return cmd
}

// exceedance holds the flags of every command that looks for a rare exceedance.
type exceedance struct {
	limit, at     string
	evaluations   count
	relativeError float64
	seed          uint64
	workers       int
	cmd           *cobra.Command
}

func (q *exceedance) flags(cmd *cobra.Command) {
	q.cmd, q.evaluations = cmd, 20000
	f := cmd.Flags()
	f.StringVar(&q.limit, "limit", "", "the limit that is exceeded, by its `NAME` in the study: spot, edge, screw, component.cpu (default: the first temperature's)")
	f.StringVar(&q.at, "at", "", "move the limit to this `QUANTITY`, as in 95degC")
	f.Var(&q.evaluations, "evaluations", "largest number of model evaluations")
	f.Float64Var(&q.relativeError, "relative-error", 0.1, "relative standard error aimed at")
	f.Uint64Var(&q.seed, "seed", 0, "seed of the random numbers, 0 included (default: the study's)")
	f.IntVar(&q.workers, "workers", 0, "goroutines; the result does not depend on it (default: one per processor)")
}

// state is the limit asked for and its events.
func (q *exceedance) state(s *study.Study) (*study.Limit, *tail.State, error) {
	if q.workers < 0 {
		return nil, nil, fmt.Errorf("workers: %d, must not be negative", q.workers)
	}
	limit, err := limitNamed(s, q.limit)
	if err != nil {
		return nil, nil, err
	}
	if limit, err = movedTo(limit, q.at); err != nil {
		return nil, nil, err
	}
	one, err := scenario(s, s.Title)
	if err != nil {
		return nil, nil, err
	}
	state, err := tail.NewState(one, rareEvents(limit)...)
	if err != nil {
		return nil, nil, err
	}
	state.Workers = q.workers
	return limit, state, nil
}

func (q *exceedance) seedOf(s *study.Study) uint64 {
	if q.cmd.Flags().Changed("seed") {
		return q.seed
	}
	return s.Run.Seed
}

func (q *exceedance) options(s *study.Study, l *study.Limit) rare.Options {
	return rare.Options{
		Stream: tail.Stream(q.seedOf(s), l.Name), Evaluations: int(q.evaluations),
		RelativeError: q.relativeError, Level: s.Run.Confidence,
	}
}

// estimate is rare.Estimate with errors in words of the command line.
func estimate(state *tail.State, o rare.Options) (rare.Result, error) {
	found, err := rare.Estimate(state.Problem(), o)
	if err != nil {
		return rare.Result{}, usage(errors.New(flagNames.Replace(err.Error())))
	}
	return found, nil
}

// tailOutcome is the exit code: without a target, an established probability is
// an answer.
func tailOutcome(l *study.Limit, r rare.Result) error {
	verdict := r.Judge(l.Target)
	if verdict == sim.NoTarget && !r.Established() {
		verdict = sim.Undecided
	}
	return verdicts([]sim.Verdict{verdict})
}
