package question

import (
	"context"
	"errors"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/decide"
	"clampodds/sim/loosen"
)

// Loosening asks how far each tolerance may be loosened before a limit is missed.
type Loosening struct {
	Limits []string // by their names; none: all with a target
	Inputs []string // the tolerances, by their keys; none: all that scatter and are not lack of knowledge
}

// Ask searches, one tolerance at a time. The verdict is that of the mission as it is, with
// the limits asked for.
func (a Loosening) Ask(ctx context.Context, setup decide.Setup, read *study.Study, show func(done, total int64)) (r reports.Loosen, verdict sim.Verdict, err error) {
	one, err := Scenario(read, AsWritten)
	if err != nil {
		return r, verdict, err
	}
	moves, err := a.moves(read, one.Inputs)
	if err != nil {
		return r, verdict, err
	}
	if show != nil {
		show(0, int64(len(moves))) // how many searches there are to come
	}
	base, err := judgedFor(ctx, setup, read, moved{limits: a.Limits})
	if err != nil {
		return r, verdict, err
	}
	setup = ofRecord(setup, read)
	setup.Run.Progress = nil // many small steps
	search := &loosen.Search{Setup: setup, Members: base.Members, Base: base, Once: func(s *loosen.Search, m loosen.Move) decide.Once {
		return steps(ctx, moveID{recordsOf(s.Setup, read, moved{limits: a.Limits}.words(), true), s.Accuracy, m.Kind.String(), m.Input})
	}}
	average, err := onAverage(ctx, search, averageAccuracy, averageNear)
	if err != nil {
		return r, verdict, err
	}
	decision, verdict := decided(read, base, setup.Run.Confidence)
	r = reports.Loosen{
		Schema: reports.LoosenSchema, Provenance: recordProvenance(read, setup), Decision: *decision,
		Requirements: worstOfEach(read, base), Knowledge: untouched(read), ChangeMargin: read.ChangeMargin, OnAverage: average != nil, Offered: len(read.Costs) > 0,
	}
	r.Tolerances = make([]reports.Tolerance, len(moves))
	err = sideBySide(ctx, setup.Run.Workers, len(moves), show, func(i int) (err error) {
		r.Tolerances[i], err = tolerance(ctx, read, search, average, moves[i], verdict)
		return err
	})
	return r, verdict, err
}

// sideBySide does tasks, and shows how many are done.
func sideBySide(ctx context.Context, workers, tasks int, show func(done, total int64), task func(i int) error) error {
	tell := batch.Tally(func(done int64) {
		if show != nil {
			show(done, int64(tasks))
		}
	})
	err := batch.Each(ctx, workers, tasks, func(i int) error {
		defer tell(1)
		return task(i)
	})
	if err != nil && ctx.Err() != nil {
		return decide.ErrStopped
	}
	return err
}

// judgedFor judges a study, or what it is moved to, in every condition, for what can be missed.
func judgedFor(ctx context.Context, setup decide.Setup, read *study.Study, to moved) (*decide.Mission, error) {
	m, err := missionOf(ctx, setup, read, to, true)
	if err == nil && m.Verdict == sim.NoTarget {
		err = errors.New("no limit has a target: nothing says how often it may be exceeded")
	}
	return m, err
}

// recordProvenance is that of numbers of record, which no number of cards was asked for.
func recordProvenance(read *study.Study, setup decide.Setup) reports.Provenance {
	p := Provenance(read)
	p.Seed, p.Confidence, p.Complete = setup.Run.Seed, setup.Run.Confidence, true
	return p
}

// averageAccuracy is that of probabilities which are averaged over what is not known beside the rule, and averageNear the
// upper bound of such a one, over its target, at which an end is near enough.
const averageAccuracy, averageNear = 0.2, 0.97

// onAverage is the search for what holds averaged over what is not known, where that alone
// keeps the mission from being met; nil elsewhere.
func onAverage(ctx context.Context, s *loosen.Search, accuracy, near float64) (*loosen.Search, error) {
	if worst := s.Base.At(s.Base.Worst); s.Base.Verdict != sim.Undecided || worst.Want != decide.Knowledge {
		return nil, nil
	}
	averaged := &loosen.Search{Setup: s.Setup, Members: s.Members, Base: s.Base.OnAverage(), Once: s.Once, Near: near}
	if averaged.Base.Verdict != sim.Met {
		return nil, nil
	}
	averaged.Policy, averaged.Accuracy = decide.Predictive, accuracy
	if near > 0 { // no number of record is shown
		var err error
		if averaged.SameRows, err = averaged.Setup.SameRows(ctx, averaged.Base); err != nil {
			return nil, err
		}
	}
	if averaged.SameRows != nil {
		averaged.Once = nil // no step takes long
	}
	return averaged, nil
}

// moves lists the axes: spread, limits and mean of every tolerance.
func (a Loosening) moves(read *study.Study, inputs *sim.Inputs) ([]loosen.Move, error) {
	keys := a.Inputs
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
			return nil, refused("input", "%w; name %s.left or %s.right", err, key, key)
		}
		if read.Input(key) == nil {
			if _, err := study.AsInput(key); err != nil {
				return nil, Refused{"input", err}
			}
			return nil, refused("input", "%s: the study has no such input; check lists them", key)
		}
		spread, err := loosen.Widen(inputs, key)
		if err != nil {
			return nil, err
		}
		limits, cut, err := loosen.WidenLimits(inputs, key)
		if err != nil {
			return nil, err
		}
		mean, err := loosen.ShiftMean(inputs, key)
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
