package question

import (
	"cmp"
	"slices"

	"clampodds/reports"
	"clampodds/sim/decide"
)

// bounds are those over what is not known of what sets an end of the window in every condition, or decides at a torque that was
// judged: what the mean as written does not show.
func (t *torque) bounds(w *decide.MissionWindow, now *decide.Mission) (all []reports.TorqueBound) {
	judged := append(slices.Clone(w.Checked), decide.CheckedSetting{Setting: t.Now, Mission: now})
	if w.Missed != nil {
		judged = append(judged, *w.Missed)
	}
	var places []decide.Place
	seen := map[decide.Place][]decide.Sight{}
	decides := func(p decide.Place, along []decide.Sight) {
		if p.Member >= 0 && !slices.Contains(places, p) {
			places = append(places, p)
		}
		seen[p] = append(seen[p], along...)
	}
	for _, e := range []decide.Reached{w.Lower, w.Upper} {
		if e.State == decide.Found || e.State == decide.Never {
			decides(e.Place, e.Along)
		}
	}
	for _, c := range judged {
		decides(c.Mission.Worst, nil)
	}
	for _, p := range places {
		sights := seen[p]
		for _, c := range judged {
			sights = append(sights, decide.Sight{At: c.Setting, Record: c.Mission.At(p)})
		}
		name := now.At(p).Requirement.Name
		b := reports.TorqueBound{Name: name, Label: t.labelOf(name), Condition: now.Members[p.Member].Name, Target: now.At(p).Requirement.Target, Points: boundPoints(sights)}
		if len(b.Points) > 0 {
			all = append(all, b)
		}
	}
	return all
}

// boundPoints are the bounds of records that keep apart what is not known, each torque once, rising.
func boundPoints(sights []decide.Sight) (points []reports.TorquePoint) {
	slices.SortStableFunc(sights, func(a, b decide.Sight) int { return cmp.Compare(a.At, b.At) })
	for _, s := range sights {
		if s.Unknown != nil && (len(points) == 0 || points[len(points)-1].Torque != s.At) {
			points = append(points, reports.TorquePoint{Torque: s.At, Estimate: s.Bound})
		}
	}
	return points
}
