package decide

import (
	"context"
	"math"
	"slices"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/interval"
)

// touchRows show whether a change touches an output at all.
const touchRows = 2048

// findUntouched tells the outputs that a change leaves alone in every row of a small sample,
// and counts the differences that are judged.
func (c *Change) findUntouched(ctx context.Context, r *Changed) error {
	var before, after map[string][]float64
	for i := range r.Changes {
		one := &r.Changes[i]
		if i == 0 || r.Changes[i-1].Condition != one.Condition {
			if ctx.Err() != nil {
				return ErrStopped
			}
			before, after = c.sample(r.Before.Members[one.Before.Member].Scenario), c.sample(r.After.Members[one.After.Member].Scenario)
		}
		one.Untouched = slices.EqualFunc(before[one.Requirement.Output], after[one.Requirement.Output], func(a, b float64) bool {
			return a == b || math.IsNaN(a) && math.IsNaN(b) // neither card is clamped
		})
		if !one.Untouched && !one.Informative {
			r.Judged++
		}
	}
	return nil
}

// sample evaluates a few rows, whole groups as sim.Evaluate takes them; designs share those of the
// variables they share.
func (c *Change) sample(scenario sim.Scenario) map[string][]float64 {
	group := scenario.Inputs.RowsPerGroup()
	rows := (touchRows + group - 1) / group * group
	z := batch.Columns(len(scenario.Inputs.Variables()), rows)
	for i, v := range scenario.Inputs.Variables() {
		stream := sim.NewStream(c.Run.Seed, "decide/touched", 0, v.Name)
		for r := range z[i] {
			z[i][r] = dist.NormalQuantile(stream.Uniform())
		}
	}
	outputs := scenario.Model.Outputs()
	y := batch.Columns(len(outputs), rows)
	sim.Evaluate(scenario.Inputs, scenario.Model, (*sim.Inputs).FromNormal, z, y, c.Run.Workers)
	byName := map[string][]float64{}
	for j, o := range outputs {
		byName[o.Name] = y[j]
	}
	return byName
}

// together is the level of a lower bound that all differences judged share, in one look.
func (c *Change) together(r *Changed) float64 {
	return 1 - (1-c.oneSided())/float64(max(1, r.Judged))
}

// seenOnScreens is how the rows of both screens, which are the same draws, exceed.
func (c *Change) seenOnScreens(r *Changed, one *ChangeRecord) interval.PairedRatio {
	return pairedRows(r.Before.exceeds[one.Before.Member][one.Before.Requirement], r.After.exceeds[one.After.Member][one.After.Requirement])
}

// pairedRows counts rows of the same draws.
func pairedRows(before, after []bool) interval.PairedRatio {
	rows := min(len(before), len(after))
	seen := interval.PairedRatio{Paired: interval.Paired{Total: float64(rows)}}
	for i := range rows {
		switch {
		case before[i] && after[i]:
			seen.Both++
		case before[i]:
			seen.OnlyOld++
		case after[i]:
			seen.OnlyNew++
		}
	}
	return seen
}

// screened is the first look, at the rows of both screens.
func (c *Change) screened(r *Changed, one *ChangeRecord) {
	seen := c.seenOnScreens(r, one)
	c.counted(r, one, seen)
	if c.Margin.Kind == TargetMet {
		return
	}
	_, amount := c.Margin.parts()
	designs, _ := c.designs(r, one)
	switch {
	case c.Margin.judgeCounts(seen, c.together(r)) == sim.NotMet:
		one.Verdict = sim.NotMet
	case c.Margin.judgeCounts(seen, c.oneSided()) == sim.Met && !c.knowledgeCounts(designs[1]),
		// What is not known cannot raise it by more than the rows that exceed after the change only, or
		// than all that exceed after it.
		c.atMost(sim.Counted(int64(seen.OnlyNew), one.Rows, c.oneSided()), amount, designs[:]...).High <= amount,
		c.atMost(r.After.At(one.After).Mean, amount, designs[1]).High <= amount:
		one.Verdict = sim.Met
	default:
		one.Verdict, one.Want = sim.Undecided, Cards
	}
}

// counted has the difference of plain rows.
func (c *Change) counted(r *Changed, one *ChangeRecord, seen interval.PairedRatio) {
	one.Difference = Difference{Value: seen.Difference(), Level: c.oneSided(), Rows: int64(seen.Total),
		Interval: sim.Interval{Low: seen.ScoreLower(c.oneSided()), High: seen.ScoreUpper(c.oneSided())}}
	one.LowTogether = seen.ScoreLower(c.together(r))
}
