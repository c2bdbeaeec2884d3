package question

import (
	"context"
	"errors"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
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
	mission, err := r.judge(ctx, s, *run, done.Result.SoFar())
	if err != nil {
		return done, err
	}
	done.AddRecords(mission.Records[0])
	done.Result.Decision = NewDecision(s, mission, run.Confidence)
	if r.WithoutKnowledge {
		done.Result.Decision.Policy = "predictive"
	}
	done.Verdicts = append(done.Verdicts, mission.Verdict)
	done.Result.Mission, err = r.mission(ctx, s, run, done.Found.Rows, mission)
	return done, err
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

// mission shows the conditions beside a run of so many rows; nil where they are not shown.
func (r *Running) mission(ctx context.Context, s *study.Study, run *sim.Run, rows int64, judged *decide.Mission) (*reports.Mission, error) {
	if !r.ShowsConditions {
		return nil, nil
	}
	conditions, err := NewConditions(s, run, rows)
	if err != nil || conditions == nil {
		return nil, err
	}
	found := r.UnderConditions
	if found == nil {
		if found, err = conditions.Count(ctx, r.Progress); err != nil {
			return nil, err
		}
	}
	return conditions.Show(found, judged), nil
}
