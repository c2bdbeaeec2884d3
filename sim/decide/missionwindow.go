package decide

import (
	"context"
	"fmt"
	"slices"

	"clampodds/sim"
)

// MissionAdjust is a design with a setting that can be chosen, such as a torque, in every
// condition of its mission.
type MissionAdjust struct {
	Setup
	// At makes the members at a setting: the same conditions and requirements at all.
	At func(setting float64) ([]Member, error)
	// Judge judges all of them there.
	Judge func(ctx context.Context, setting float64) (*Mission, error)
	// Low and High bound the search: the window of one member, since none of them all
	// is wider.
	Low, High float64
	// Falls says of a requirement that its probability falls as the setting rises: it
	// sets a lower end. Any other sets an upper one.
	Falls func(requirement string) bool
	// Accuracy > 0 is how near an end is found; Step > 0 the resolution of the setting.
	Accuracy, Step float64
	Allowed        Allowed
}

// MissionWindow is where a setting keeps every requirement in every condition, with both
// kinds of not knowing.
type MissionWindow struct {
	Lower, Upper MissionEnd
	// Middle is the mission in the middle of the search.
	Middle *Mission
	// Verdict is met where there is such a window and the settings recommended are met.
	Verdict sim.Verdict
	// Recommended is in the middle, in steps, with Tolerance either way. Available is
	// false without a window, or without a step inside.
	Available              bool
	Recommended, Tolerance float64
	Bounds                 Bounds
	// Checked are the settings recommended: the nominal, the lowest and the highest.
	Checked []CheckedSetting
	// Missed is a setting that is not met, where nothing is recommended: the middle of the search, or
	// the last that was tried; nil where no step lies inside.
	Missed *CheckedSetting
}

// CheckedSetting is a mission judged at a setting.
type CheckedSetting struct {
	Setting float64
	Mission *Mission
}

// MissionEnd is an end of the window.
type MissionEnd struct {
	// Setting is the last that is met. None says that there is none between Low and High.
	Setting float64
	None    bool
	// Place is the record that is not met beyond it; Member is -1 where the search ends
	// there.
	Place Place
	// Beyond is the verdict there.
	Beyond sim.Verdict
}

// mostEnds is how often a record that was not thought of may move an end.
const mostEnds = 4

// Window looks for the window: by bisection on the records that come first to their
// targets on either side. All settings share the draws, so that a record is a
// smooth function of the setting and the chance that an end lies outside the true window is that of one
// verdict, not of one for each setting looked at (measured by repetition). The settings
// recommended are judged in full; a record that is not met there moves its end. Errors
// are those of Mission and At.
func (a *MissionAdjust) Window(ctx context.Context) (*MissionWindow, error) {
	if !(a.Low <= a.High && a.Accuracy > 0 && a.Step > 0) {
		return nil, fmt.Errorf("settings %v to %v, accuracy %v, step %v: must not fall, and be above 0", a.Low, a.High, a.Accuracy, a.Step)
	}
	s := &missionSearch{MissionAdjust: a, ctx: ctx, middle: (a.Low + a.High) / 2}
	if step, _, ok := recommend(a.Low, a.High, a.Step); ok {
		s.middle = step
	}
	var err error
	if s.first, err = a.Judge(ctx, s.middle); err != nil {
		return nil, err
	}
	s.critical = [2][]Place{s.nearest(s.first, lower), s.nearest(s.first, upper)}
	w := &MissionWindow{Verdict: sim.Undecided, Middle: s.first}
	for range mostEnds {
		if w.Lower, err = s.end(lower); err != nil {
			return nil, err
		}
		if w.Upper, err = s.end(upper); err != nil {
			return nil, err
		}
		if w.Lower.None || w.Upper.None || w.Lower.Setting > w.Upper.Setting {
			w.Missed = &CheckedSetting{s.middle, s.first}
			if w.Lower.None && w.Lower.Beyond == sim.NotMet || w.Upper.None && w.Upper.Beyond == sim.NotMet {
				w.Verdict = sim.NotMet
			}
			return w, nil
		}
		w.Recommended, w.Tolerance, w.Available, w.Bounds = a.Allowed.within(w.Lower.Setting, w.Upper.Setting, a.Step)
		if !w.Available {
			return w, nil
		}
		if w.Checked, err = s.check(w); err != nil {
			return nil, err
		}
		last := w.Checked[len(w.Checked)-1]
		if last.Mission.Verdict == sim.Met || last.Mission.Verdict == sim.NoTarget {
			w.Verdict, w.Missed = sim.Met, nil
			return w, nil
		}
		w.Available, w.Missed = false, &last
		if !s.add(last.Mission) {
			break
		}
	}
	return w, nil
}

// missionSearch is a search under way.
type missionSearch struct {
	*MissionAdjust
	ctx    context.Context
	middle float64
	first  *Mission // in the middle
	// critical are the records looked at for an end, by side.
	critical [2][]Place
	looked   known
}

// look judges a record at a setting, once.
func (s *missionSearch) look(setting float64, p Place) (Record, error) {
	if setting == s.middle {
		return s.first.At(p), nil
	}
	return s.looked.judged(s.ctx, &s.Setup, s.At, setting, p)
}

func (s *missionSearch) side(requirement string) side {
	if s.Falls(requirement) {
		return lower
	}
	return upper
}

// nearest lists what is not met on a side, or else the record nearest to its target.
func (s *missionSearch) nearest(m *Mission, at side) []Place {
	var open []Place
	best := Place{-1, -1}
	for i, member := range m.Members {
		for k, r := range m.Records[i] {
			if member.Informative || r.Verdict == sim.NoTarget || s.side(r.Requirement.Name) != at {
				continue
			}
			if best.Member < 0 || worse(r, m.At(best)) {
				best = Place{i, k}
			}
			if r.Verdict != sim.Met {
				open = append(open, Place{i, k})
			}
		}
	}
	slices.SortStableFunc(open, func(a, b Place) int {
		if worse(m.At(a), m.At(b)) {
			return -1
		}
		return 1
	})
	if len(open) == 0 && best.Member >= 0 {
		return []Place{best}
	}
	return open
}

// add takes what is not met there among the critical records, and says whether there was
// anything new.
func (s *missionSearch) add(m *Mission) (more bool) {
	for i, member := range m.Members {
		for k, r := range m.Records[i] {
			if member.Informative || r.Verdict == sim.NoTarget || r.Verdict == sim.Met {
				continue
			}
			at := s.side(r.Requirement.Name)
			if !slices.Contains(s.critical[at], Place{i, k}) {
				s.critical[at], more = append([]Place{{i, k}}, s.critical[at]...), true
			}
		}
	}
	return more
}

// missed is the first critical record of a side that is not met at a setting.
func (s *missionSearch) missed(at side, setting float64) (Place, sim.Verdict, error) {
	for i, p := range s.critical[at] {
		r, err := s.look(setting, p)
		if err != nil {
			return Place{}, 0, err
		}
		if r.Verdict != sim.Met {
			s.critical[at] = append([]Place{p}, slices.Delete(slices.Clone(s.critical[at]), i, i+1)...)
			return p, r.Verdict, nil
		}
	}
	return Place{-1, -1}, sim.Met, nil
}

// end finds the last setting on a side at which its critical records are met.
func (s *missionSearch) end(at side) (MissionEnd, error) {
	outermost, innermost := s.Low, s.High
	if at == upper {
		outermost, innermost = s.High, s.Low
	}
	if len(s.critical[at]) == 0 {
		return MissionEnd{Setting: outermost, Place: Place{-1, -1}}, nil
	}
	e := MissionEnd{Setting: s.middle}
	var err error
	look := func(setting float64) (met bool, err error) {
		p, v, err := s.missed(at, setting)
		if err == nil && v != sim.Met {
			e.Place, e.Beyond = p, v
		}
		return v == sim.Met, err
	}
	met, err := look(s.middle)
	if err != nil {
		return e, err
	}
	inside, outside := s.middle, outermost
	if !met {
		inside, outside = innermost, s.middle
		if met, err = look(innermost); err != nil || !met {
			e.None = true
			return e, err
		}
	} else if met, err = look(outermost); err != nil || met {
		return MissionEnd{Setting: outermost, Place: Place{-1, -1}}, err
	}
	for max(inside-outside, outside-inside) > s.Accuracy {
		between := (inside + outside) / 2
		if met, err = look(between); err != nil {
			return e, err
		}
		if met {
			inside = between
		} else {
			outside = between
		}
	}
	e.Setting = inside
	return e, nil
}

// check judges the nominal and both ends of its tolerance, up to the first that is not met, which
// may be an end of the tolerance that there is room for.
func (s *missionSearch) check(w *MissionWindow) (all []CheckedSetting, err error) {
	settings := []float64{w.Recommended}
	if w.Tolerance > 0 {
		settings = append(settings, w.Recommended-w.Tolerance, w.Recommended+w.Tolerance)
	}
	recommended := len(settings)
	if w.Bounds.ToleranceBinds {
		settings = append(settings, w.Recommended-w.Bounds.Room, w.Recommended+w.Bounds.Room)
	}
	for _, setting := range settings {
		m, err := s.Judge(s.ctx, setting)
		if err != nil {
			return nil, err
		}
		if all = append(all, CheckedSetting{setting, m}); m.Verdict != sim.Met && m.Verdict != sim.NoTarget {
			return all, nil
		}
	}
	return all[:recommended], nil
}
