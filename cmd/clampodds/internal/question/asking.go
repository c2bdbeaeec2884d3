// Package question answers the questions of the program: from a study or from readings to a
// result of package reports, one file for each question. It knows no flags and prints nothing.
//
// An error is about the study or what was asked, unless it is a Stopped: then an
// interrupt ended the work.
package question

import (
	"context"
	"fmt"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// TailEvaluations bounds those of each estimate by the tail methods, unless asked otherwise.
const TailEvaluations = 20000

// Asking is how a question that decides something is answered.
type Asking struct {
	Sampling
	Evaluations int // of each estimate by the tail methods
	Progress    Progress
}

// setup is how the probabilities of a study are found, with a function that clears the progress.
func (a Asking) setup(s *study.Study) (setup decide.Setup, clear func()) {
	setup = decide.Setup{Run: *a.Run(s), Events: Events(s), Evaluations: a.Evaluations}
	setup.Run.Progress, clear = a.Progress.start(drawnOf(s))
	return setup, clear
}

// OfRecord is a question that many numbers of record answer: Torques.Ask, Audit.Ask, Loosening.Ask, Choose.
type OfRecord[R any] func(ctx context.Context, setup decide.Setup, s *study.Study, show func(done, total int64)) (R, sim.Verdict, error)

// AskOfRecord asks it; what is what the progress counts.
func AskOfRecord[R any](ctx context.Context, a Asking, s *study.Study, what string, ask OfRecord[R]) (R, sim.Verdict, error) {
	show, clear := a.Progress.start(what)
	defer clear()
	return ask(ctx, a.recordSetup(s), s, show)
}

// Change says whether a change is safe, with both designs compared at the limits along too.
func (a Asking) Change(ctx context.Context, before, after *study.Study, margin string, along []sim.Requirement) (*ChangeAnswer, error) {
	c, err := newChange(before, after, margin)
	if err != nil {
		return nil, err
	}
	c.Along = along
	var clear func()
	c.Setup, clear = a.setup(before)
	defer clear()
	return c.Ask(ctx)
}

// Compare ranks designs by a limit; empty for the first temperature's.
func (a Asking) Compare(ctx context.Context, studies []*study.Study, by string) (r reports.Compare, best sim.Verdict, err error) {
	c, err := newComparison(studies, by)
	if err != nil {
		return r, best, err
	}
	var clear func()
	c.Setup, clear = a.setup(studies[0])
	defer clear()
	return c.Ask(ctx)
}

// Sampling is how the cards of a run are drawn. What is zero comes from the study.
type Sampling struct {
	Sampler sim.Sampler // nil: plain random
	Seed    *uint64
	Samples int64
	Workers int // 0: one per processor
}

// Run sets up a run of scenarios on common draws.
func (m Sampling) Run(s *study.Study, scenarios ...sim.Scenario) *sim.Run {
	r := &sim.Run{
		Scenarios: scenarios, Sampler: m.Sampler, Seed: m.seed(s), Samples: int64(s.Run.Samples),
		Workers: m.Workers, Confidence: s.Run.Confidence,
	}
	if r.Sampler == nil {
		r.Sampler = sim.Random{}
	}
	if m.Samples > 0 {
		r.Samples = m.Samples
	}
	return r
}

// recordSetup is how the numbers of record of a study are found.
func (m Sampling) recordSetup(s *study.Study) decide.Setup {
	return decide.Setup{Run: *m.Run(s), Events: Events(s), Evaluations: TailEvaluations}
}

func (m Sampling) seed(s *study.Study) uint64 {
	if m.Seed != nil {
		return *m.Seed
	}
	return s.Run.Seed
}

// Refused says which part of what was asked is wrong, by the name of its field in lower
// case.
type Refused struct {
	Part string
	Err  error // begins with the value
}

func (r Refused) Error() string { return r.Part + " " + r.Err.Error() }

func (r Refused) Unwrap() error { return r.Err }

func refused(part, format string, args ...any) Refused {
	return Refused{part, fmt.Errorf(format, args...)}
}

// Stopped says that an interrupt ended the work before there was an answer.
type Stopped string

func (s Stopped) Error() string { return string(s) }

// Interrupted are the words of every command that an interrupt ended; what was finished may
// follow.
const Interrupted = "interrupted before the end"

// ErrInterrupted is the end of work that leaves nothing.
const ErrInterrupted = Stopped(Interrupted + ": no result")

// ErrIncomplete is the end of work that leaves a part of its result.
const ErrIncomplete = Stopped(Interrupted + ": the result is incomplete")

// untilInterrupted does work that gives nothing when stopped half-way. An
// interrupt leaves it behind, to end with the program.
func untilInterrupted(ctx context.Context, work func() error) error {
	done := make(chan error, 1)
	go func() { done <- work() }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
		return ErrInterrupted
	}
}
