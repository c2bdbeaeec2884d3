package question

import (
	"context"
	"errors"
	"fmt"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
	"clampodds/sim/loosen"
)

// mostCombinations bounds what Choose goes through.
const mostCombinations = 10_000

// Choose finds the cheapest combination of the study's options and of the tolerances on
// offer that meets every limit in every condition. The verdict is Met where it is shown to
// be the cheapest.
func Choose(ctx context.Context, setup decide.Setup, s *study.Study, show func(done, total int64)) (r reports.Choose, verdict sim.Verdict, err error) {
	r = reports.Choose{Schema: reports.ChooseSchema, Provenance: recordProvenance(s, setup), Fell: []reports.Combination{}, Options: openParts(s)}
	all, err := combinations(r.Options)
	if err != nil {
		return r, sim.NoTarget, err
	}
	r.Combinations = len(all)
	verdict = sim.NotMet
	for i, c := range all {
		if show != nil {
			show(int64(i), int64(len(all)))
		}
		judged, err := judgeCombination(ctx, setup, s, c, r.Options)
		if err != nil {
			return r, sim.NoTarget, err
		}
		r.Judged++
		switch judged.Decision.Verdict {
		case sim.NoTarget.String():
			return r, sim.NoTarget, errors.New("no limit has a target: nothing says how often it may be exceeded")
		case sim.Met.String():
			r.Best = &judged
		default:
			r.Fell = append(r.Fell, judged)
			if judged.Decision.Verdict == sim.Undecided.String() {
				verdict = sim.Undecided
			}
		}
		if r.Best != nil {
			break
		}
	}
	if r.Best != nil && verdict == sim.NotMet {
		verdict = sim.Met
	}
	r.Verdict = verdict.Answer()
	return r, verdict, nil
}

// openParts are the options of a study and its tolerances on offer.
func openParts(s *study.Study) (list []reports.Open) {
	for _, o := range s.Options {
		open := reports.Open{Name: o.Name}
		for _, c := range o.Choices {
			open.Choices = append(open.Choices, reports.Offered{Name: c.Name, Cost: c.Cost})
		}
		list = append(list, open)
	}
	for _, c := range s.Costs {
		open := reports.Open{Name: c.Input}
		for _, step := range c.Steps {
			name := step.Label
			if name == "" {
				name = fmt.Sprintf("%g times the spread", step.Spread)
			}
			open.Choices = append(open.Choices, reports.Offered{Name: name, Cost: step.Cost})
		}
		list = append(list, open)
	}
	return list
}

// combinations lists all, by rising cost: a step is a choice of an option or of a tolerance.
func combinations(options []reports.Open) ([]loosen.Set, error) {
	if len(options) == 0 {
		return nil, errors.New("the study has neither [[option]] nor [[cost]]: there is nothing to choose")
	}
	costs := make([][]float64, len(options))
	for i, o := range options {
		for _, c := range o.Choices {
			costs[i] = append(costs[i], c.Cost)
		}
	}
	return loosen.Sets(costs, mostCombinations)
}

// judgeCombination judges one combination, as far as it takes.
func judgeCombination(ctx context.Context, setup decide.Setup, s *study.Study, c loosen.Set, options []reports.Open) (reports.Combination, error) {
	named := reports.Combination{Cost: c.Cost}
	for i, choice := range c.Steps {
		named.Choices = append(named.Choices, options[i].Choices[choice].Name)
	}
	chosen, err := s.Chosen(c.Steps[:len(s.Options)])
	if err != nil {
		return named, err
	}
	steps := c.Steps[len(s.Options):]
	members, err := judgedMembers(chosen, moved{by: func(in *study.Study) (*study.Study, error) { return withSteps(in, steps) }}, true)
	if err != nil {
		return named, err
	}
	setup = ofRecord(setup, s)
	short, _, err := judgeOnce(ctx, recordsOf(setup, s, fmt.Sprint("combination", c.Steps), true), members, func() (*decide.Mission, []reports.Needed, error) {
		short, err := setup.Shortfall(ctx, members)
		return short, nil, err
	})
	if err != nil {
		return named, err
	}
	if chosen, err = withSteps(chosen, steps); err != nil { // they may move the tool's scatter
		return named, err
	}
	decision, _ := decided(chosen, short, setup.Run.Confidence)
	named.Decision = *decision
	return named, nil
}

// withSteps is a study with the tolerances taken of those on offer.
func withSteps(s *study.Study, steps []int) (*study.Study, error) {
	for i, c := range s.Costs {
		factor := c.Steps[steps[i]].Spread
		in := *s.Input(c.Input)
		if factor == 1 || in.Dist == nil {
			continue
		}
		var err error
		if in.Dist, err = loosen.Widened(in.Dist, factor); err != nil {
			return nil, fmt.Errorf("%s: %w", c.Input, err)
		}
		s = s.WithInput(in)
	}
	return s, nil
}
