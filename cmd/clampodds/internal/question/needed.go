package question

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
	"sync"

	"clampodds/cmd/clampodds/internal/rig"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/assurance"
	"clampodds/sim/calibrate"
	"clampodds/sim/decide"
	"clampodds/sim/strata"
)

// leastShare of what is not known is worth a test.
const leastShare = 0.02

// rigInput is what a rig test is planned for.
const rigInput = contactFactorKey

// neededFor says what must be known better for the verdict of a mission that lack of knowledge leaves open, at the requirement
// that decides it; nothing for other missions.
func neededFor(ctx context.Context, setup decide.Setup, s *study.Study, m *decide.Mission) ([]reports.Needed, error) {
	if m.Worst.Member < 0 {
		return nil, nil
	}
	return neededAt(ctx, setup, s, m.Members[m.Worst.Member].Scenario, m.At(m.Worst))
}

// neededAt says it of a record of a scenario.
func neededAt(ctx context.Context, setup decide.Setup, s *study.Study, scenario sim.Scenario, record decide.Record) ([]reports.Needed, error) {
	if record.Want != decide.Knowledge || record.Unknown == nil {
		return nil, nil
	}
	question, err := assurance.New(record.Unknown.Median.Value, record.Bound.Value, record.Requirement.Target, record.Unknown.Confidence)
	if err != nil {
		return nil, nil // no quantile to reckon with: the sentence stays general
	}
	shares, err := strata.Shares(ctx, scenario, record.Requirement, strata.KnowledgeOptions{Confidence: record.Unknown.Confidence, Seed: setup.Run.Seed, Workers: setup.Run.Workers})
	switch {
	case errors.Is(err, strata.ErrNoKnowledge):
		return nil, nil
	case err != nil:
		return nil, err
	}
	n := needing{question: question, study: s}
	list := n.inputs(scenario, shares)
	for i := range list {
		if slices.Equal(list[i].Inputs, []string{rigInput}) && list[i].SpreadLeft != nil {
			left := *list[i].SpreadLeft
			if plan, ok := plannedRig(ctx, setup.Run, s); ok {
				one := plan.Card + plan.Lot + plan.Rest
				list[i].Rig = &reports.NeededRig{OfCard: plan.Card / one, OfLot: plan.Lot / one}
				list[i].Rig.Lots, list[i].Rig.Cards, _ = plan.Test(left * left)
			}
		}
	}
	return list, ctx.Err()
}

// needing turns shares into what is needed.
type needing struct {
	question assurance.Question
	study    *study.Study
}

// inputs lists every input with a share worth a test, the largest first, then all of them together.
func (n needing) inputs(scenario sim.Scenario, shares []strata.Share) []reports.Needed {
	list := sharesByInput(n.study, scenario, shares)
	if len(list) > 1 {
		all := reports.Needed{}
		for _, one := range list {
			all.Inputs, all.Share = append(all.Inputs, one.Inputs...), all.Share+one.Share
		}
		list = append(list, all)
	}
	for i := range list {
		one := &list[i]
		share := min(1, one.Share)
		one.IfKnown = n.question.Chance(share, 0).Decided()
		if left, ok := n.question.Left(share, assurance.Wanted); ok {
			spread := math.Sqrt(left)
			one.SpreadLeft = &spread
		}
		if one.Readings > 0 {
			one.More = n.question.Readings(share, one.Readings, assurance.Wanted)
		}
	}
	return list
}

// sharesByInput sums the shares of what is not known by input, those worth a test, the largest first.
func sharesByInput(study *study.Study, scenario sim.Scenario, shares []strata.Share) (list []reports.Needed) {
	for _, share := range shares {
		name := share.Variable
		if at := slices.IndexFunc(scenario.Inputs.Variables(), func(v sim.Variable) bool { return v.Name == name }); at >= 0 && scenario.Inputs.Variables()[at].Input != "" {
			name = scenario.Inputs.Variables()[at].Input
		}
		name, readings := study.RestsOn(name)
		at := slices.IndexFunc(list, func(have reports.Needed) bool { return have.Inputs[0] == name })
		if at < 0 {
			at = len(list)
			list = append(list, reports.Needed{Inputs: []string{name}, Readings: readings})
		}
		list[at].Share += share.Of
	}
	list = slices.DeleteFunc(list, func(have reports.Needed) bool { return have.Share < leastShare })
	slices.SortStableFunc(list, func(a, b reports.Needed) int { return cmp.Compare(b.Share, a.Share) })
	return list
}

// rigPlans are those found already, by the digest of the study.
var rigPlans sync.Map

// plannedRig is what a rig test tells of the contact factor; ok is false where none can be planned for the study.
func plannedRig(ctx context.Context, run sim.Run, s *study.Study) (rig.Planned, bool) {
	if s.Chassis != nil {
		return rig.Planned{}, false // a rig holds a card: its own study says how many
	}
	if plan, found := rigPlans.Load(s.Digest); found {
		return plan.(rig.Planned), plan != rig.Planned{}
	}
	plan, err := rig.Plan(ctx, s.Averaged(), rigInput, calibrate.Problem{Seed: run.Seed, Workers: run.Workers, Confidence: run.Confidence})
	if err != nil {
		plan = rig.Planned{} // two torques, no power, a factor that is known: there is no test to plan
	}
	if ctx.Err() == nil {
		rigPlans.Store(s.Digest, plan)
	}
	return plan, plan != rig.Planned{}
}
