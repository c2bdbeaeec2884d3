package question

import (
	"context"
	"errors"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/decide"
)

// Running asks how hot a card runs: counted as the study is written, decided by the numbers of record, and
// shown under its conditions.
type Running struct {
	Counting
	// WithoutConditions leaves out those of the study, WithoutKnowledge that lack of knowledge is kept apart.
	WithoutConditions, WithoutKnowledge bool
	// ShowsConditions says that the cards under the conditions are counted, if the study has any.
	ShowsConditions bool
	// UnderConditions is what was counted of them already: Execute may set it.
	UnderConditions *sim.Result
}

// Ask runs a study. What an interrupt ended is counted, and not decided: where that is the decision, it
// returns what was counted beside the error.
func (r *Running) Ask(ctx context.Context, s *study.Study) (*Counted, error) {
	done, run, err := r.Count(ctx, s)
	if err != nil || !done.Found.Complete {
		return done, err
	}
	conditions, err := r.conditions(s, run, done.Found.Rows)
	if err != nil {
		return done, err
	}
	// The cards under the conditions are counted while it is decided.
	var mission *decide.Mission
	var found *sim.Result
	var failed [2]error
	_ = batch.Each(context.Background(), r.Workers, len(failed), func(task int) error {
		if task == 0 {
			mission, failed[task] = r.judge(ctx, s, *run, done.Result.SoFar())
		} else if conditions != nil {
			found, failed[task] = r.underConditions(ctx, conditions)
		}
		return nil
	})
	if failed[0] != nil {
		return done, failed[0]
	}
	done.AddRecords(mission.Records[0])
	done.Result.Decision = NewDecision(s, mission, run.Confidence)
	if r.WithoutKnowledge {
		done.Result.Decision.Policy = "predictive"
	}
	done.Verdicts = append(done.Verdicts, mission.Verdict)
	if found != nil {
		done.Result.Mission = conditions.Show(found, mission)
	}
	return done, failed[1]
}

// judge decides by the numbers of record, with what was counted in sight.
func (r *Running) judge(ctx context.Context, s *study.Study, run sim.Run, counted string) (*decide.Mission, error) {
	show, clear := r.Progress.start("deciding (counted: " + counted + ")")
	defer clear()
	setup := decide.Setup{Run: run, Events: Events(s), Evaluations: TailEvaluations}
	setup.Run.Progress = show
	if r.WithoutKnowledge {
		setup.Policy = decide.Predictive
	}
	m, err := Judge(ctx, setup, s, !r.WithoutConditions)
	if errors.Is(err, decide.ErrStopped) {
		err = ErrInterrupted
	}
	return m, err
}

// conditions are those beside a run of so many rows; nil where they are not shown.
func (r *Running) conditions(s *study.Study, run *sim.Run, rows int64) (*Conditions, error) {
	if !r.ShowsConditions {
		return nil, nil
	}
	return NewConditions(s, run, rows)
}

func (r *Running) underConditions(ctx context.Context, conditions *Conditions) (*sim.Result, error) {
	if r.UnderConditions != nil {
		return r.UnderConditions, nil
	}
	return conditions.Count(ctx)
}
