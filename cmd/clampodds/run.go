package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
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
			read, err := r.load(args[0], cmd.ErrOrStderr())
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
	cap                              count
	draws, until                     string
	force, noConditions, noKnowledge bool
	// counted, if set, is where the cards come from in place of runs of their own, those under conditions
	// included.
	counted         func(context.Context, *sim.Run) ([]*sim.Portion, error)
	underConditions *sim.Result  // nil: not counted yet
	studied         *study.Study // by do
}

// knowledgeFlag is that of what follows once the cards are counted.
func (r *runFlags) knowledgeFlag(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&r.noKnowledge, "no-knowledge", false, "do not keep lack of knowledge apart")
}

// answer runs a study and prints what was found.
func (r *runFlags) answer(cmd *cobra.Command, s *study.Study) error {
	done, err := r.do(cmd, s)
	stopped := done != nil && (!done.Found.Complete || errors.Is(err, question.ErrInterrupted))
	if err != nil && !stopped {
		return err
	}
	if stopped {
		done.Stop()
	}
	if err := emit(cmd.OutOrStdout(), r.form, done.Result); err != nil {
		return err
	}
	if stopped {
		return failure(errors.New(question.Interrupted + ": the result is incomplete"))
	}
	return verdicts(done.Verdicts...)
}

// do runs a study: as it is, and under its conditions.
func (r *runFlags) do(cmd *cobra.Command, s *study.Study) (*question.Counted, error) {
	if err := r.read.spare(r.draws); err != nil {
		return nil, err
	}
	r.studied = s
	counting := question.Counting{Sampling: r.asked(), Until: question.Until{Text: r.until, Cap: int64(r.cap)}, Progress: r.progress(cmd), Execute: r.execute}
	done, run, err := counting.Count(cmd.Context(), s)
	if err != nil {
		return nil, unanswered(err)
	}
	if !done.Found.Complete {
		return done, nil
	}
	return done, r.judge(cmd, s, run, done)
}

// judge decides by the numbers of record, and shows the conditions.
func (r *runFlags) judge(cmd *cobra.Command, s *study.Study, run *sim.Run, done *question.Counted) error {
	show, clear := progress(cmd.ErrOrStderr(), r.quiet, "deciding (counted: "+done.Result.SoFar()+")")
	defer clear()
	setup := decide.Setup{Run: *run, Events: question.Events(s), Evaluations: tailEvaluations}
	setup.Run.Progress = show
	if r.noKnowledge {
		setup.Policy = decide.Predictive
	}
	mission, err := question.Judge(cmd.Context(), setup, s, !r.noConditions)
	if err != nil {
		return unanswered(err)
	}
	done.AddRecords(mission.Records[0])
	done.Result.Decision = question.NewDecision(s, mission, run.Confidence)
	if r.noKnowledge {
		done.Result.Decision.Policy = "predictive"
	}
	done.Verdicts = append(done.Verdicts, mission.Verdict)
	clear()
	done.Result.Mission, err = r.mission(cmd, s, run, done.Found.Rows, mission)
	return unanswered(err)
}

// showsConditions says whether the cards under the conditions of the study are counted, if it has any.
func (r *runFlags) showsConditions() bool { return !r.noConditions && r.condition == "" }

// mission shows the conditions beside a run of so many rows; nil where they are not shown.
func (r *runFlags) mission(cmd *cobra.Command, s *study.Study, run *sim.Run, rows int64, judged *decide.Mission) (*reports.Mission, error) {
	if !r.showsConditions() {
		return nil, nil
	}
	conditions, err := question.NewConditions(s, run, rows)
	if err != nil || conditions == nil {
		return nil, err
	}
	found := r.underConditions
	if found == nil {
		if found, err = conditions.Count(cmd.Context(), r.progress(cmd)); err != nil {
			return nil, err
		}
	}
	return conditions.Show(found, judged), nil
}

// sampling holds the flags of every command that samples. What is not given
// comes from the study.
type sampling struct {
	samples count
	seed    uint64
	workers int
	plan    samplerName
	records string
	cmd     *cobra.Command
	fixed   *question.Sampling // in place of the flags
}

func (m *sampling) flags(cmd *cobra.Command) {
	m.recordFlags(cmd)
	cmd.Flags().Var(&m.samples, "samples", "number of cards (default: the study's)")
	cmd.Flags().Var(&m.plan, "plan", "sampling plan: "+strings.Join(samplerNames(), ", "))
}

// recordFlags are those that the numbers of record depend on, and the workers.
func (m *sampling) recordFlags(cmd *cobra.Command) {
	m.cmd, m.plan = cmd, planWord(sim.Random{})
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
		return unanswered(err)
	}
}

// asked is how the cards are drawn, as far as the flags say.
func (m *sampling) asked() question.Sampling {
	if m.fixed != nil {
		return *m.fixed
	}
	s := question.Sampling{Workers: m.workers}
	if m.cmd.Flags().Changed("plan") {
		s.Sampler = m.plan.sampler()
	}
	if m.cmd.Flags().Changed("seed") {
		s.Seed = &m.seed
	}
	if m.cmd.Flags().Changed("samples") {
		s.Samples = int64(m.samples)
	}
	return s
}

// run sets up a run of scenarios on common draws.
func (m *sampling) run(s *study.Study, scenarios ...sim.Scenario) *sim.Run {
	return m.asked().Run(s, scenarios...)
}

// count is a flag value: a whole number that may be written as 200000 or 2e5.
type count int64

func (c *count) String() string { return strconv.FormatInt(int64(*c), 10) }
func (c *count) Type() string   { return "N" }
func (c *count) Set(s string) error {
	const most = min(sim.MostSamples, math.MaxInt) // some counts become an int
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || x != math.Trunc(x) || !(x >= 1) || x > most {
		return fmt.Errorf("must be a whole number from 1 to %d", int64(most))
	}
	*c = count(x)
	return nil
}

// samplers are the sampling plans.
var samplers = []sim.Sampler{sim.Random{}, sim.LatinHypercube{}, sim.Halton{}}

func samplerNames() (names []string) {
	for _, s := range samplers {
		names = append(names, string(planWord(s)))
	}
	return names
}

// planWord is a plan's name as one word of the command line.
func planWord(s sim.Sampler) samplerName {
	return samplerName(strings.ReplaceAll(strings.ToLower(s.Name()), " ", "-"))
}

// samplerName is a flag value: the word for a sampling plan.
type samplerName string

func (n *samplerName) String() string { return string(*n) }
func (n *samplerName) Type() string   { return "plan" }
func (n *samplerName) Set(s string) error {
	*n = samplerName(s)
	if n.sampler() == nil {
		return fmt.Errorf("must be one of %s", strings.Join(samplerNames(), ", "))
	}
	return nil
}

func (n samplerName) sampler() sim.Sampler {
	for _, s := range samplers {
		if planWord(s) == n {
			return s
		}
	}
	return nil
}
