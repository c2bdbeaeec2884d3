package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/terminal"
	"clampodds/sim"
)

func newRun() *cobra.Command {
	var r runFlags
	cmd := r.command("run STUDY", "Percentile temperatures and the probability of exceeding each limit", exactly(1), func(ctx context.Context, args []string) error {
		if err := r.check(); err != nil {
			return err
		}
		read, err := r.load(args[0])
		if err != nil {
			return err
		}
		if r.isPart() {
			return r.writePart(ctx, read)
		}
		if r.checkpoint.File != "" {
			r.counted = func(ctx context.Context, run *sim.Run) ([]*sim.Portion, error) {
				counted, _, err := r.countPart(ctx, read, run, question.Division{Number: 1, Parts: 1})
				return counted, err
			}
		}
		return r.found(ctx, read)
	})
	r.conditionFlag()
	recordFlags(cmd, &r.Sampling)
	drawingFlags(cmd, &r.Sampling)
	cmd.Flags().StringVar(&r.draws, "draws", "", "also write the inputs and outputs of every card to `FILE`, as CSV, or as Parquet if it ends in .parquet")
	cmd.Flags().BoolVar(&r.noConditions, "no-conditions", false, "leave out the conditions of the study")
	r.knowledgeFlag()
	r.partFlags()
	r.cap = 10_000_000
	cmd.Flags().StringVar(&r.until, "until", "", "go on until a `NUMBER` is known: spot=5% (a limit's probability, by its name in the study, to ±5 % of it), P99=0.05K (a percentile of the temperature limited first; P99:edge.left=0.05K of another limit or output), digits=2 (JCGM 101, 7.9)")
	flags.Count(cmd.Flags(), &r.cap, "cap", "largest number of cards that --until may take; unless given, a probability that would take more than ten times as many is left after a pilot")
	return cmd
}

func newMerge() *cobra.Command {
	var r runFlags
	cmd := r.command("merge STUDY PART...", "Adds up the parts of a run that run --part has counted", cobra.MinimumNArgs(2), func(ctx context.Context, args []string) error {
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
		return r.found(ctx, read)
	})
	r.knowledgeFlag()
	keepingFlags(cmd, &r.Sampling)
	return cmd
}

type runFlags struct {
	shared
	question.Sampling
	parting
	cap                       int64
	draws, until              string
	noConditions, noKnowledge bool
	// counted, if set, is where the cards come from in place of runs of their own, those under conditions
	// included.
	counted func(context.Context, *sim.Run) ([]*sim.Portion, error)
}

// knowledgeFlag adds that of what follows once the cards are counted.
func (r *runFlags) knowledgeFlag() {
	r.cmd.Flags().BoolVar(&r.noKnowledge, "no-knowledge", false, "do not keep lack of knowledge apart")
}

// found runs a study and prints what was found.
func (r *runFlags) found(ctx context.Context, s *study.Study) error {
	if err := r.read.Spare(r.draws); err != nil {
		return err
	}
	asked := question.Running{
		Counting:          question.Counting{Sampling: r.Sampling, Until: question.Until{Text: r.until, Cap: r.cap, Insists: r.cmd.Flags().Changed("cap")}, Progress: r.progress},
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
	done, err := asked.Ask(ctx, s)
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
		return failure(question.ErrIncomplete)
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

// readParts reads the parts and draws the cards as the first of them does.
func (r *runFlags) readParts(names []string) ([]question.NamedPart, error) {
	var parts []question.NamedPart
	for _, name := range names {
		part, err := question.PartIn(name)
		if err != nil {
			return nil, err
		}
		parts = append(parts, question.NamedPart{Name: name, Part: part})
	}
	id := parts[0].Run
	r.Sampler, r.Seed, r.Samples = flags.SamplerOf(id.Plan), &id.Seed, id.Samples
	if r.Sampler == nil || r.Samples < 1 {
		return nil, fmt.Errorf("%s: no such sampling plan or number of cards", names[0])
	}
	r.condition, r.noConditions = id.Condition, !id.Conditions
	return parts, nil
}

// drawingFlags are those for how many cards are drawn, and how.
func drawingFlags(cmd *cobra.Command, m *question.Sampling) {
	flags.Count(cmd.Flags(), &m.Samples, "samples", "number of cards (default: the study's)")
	flags.Sampler(cmd.Flags(), &m.Sampler)
}

// recordFlags are those that the numbers of record depend on, and those of keepingFlags.
func recordFlags(cmd *cobra.Command, m *question.Sampling) {
	flags.Seed(cmd.Flags(), &m.Seed)
	keepingFlags(cmd, m)
}

// keepingFlags let a command use as many goroutines as wanted, and what others have found.
func keepingFlags(cmd *cobra.Command, m *question.Sampling) {
	flags.Workers(cmd.Flags(), &m.Workers)
	folder := cmd.Flags().String("records", "", "keep the numbers of record in the folder `DIR`, and take from there those that any command has found before")
	cmd.PreRunE = func(cmd *cobra.Command, _ []string) error {
		if *folder == "" {
			return nil
		}
		ctx, err := question.KeepRecords(cmd.Context(), *folder)
		if err == nil {
			cmd.SetContext(ctx)
		}
		return err
	}
}

// parting holds the flags of run that count a part of a run, or with breaks.
type parting struct {
	part string
	output
	checkpoint question.Checkpoint
}

func (r *runFlags) partFlags() {
	f := r.cmd.Flags()
	r.checkpoint.Read = &r.read
	f.StringVar(&r.part, "part", "", "count part `N/M` of the run into the file of -o, for merge; /M takes N from the number of a Slurm array job, 1 to M")
	r.output.flags(r.cmd, "the `FILE` of the part; without --part it is that of a Slurm array job from 1 on, by its number and count", "replace an existing FILE of --draws or -o")
	f.StringVar(&r.checkpoint.File, "checkpoint", "", "keep what was counted in `FILE`, and go on from there if it exists")
	f.DurationVar(&r.checkpoint.Every, "checkpoint-every", 30*time.Second, "how often")
}

// isPart says that a part is asked for.
func (p *parting) isPart() bool { return p.part != "" || p.name != "" }

// check refuses flags that contradict one another.
func (r *runFlags) check() error {
	broken := r.isPart() || r.checkpoint.File != ""
	switch {
	case r.isPart() && r.name == "":
		return errors.New("--part: -o FILE is missing, the file of the part")
	case r.until != "" && broken:
		return errors.New("--until goes with neither --part nor --checkpoint: the number of cards has to be known")
	case r.draws != "" && broken:
		return errors.New("--draws goes with neither --part nor --checkpoint")
	case !(r.checkpoint.Every > 0):
		return fmt.Errorf("--checkpoint-every %v: must be above 0", r.checkpoint.Every)
	}
	return nil
}

func (r *runFlags) writePart(ctx context.Context, s *study.Study) error {
	d, err := question.DivisionOf(r.part, os.Getenv)
	if err != nil {
		return err
	}
	if err := r.read.MayWrite(r.name, r.force); err != nil {
		return err
	}
	one, err := question.Scenario(s, s.Title)
	if err != nil {
		return err
	}
	run := r.Run(s, one)
	show, clear := r.progress("cards of " + d.String())
	run.Progress = show
	counted, part, err := r.countPart(ctx, s, run, d)
	clear()
	if err != nil {
		return err
	}
	if err := r.read.Write(r.name, r.force, part.Write); err != nil {
		return err
	}
	rows := int64(0)
	for _, portion := range counted {
		rows += portion.Rows(portion.First(), portion.End())
	}
	_, err = fmt.Fprintf(r.cmd.OutOrStdout(), "%s: %s, %d cards\n", terminal.Visible(r.name), d, rows)
	return err
}

// countPart counts a part of all cards that are shown.
func (r *runFlags) countPart(ctx context.Context, s *study.Study, run *sim.Run, d question.Division) ([]*sim.Portion, *question.Part, error) {
	cards, err := question.NewCards(s, run, r.showsConditions())
	if err != nil {
		return nil, nil, err
	}
	return cards.CountPart(ctx, d, r.checkpoint)
}
