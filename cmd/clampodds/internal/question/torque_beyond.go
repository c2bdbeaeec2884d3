package question

import (
	"math"
	"slices"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim/decide"
)

// addNotAllowed adds how many screws the scatter of the tool takes beyond what is allowed at the ends of a recommendation, and from which
// setting on it does not.
func (t *torque) addNotAllowed(a *reports.TorqueSetting) {
	low, high := a.Torque-a.Tolerance, a.Torque+a.Tolerance
	a.Few = fewNotAllowed(t.study)
	if below := t.below(); below != nil {
		if a.BelowLeast, a.NominalBelow = below(low), below(a.Torque); a.BelowLeast > a.Few {
			a.WithinLeast = t.within(a.Few, below, low, high)
		}
	}
	if above := t.above(); above != nil {
		if a.AboveMost, a.NominalAbove = above(high), above(a.Torque); a.AboveMost > a.Few {
			a.WithinMost = t.within(a.Few, above, high, low)
		}
	}
}

// below is the share of screws that get less than the least that is allowed at a setting, in the condition where they are most; nil where nobody
// says, or none scatters. above likewise.
func (t *torque) below() func(setting float64) float64 {
	least := t.study.Tool.Least
	return t.share(least, func(d dist.Distribution) float64 { return d.CDF(least) })
}

func (t *torque) above() func(setting float64) float64 {
	most := t.study.Tool.Most
	return t.share(most, func(d dist.Distribution) float64 { return d.Survival(most) })
}

func (t *torque) share(limit float64, beyond func(dist.Distribution) float64) func(setting float64) float64 {
	scattering := t.scattering()
	if limit == 0 || len(scattering) == 0 {
		return nil
	}
	return func(setting float64) (share float64) {
		for _, s := range scattering {
			moved := dist.Must(s.WithTorque(setting)) // the mission was judged there
			share = max(share, beyond(moved.Input(TorqueKey).Dist))
		}
		return share
	}
}

// scattering are the study, and it in the conditions that are judged and state the torque anew, where that scatters.
func (t *torque) scattering() (list []*study.Study) {
	all := []*study.Study{t.study}
	for _, c := range t.study.Conditions {
		if statesTorque(c) && !c.Informative && t.study.ConditionName == "" {
			all = append(all, dist.Must(t.study.Condition(c.Name))) // it was read with the study
		}
	}
	return slices.DeleteFunc(all, func(s *study.Study) bool { return s.Input(TorqueKey).Dist == nil })
}

// leastSetting is the lowest that the clamp's maker allows, with the tool's scatter there: 0 where nobody says, above all that is searched where
// none is allowed. mostSetting likewise.
func (t *torque) leastSetting() float64 {
	return settingAllowed(t, t.below(), t.study.Tool.Least, t.To, noneOf*t.To)
}

func (t *torque) mostSetting() float64 {
	return settingAllowed(t, t.above(), t.study.Tool.Most, t.From, t.From/noneOf)
}

// noneOf puts an end out of what is searched.
const noneOf = 1.01

// settingAllowed is the one nearest to a limit, on the way to another, where no more screws than may are beyond.
func settingAllowed(t *torque, share func(setting float64) float64, limit, inside, none float64) float64 {
	many, of := mostNotAllowed(t.study), t.study.Input(TorqueKey).Parameter
	at := min(max(limit, of.Low), of.High)
	if share == nil || share(at) <= many {
		return limit
	}
	if at = t.within(many, share, at, inside); at > 0 {
		return at
	}
	return none
}

// withoutCaution is the part of the window in every condition where the tool's scatter takes few screws beyond what is allowed; nil where that
// is all that is allowed of it.
func (t *torque) withoutCaution(a *reports.TorqueSetting, w *decide.MissionWindow) *reports.TorqueRoom {
	margin := t.study.Tool.Margin
	low, high := w.Lower.Met+margin, w.Upper.Met-margin
	cut := false
	if below := t.below(); below != nil {
		low = max(low, t.study.Tool.Least)
		if cut = below(low) > a.Few; cut {
			low = t.within(a.Few, below, low, high)
		}
	}
	if above := t.above(); above != nil {
		high = min(high, t.study.Tool.Most)
		if above(high) > a.Few {
			cut, high = true, t.within(a.Few, above, high, low)
		}
	}
	if !cut {
		return nil
	}
	r := &reports.TorqueRoom{}
	if middle, most, ok := decide.Widest(low, high, t.step); ok && low > 0 {
		r.From, r.To, r.Torque, r.Most = low, high, middle, most
		r.Room = max(0, min(most, stepsIn(min(a.Torque-low, high-a.Torque), t.step)))
	}
	return r
}

// stepsIn is the largest number of whole steps in a stretch.
func stepsIn(stretch, step float64) float64 { return math.Floor(stretch/step+1e-9) * step }

// within is the setting nearest to that where the share of screws is too large, on the way to another, where it is not; 0 where it is there too.
// It is one that can be printed: whoever sets the tool to it keeps to the share.
func (t *torque) within(few float64, share func(setting float64) float64, large, small float64) float64 {
	if share(small) > few {
		return 0
	}
	from, end := large, small
	for range 20 { // a millionth of the tolerance
		if middle := (large + small) / 2; share(middle) > few {
			large = middle
		} else {
			small = middle
		}
	}
	shown, _ := torqueUnits(t.Now, t.study.Input(TorqueKey).Unit)
	value := shown.Of(small)
	step := math.Pow(10, math.Floor(math.Log10(value))-2) // three digits are printed
	round := math.Floor
	if end > from {
		round = math.Ceil
	}
	if at := small * round(value/step) * step / value; (at-from)*(at-end) <= 0 && share(at) <= few {
		return at
	}
	return small
}
