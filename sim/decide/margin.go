package decide

import (
	"fmt"

	"clampodds/sim"
	"clampodds/sim/interval"
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

// size is the smallest probability that has to be told, before anything is
// known of the change: the margin itself, in a requirement whose probability is
// about its target.
func (m Margin) size(q sim.Requirement, before sim.Estimate) float64 {
	switch m.Kind {
	case Absolute:
		return m.Value
	case Relative:
		if q.Target > 0 {
			return m.Value * q.Target
		}
		return m.Value * before.High
	}
	return q.Target
}

// judgeCounts judges rows counted in both designs. Needed is in rows.
func (m Margin) judgeCounts(p sim.PairedExceedance, level float64) (interval.Verdict, int64) {
	var j interval.Judgement
	paired := p.Paired()
	if m.Kind == Relative {
		rows := float64(p.Both + p.OnlyFirst + p.OnlyOther + p.Neither)
		both := float64(p.Both) * paired.Total / rows
		j = interval.PairedRatio{Paired: paired, Both: both}.JudgeRatio(1+m.Value, level, 1)
	} else {
		j = paired.Judge(m.Value, level, 1)
	}
	if j.Verdict != interval.Undecided {
		return j.Verdict, 0
	}
	rows := p.Both + p.OnlyFirst + p.OnlyOther + p.Neither
	return j.Verdict, neededTimes(rows, float64(j.Needed)/paired.Total)
}

// judgeTails judges what the tail methods found. Needed is in evaluations.
func (m Margin) judgeTails(p tailPair) (interval.Verdict, int64) {
	if m.Kind == Relative {
		return p.judge(m.Value, 0)
	}
	return p.judge(0, m.Value)
}

// verdictOf turns a verdict on a target into one on a change.
func verdictOf(v sim.Verdict) interval.Verdict {
	switch v {
	case sim.Met:
		return interval.Safe
	case sim.NotMet:
		return interval.NotSafe
	}
	return interval.Undecided
}

// worse is the verdict on two conditions that must both hold.
func worse(a, b interval.Verdict) interval.Verdict {
	for _, v := range []interval.Verdict{interval.NotSafe, interval.Undecided} {
		if a == v || b == v {
			return v
		}
	}
	return interval.Safe
}
