package question

import (
	"cmp"
	"context"
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
	u := record.Unknown
	if record.Want != decide.Knowledge || u == nil {
		return nil, nil
	}
	target, of := record.Requirement.Target, u.Fitted.Shares()
	surface, err := assurance.NewSurface(assurance.Open{
		Score: u.Fitted.Score, Shares: of, Misfit: u.Misfit, Upper: record.Bound.Value,
		Mean:   min(record.Mean.Value, target), // above it by the noise of the sampling alone: it is not shown to be
		Target: target, Confidence: u.Confidence, Seed: setup.Run.Seed, Workers: setup.Run.Workers,
	})
	if err != nil {
		return nil, nil // nothing to reckon with: the sentence stays general
	}
	var shares []strata.Share
	names := make([]string, len(u.Inputs)) // of the inputs, by variable
	for i, name := range u.Inputs {
		shares = append(shares, strata.Share{Variable: name, Of: of[i]})
		names[i], _ = s.RestsOn(inputOf(scenario, name))
	}
	list := sharesByInput(s, scenario, shares)
	if len(list) > 1 {
		all := reports.Needed{}
		for _, one := range list {
			all.Inputs, all.Share = append(all.Inputs, one.Inputs...), all.Share+one.Share
		}
		list = append(list, all)
	}
	for i := range list {
		if err := decidedBy(ctx, surface, setup.Run, s, names, &list[i]); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// decidedBy says how well the inputs of one must be known; names are those of the inputs by number of the surface.
func decidedBy(ctx context.Context, surface *assurance.Surface, run sim.Run, s *study.Study, names []string, one *reports.Needed) error {
	var known []int
	for j, name := range names {
		if slices.Contains(one.Inputs, name) {
			known = append(known, j)
		}
	}
	chance, err := surface.Chance(ctx, known, 0)
	if err != nil {
		return err
	}
	if one.IfKnown = chance.Decided(); one.IfKnown < assurance.Wanted {
		return nil
	}
	left, ok, err := surface.Left(ctx, known, assurance.Wanted)
	if !ok || err != nil {
		return err
	}
	spread := math.Sqrt(left)
	one.SpreadLeft = &spread
	if one.Readings > 0 {
		one.More = assurance.MoreReadings(one.Readings, left)
	}
	if slices.Equal(one.Inputs, []string{rigInput}) {
		if plan, ok := plannedRig(ctx, run, s); ok {
			whole := plan.Card + plan.Lot + plan.Rest
			one.Rig = &reports.NeededRig{OfCard: plan.Card / whole, OfLot: plan.Lot / whole}
			one.Rig.Lots, one.Rig.Cards, _ = plan.Test(left)
		}
	}
	return ctx.Err()
}

// sharesByInput sums the shares of what is not known by input, those worth a test, the largest first.
func sharesByInput(study *study.Study, scenario sim.Scenario, shares []strata.Share) (list []reports.Needed) {
	for _, share := range shares {
		name, readings := study.RestsOn(inputOf(scenario, share.Variable))
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

// inputOf is the input that a variable of a scenario belongs to.
func inputOf(scenario sim.Scenario, variable string) string {
	for _, v := range scenario.Inputs.Variables() {
		if v.Name == variable && v.Input != "" {
			return v.Input
		}
	}
	return variable
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
