package decide

import (
	"context"
	"fmt"
	"math"

	"clampodds/sim"
)

// MissionAdjust is a design with a setting that can be chosen, such as a torque, in every
// condition of its mission.
type MissionAdjust struct {
	Setup
	// At makes the members at a setting: the same conditions and requirements at all. It is called concurrently.
	At func(setting float64) ([]Member, error)
	// Judge judges all of them there.
	Judge func(ctx context.Context, setting float64) (*Mission, error)
	// Interval bounds the search: what may be the window of one member, since none of them all
	// is wider. It starts from Start where that lies inside, else from the middle.
	sim.Interval
	Start float64
	// LowSearched says that Low is only where the search ends, since nothing is known to bound the setting
	// below; HighSearched likewise.
	LowSearched, HighSearched bool
	// Falls says of a requirement that its probability falls as the setting rises: where
	// it is missed a higher setting is tried, otherwise a lower one.
	Falls func(requirement string) bool
	// Accuracy > 0 is how near an end is found; Step > 0 the resolution of the setting.
	Accuracy, Step float64
	Allowed        Allowed
	// Once, if set, does a step of the search, by its name, unless it is kept; see Once.
	Once Once
}

// MissionWindow is where a setting keeps every requirement in every condition, with both
// kinds of not knowing.
type MissionWindow struct {
	// Lower and Upper are the ends. One is Never where nothing between Low and High is met; the
	// other then says nothing.
	Lower, Upper Reached
	// Started is the mission where the search started.
	Started *Mission
	// Verdict is met where there is such a window and the settings recommended are met.
	Verdict sim.Verdict
	// Recommended is in the middle, in steps, with Tolerance either way; where nothing bounds the window on a side
	// but the search, it is as near to the start as the tolerance lets it. Available is
	// false without a window, or without a step inside.
	Available              bool
	Recommended, Tolerance float64
	Bounds                 Bounds
	// Checked are the settings recommended: the nominal, the lowest and the highest.
	Checked []CheckedSetting
	// Missed is a setting that is not met, where nothing is recommended: where the search started, the allowed one nearest to a
	// window that is not allowed, or the last that was tried; nil where no step lies inside.
	Missed *CheckedSetting
}

// CheckedSetting is a mission judged at a setting.
type CheckedSetting struct {
	Setting float64
	Mission *Mission
}

// Window looks for the window from where it starts, either way, as Reach does. All settings
// share the draws, so that a record is a smooth function of the setting and the chance that an end
// lies outside the true window is that of one verdict, not of one for each setting looked at (measured
// by repetition). The settings recommended are judged in full. Errors are those of Judge, Reach and At.
func (a *MissionAdjust) Window(ctx context.Context) (*MissionWindow, error) {
	if !(a.Low <= a.High && a.Accuracy > 0 && a.Step > 0) {
		return nil, fmt.Errorf("settings %v to %v, accuracy %v, step %v: must not fall, and be above 0", a.Low, a.High, a.Accuracy, a.Step)
	}
	start := a.start()
	w := &MissionWindow{Verdict: sim.Undecided}
	var err error
	if w.Started, err = a.Judge(ctx, start); err != nil {
		return nil, err
	}
	if err := a.ends(ctx, w, start); err != nil {
		return nil, err
	}
	for _, e := range []Reached{w.Lower, w.Upper} {
		if e.State == Never {
			w.Missed = &CheckedSetting{start, w.Started}
			if e.Record.Verdict == sim.NotMet {
				w.Verdict = sim.NotMet
			}
			return w, nil
		}
	}
	w.Recommended, w.Tolerance, w.Available, w.Bounds = a.Allowed.within(w.Lower.Met, w.Upper.Met, a.Step, a.keptNear(w))
	if w.Bounds.Disjoint {
		return w, a.nearestAllowed(ctx, w)
	}
	if !w.Available {
		return w, nil
	}
	if w.Checked, err = a.check(ctx, w); err != nil {
		return nil, err
	}
	if last := w.Checked[len(w.Checked)-1]; holds(last.Mission) {
		w.Verdict = sim.Met
	} else {
		w.Available, w.Missed = false, &last
	}
	return w, nil
}

// nearestAllowed judges the allowed setting nearest to a window none of which is allowed: what stands in its way is the answer. It is no where
// nothing is allowed, or only what the search knows not to hold.
func (a *MissionAdjust) nearestAllowed(ctx context.Context, w *MissionWindow) error {
	most := math.Inf(1)
	if a.Allowed.Most > 0 {
		most = a.Allowed.Most
	}
	first, last := stepsInside(a.Allowed.Least, most, a.Step)
	at := first * a.Step
	if most < w.Lower.Met {
		at = last * a.Step
	}
	switch {
	case first > last, at < a.Low && !a.LowSearched, at > a.High && !a.HighSearched:
		w.Verdict = sim.NotMet
		return nil
	case at < a.Low, at > a.High: // nobody knows
		return nil
	}
	m, err := a.Judge(ctx, at)
	if err != nil || holds(m) {
		return err
	}
	w.Missed, w.Verdict = &CheckedSetting{at, m}, m.Verdict
	return nil
}

// keptNear is the setting that the recommendation stays near: NaN, for none, where both ends of the window say something.
func (a *MissionAdjust) keptNear(w *MissionWindow) float64 {
	below := a.LowSearched && w.Lower.State == Open && a.Allowed.Least <= a.Low
	above := a.HighSearched && w.Upper.State == Open && !(a.Allowed.Most > 0 && a.Allowed.Most < a.High)
	if below || above {
		return a.Start
	}
	return math.NaN()
}

// holds says that nothing is missed.
func holds(m *Mission) bool { return m.Verdict == sim.Met || m.Verdict == sim.NoTarget }

// start is where the search starts.
func (a *MissionAdjust) start() float64 {
	if a.Start >= a.Low && a.Start <= a.High {
		return a.Start
	}
	if step, _, ok := Widest(a.Low, a.High, a.Step); ok {
		return step
	}
	return (a.Low + a.High) / 2
}

// ends looks from the start both ways where it is met. Otherwise it looks the way on which what is
// missed there may be met, and from where the mission is met for the first time further on.
func (a *MissionAdjust) ends(ctx context.Context, w *MissionWindow, start float64) (err error) {
	if w.Started.Verdict == sim.NoTarget {
		w.Lower, w.Upper = openAt(a.Low), openAt(a.High)
		return nil
	}
	if w.Started.Verdict == sim.Met {
		to := []struct {
			setting float64
			end     *Reached
		}{{a.Low, &w.Lower}, {a.High, &w.Upper}}
		return a.concurrently(ctx, len(to), func(i int) (err error) {
			r := a.from(start, w.Started)
			if i > 0 {
				r.Run.Progress = nil // the other's is shown
			}
			*to[i].end, err = r.Outward(ctx, to[i].setting)
			return err
		})
	}
	near, far, toward := &w.Upper, &w.Lower, a.Low
	if a.Falls(w.Started.At(w.Started.Worst).Requirement.Name) {
		near, far, toward = &w.Lower, &w.Upper, a.High
	}
	if *near, err = a.from(start, w.Started).Toward(ctx, toward); err != nil || near.State == Never {
		return err
	}
	m, err := a.Judge(ctx, near.Met)
	if err != nil {
		return err
	}
	if !holds(m) {
		*near = missedAt(m, near.Met)
		return nil
	}
	*far, err = a.from(near.Met, m).Outward(ctx, toward)
	return err
}

// from looks from a setting of which the mission is known.
func (a *MissionAdjust) from(setting float64, base *Mission) *Reach {
	return &Reach{Setup: a.Setup, At: a.At, Base: base, From: setting, Accuracy: a.Accuracy, Scouts: &Scouts{}, Once: a.Once}
}

// check judges the nominal and both ends of its tolerance, up to the first that is not met.
func (a *MissionAdjust) check(ctx context.Context, w *MissionWindow) (all []CheckedSetting, err error) {
	for _, setting := range []float64{w.Recommended, w.Recommended - w.Tolerance, w.Recommended + w.Tolerance} {
		if len(all) > 0 && w.Tolerance == 0 {
			break
		}
		m, err := a.Judge(ctx, setting)
		if err != nil {
			return nil, err
		}
		if all = append(all, CheckedSetting{setting, m}); !holds(m) {
			break
		}
	}
	return all, nil
}
