package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

func newRun() *cobra.Command {
	var r runFlags
	cmd := &cobra.Command{
		Use:   "run STUDY",
		Short: "Percentile temperatures and the probability of exceeding each limit",
		Args:  exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := r.parting.check(&r); err != nil {
				return err
			}
			read, err := r.load(args[0])
			if err != nil {
				return err
			}
			if r.part != "" || r.output != "" {
				return r.writePart(cmd, read, os.Getenv)
			}
			if r.checkpoint != "" {
				r.counted = func(ctx context.Context, run *sim.Run) ([]*sim.Portion, error) { return r.withBreaks(ctx, read, run) }
			}
			return r.answer(cmd, read)
		},
	}
	r.shared.flags(cmd)
	r.conditionFlag(cmd)
	r.sampling.flags(cmd)
	cmd.Flags().StringVar(&r.draws, "draws", "", "also write the inputs and outputs of every card to `FILE`, as CSV, or as Parquet if it ends in .parquet")
	cmd.Flags().BoolVar(&r.noConditions, "no-conditions", false, "leave out the conditions of the study")
	r.knowledgeFlag(cmd)
	r.parting.flags(cmd)
	r.cap = 10_000_000
	cmd.Flags().StringVar(&r.until, "until", "", "go on until a `NUMBER` is known: spot=5% (a limit's probability, by its name in the study, to ±5 % of it), P99=0.05K (a percentile of the temperature limited first; P99:edge.left=0.05K of another limit or output), digits=2 (JCGM 101, 7.9)")
	cmd.Flags().Var(&r.cap, "cap", "largest number of cards that --until may take")
	cmd.Flags().BoolVar(&r.force, "force", false, "replace an existing FILE of --draws or -o")
	return cmd
}

// runFlags holds the flags of run.
type runFlags struct {
	shared
	sampling
	parting
	cap                              flags.Count
	draws, until                     string
	force, noConditions, noKnowledge bool
	// counted, if set, is where the cards come from in place of runs of their own, those under conditions
	// included.
	counted func(context.Context, *sim.Run) ([]*sim.Portion, error)
}

// knowledgeFlag is that of what follows once the cards are counted.
func (r *runFlags) knowledgeFlag(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&r.noKnowledge, "no-knowledge", false, "do not keep lack of knowledge apart")
}

// answer runs a study and prints what was found.
func (r *runFlags) answer(cmd *cobra.Command, s *study.Study) error {
	if err := r.read.Spare(r.draws); err != nil {
		return err
	}
	asked := question.Running{
		Counting:          question.Counting{Sampling: r.asked(), Until: question.Until{Text: r.until, Cap: int64(r.cap)}, Progress: r.progress},
		WithoutConditions: r.noConditions, WithoutKnowledge: r.noKnowledge, ShowsConditions: r.showsConditions(),
	}
	asked.Execute = func(ctx context.Context, run *sim.Run, do question.Doing) (*sim.Result, error) {
		if r.counted == nil {
			return r.execute(ctx, s, run, do)
		}
		all, err := r.counted(ctx, run)
		if err != nil {
			return nil, err
		}
		if len(all) > 1 {
			asked.UnderConditions = all[1].Result()
		}
		return all[0].Result(), nil
	}
	done, err := asked.Ask(cmd.Context(), s)
	stopped := done != nil && (!done.Found.Complete || errors.Is(err, question.ErrInterrupted))
	if err != nil && !stopped {
		return err
	}
	if stopped {
		done.Stop()
	}
	if err := r.emit(done.Result); err != nil {
		return err
	}
	if stopped {
		return failure(errors.New(question.Interrupted + ": the result is incomplete"))
	}
	return verdicts(done.Verdicts...)
}

// showsConditions says whether the cards under the conditions of the study are counted, if it has any.
func (r *runFlags) showsConditions() bool { return !r.noConditions && r.condition == "" }

// execute does a run, by (*sim.Run).Execute or another function of its kind; with
// --draws it also writes every draw there, whole or not at all.
func (r *runFlags) execute(ctx context.Context, s *study.Study, run *sim.Run, do question.Doing) (found *sim.Result, err error) {
	if r.draws == "" {
		return do(run, ctx)
	}
	err = r.read.Write(r.draws, r.force, func(w io.Writer) error {
		found, err = question.WriteDraws(ctx, w, strings.EqualFold(filepath.Ext(r.draws), ".parquet"), s, run, do)
		return err
	})
	return found, err
}

// sampling holds the flags of every command that samples. What is not given
// comes from the study.
type sampling struct {
	samples flags.Count
	seed    uint64
	workers int
	plan    flags.Sampler
	records string
	given   func(flag string) bool
	fixed   *question.Sampling // in place of the flags
}

func (m *sampling) flags(cmd *cobra.Command) {
	m.recordFlags(cmd)
	cmd.Flags().Var(&m.samples, "samples", "number of cards (default: the study's)")
	cmd.Flags().Var(&m.plan, "plan", "sampling plan: "+flags.Words())
}

// recordFlags are those that the numbers of record depend on, and the workers.
func (m *sampling) recordFlags(cmd *cobra.Command) {
	m.given, m.plan = cmd.Flags().Changed, flags.Sampler{Sampler: sim.Random{}}
	cmd.Flags().Uint64Var(&m.seed, "seed", 0, "seed of the random numbers, 0 included (default: the study's)")
	m.workersFlag(cmd)
}

// workersFlag lets a command use as many goroutines as wanted, and what others have found.
func (m *sampling) workersFlag(cmd *cobra.Command) {
	cmd.Flags().IntVar(&m.workers, "workers", 0, "goroutines; the result does not depend on it (default: one per processor)")
	cmd.Flags().StringVar(&m.records, "records", "", "keep the numbers of record in the folder `DIR`, and take from there those that any command has found before")
	cmd.PreRunE = func(cmd *cobra.Command, _ []string) error {
		if m.records == "" {
			return nil
		}
		ctx, err := question.KeepRecords(cmd.Context(), m.records)
		if err == nil {
			cmd.SetContext(ctx)
		}
		return err
	}
}

// asked is how the cards are drawn, as far as the flags say.
func (m *sampling) asked() question.Sampling {
	if m.fixed != nil {
		return *m.fixed
	}
	s := question.Sampling{Workers: m.workers}
	if m.given("plan") {
		s.Sampler = m.plan.Sampler
	}
	if m.given("seed") {
		s.Seed = &m.seed
	}
	if m.given("samples") {
		s.Samples = int64(m.samples)
	}
	return s
}

func newMerge() *cobra.Command {
	var r runFlags
	cmd := &cobra.Command{
		Use:   "merge STUDY PART...",
		Short: "Adds up the parts of a run that run --part has counted",
		Args:  cobra.MinimumNArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			parts, err := r.readParts(args[1:])
			if err != nil {
				return err
			}
			read, err := r.load(args[0])
			if err != nil {
				return err
			}
			r.counted = func(_ context.Context, run *sim.Run) ([]*sim.Portion, error) {
				cards, err := question.NewCards(read, run, r.showsConditions())
				if err != nil {
					return nil, err
				}
				return cards.Merge(parts)
			}
			return r.answer(cmd, read)
		},
	}
	r.shared.flags(cmd)
	r.knowledgeFlag(cmd)
	r.workersFlag(cmd)
	return cmd
}

// readParts reads the parts and draws the cards as the first of them does.
func (r *runFlags) readParts(names []string) ([]question.NamedPart, error) {
	var parts []question.NamedPart
	for _, name := range names {
		part, err := readPart(name)
		if err != nil {
			return nil, err
		}
		parts = append(parts, question.NamedPart{Name: name, Part: part})
	}
	id := parts[0].Run
	sampler := flags.SamplerOf(id.Plan)
	if sampler == nil || id.Samples < 1 {
		return nil, fmt.Errorf("%s: %w", names[0], errors.New("no such sampling plan or number of cards"))
	}
	r.condition, r.noConditions = id.Condition, !id.Conditions
	r.fixed = &question.Sampling{Sampler: sampler, Seed: &id.Seed, Samples: id.Samples, Workers: r.workers}
	return parts, nil
}
