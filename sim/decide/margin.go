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

// size is the smallest probability that has to be told: the margin itself, from
// what is known of the probability before alone.
func (m Margin) size(before sim.Estimate) float64 {
	if m.Kind == Relative {
		return m.Value * before.High
	}
	return m.Value
}

// judgeCounts judges rows counted in both designs.
func (m Margin) judgeCounts(p interval.PairedRatio, level float64) sim.Verdict {
	if m.Kind == Relative {
		return p.JudgeRatio(1+m.Value, level)
	}
	return p.Paired.Judge(m.Value, level)
}

// parts are the share of the probability before and the amount on top of it.
func (m Margin) parts() (share, amount float64) {
	if m.Kind == Relative {
		return m.Value, 0
	}
	return 0, m.Value
}
