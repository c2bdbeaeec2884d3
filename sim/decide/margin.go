package decide

import (
	"fmt"
	"math"

	"clampodds/sim"
	"clampodds/sim/interval"
	"clampodds/sim/strata"
)

// MarginKind says what a change may do and still be safe.
type MarginKind int

// The kinds.
const (
	// Absolute: raise the probability by at most Value.
	Absolute MarginKind = iota + 1
	// Relative: raise it by at most Value times the probability before.
	Relative
	// TargetMet: raise it to at most the target of the requirement.
	TargetMet
)

// Margin is what a change may do, fixed before the run.
type Margin struct {
	Kind  MarginKind
	Value float64
}

func (m Margin) check() error {
	switch {
	case m.Kind == Absolute && !(m.Value > 0 && m.Value < 1):
		return fmt.Errorf("margin %v, an absolute one must be above 0 and below 1", m.Value)
	case m.Kind == Relative && !(m.Value > 0 && m.Value < 1e6):
		return fmt.Errorf("margin %v, a relative one must be above 0", m.Value)
	case m.Kind < Absolute || m.Kind > TargetMet:
		return fmt.Errorf("no margin is set")
	}
	return nil
}

// size is the smallest probability that has to be told: the margin itself, from
// what is known of the probability before alone.
func (m Margin) size(before sim.Estimate) float64 {
	if m.Kind == Relative {
		return m.Value * before.High
	}
	return m.Value
}

// judgeCounts judges rows counted in both designs. Needed is in rows.
func (m Margin) judgeCounts(p sim.PairedExceedance, level float64) (sim.Verdict, int64) {
	var j interval.Judgement
	paired := p.Paired()
	if m.Kind == Relative {
		rows := float64(p.Both + p.OnlyFirst + p.OnlyOther + p.Neither)
		both := float64(p.Both) * paired.Total / rows
		j = interval.PairedRatio{Paired: paired, Both: both}.JudgeRatio(1+m.Value, level, 1)
	} else {
		j = paired.Judge(m.Value, level, 1)
	}
	if j.Verdict != sim.Undecided {
		return j.Verdict, 0
	}
	rows := p.Both + p.OnlyFirst + p.OnlyOther + p.Neither
	return sim.Undecided, neededTimes(rows, float64(j.Needed)/paired.Total)
}

// parts are the share of the probability before and the amount on top of it.
func (m Margin) parts() (share, amount float64) {
	if m.Kind == Relative {
		return m.Value, 0
	}
	return 0, m.Value
}

// judgePair judges rows drawn where the limit is exceeded. Needed is in rows.
func (m Margin) judgePair(p *strata.Pair, level float64) (sim.Verdict, int64) {
	share, amount := m.parts()
	value, low, high := p.Difference(share, level)
	return judgeBounds(value, low, high, amount, p.Rows)
}

// judgeBounds decides whether a value between bounds stays at or below a margin.
// Needed is in what effort is: how much of it would bring the bound to the margin.
func judgeBounds(value, low, high, margin float64, effort int64) (verdict sim.Verdict, needed int64) {
	switch {
	case high <= margin:
		return sim.Met, 0
	case low > margin:
		return sim.NotMet, 0
	}
	reach := high - value
	if value > margin {
		reach = value - low
	}
	return sim.Undecided, neededTimes(effort, math.Pow(reach/(margin-value), 2))
}

// judgeTails judges what the tail methods found. Needed is in evaluations.
func (m Margin) judgeTails(p tailPair) (sim.Verdict, int64) {
	return p.judge(m.parts())
}

// met is the answer to whether a target is met.
func met(v sim.Verdict) sim.Verdict {
	if v == sim.NoTarget {
		return sim.Undecided
	}
	return v
}

// both is the answer to whether two conditions hold, each 0 where it is not asked.
func both(a, b sim.Verdict) sim.Verdict {
	for _, v := range []sim.Verdict{sim.NotMet, sim.Undecided} {
		if a == v || b == v {
			return v
		}
	}
	return sim.Met
}
