package study

import (
	"fmt"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
)

// The codes of what is possible and most likely a slip: a per cent for a fraction, one unit for
// another, two numbers exchanged. The bounds are common practice, no source.
const (
	// CutAway: the limits of a distribution leave less than half of it.
	CutAway Code = "cut-away"
	// DoesNotFit: at nominal values the card does not go in, or the clamp does not reach.
	DoesNotFit Code = "does-not-fit"
	// LimitBelowWall: the limit is no warmer than the cold wall.
	LimitBelowWall Code = "limit-below-wall"
)

// keptAtLeast is the share that the limits of a distribution leave: an audit takes away some
// per cent.
const keptAtLeast = 0.5

// usualTarget is the largest probability that is accepted of a limit.
const usualTarget = 0.1

// usualTemperatures are what limits lie between, in kelvin: of card edges 0 to 125 degC, of components 0
// to 200 degC.
var usualTemperatures = map[bool][2]float64{false: {273.15, 398.15}, true: {273.15, 473.15}}

// judgeCut warns of limits that leave little of a distribution.
func (r *reader) judgeCut(in *Input) {
	if cut, ok := in.Dist.(dist.Truncated); ok && cut.Kept() < keptAtLeast {
		r.warn(CutAway, in, fmt.Sprintf("low and high leave a share of %.2g of the distribution: all draws come from what is left", cut.Kept()))
	}
}

// warnLimit warns about a limit.
func (r *reader) warnLimit(code Code, l *Limit, message string) {
	r.warnings = append(r.warnings, Warning{Code: code, File: l.File, Line: l.Line, Key: join(limitsTable, l.Name), Message: message})
}

// judgeTarget warns of a probability that hardly anybody accepts.
func (r *reader) judgeTarget(l *Limit) {
	if l.Target > usualTarget {
		r.warnLimit(UnusualValue, l, fmt.Sprintf("a target of %g is unusual: practice shows up to %g. It is the share of the cards that may exceed the limit; 0.2 %% is 2e-3", l.Target, usualTarget))
	}
}

// judgeLimitValues warns about limits that practice does not know, or that the wall exceeds already.
func (r *reader) judgeLimitValues(s *Study) {
	for i := range s.Limits {
		l := &s.Limits[i]
		r.judgeTarget(l)
		if l.Quantity != units.Temperature || l.Typed == "" {
			continue
		}
		if usual := usualTemperatures[strings.HasPrefix(l.Output, "component.")]; l.Max < usual[0] || l.Max > usual[1] {
			r.warnLimit(UnusualValue, l, fmt.Sprintf("%s is unusual: practice shows %s to %s", l.Format(l.Max), l.Format(usual[0]), l.Format(usual[1])))
		}
		if wall := s.At("wall.temperature", 0); wall != nil && l.Max <= wall.Nominal {
			r.warnLimit(LimitBelowWall, l, fmt.Sprintf("%s is not above the cold wall, nominal %s: a card that gives off heat exceeds it", l.Format(l.Max), wall.Format(wall.Nominal)))
		}
	}
}

// judgeFit warns where flange and clamp do not fit the slot at nominal values.
func (r *reader) judgeFit(s *Study) {
	for edge := range sides {
		slot, flange, clamp, travel := s.At("slot.width", edge), s.At("flange.thickness", edge), s.At("clamp.height", edge), s.At("clamp.travel", edge)
		if slot == nil || flange == nil || clamp == nil || travel == nil {
			return
		}
		switch play := slot.Nominal - flange.Nominal - clamp.Nominal; {
		case play < 0:
			r.warn(DoesNotFit, slot, fmt.Sprintf("the card does not go in: flange %s and retracted clamp %s are %s thicker than the slot, %s",
				flange.Format(flange.Nominal), clamp.Format(clamp.Nominal), slot.Format(-play), slot.Format(slot.Nominal)))
		case play > travel.Nominal:
			r.warn(DoesNotFit, slot, fmt.Sprintf("the clamp runs out of travel: it would have to expand by %s and can by %s", travel.Format(play), travel.Format(travel.Nominal)))
		default:
			continue
		}
		return
	}
}
