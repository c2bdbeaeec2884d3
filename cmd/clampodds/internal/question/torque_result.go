package question

import (
	"cmp"
	"slices"

	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// recommend is a torque that was looked at for the drawing.
func (t *torque) recommend(c decide.CheckedSetting) reports.TorqueChecked {
	return reports.TorqueChecked{Torque: c.Setting, Recommended: true, Decision: *NewDecision(t.study, c.Mission, t.Run.Confidence)}
}

// missionEnd names the record that sets an end, by one of the missions.
func (t *torque) missionEnd(e decide.Reached, of *decide.Mission) reports.TorqueMissionEnd {
	found := reports.TorqueMissionEnd{Torque: e.Met, None: e.State == decide.Never}
	if e.State == decide.Found || found.None {
		q := e.Record.Requirement.Name
		found.Requirement, found.Label, found.Condition, found.Beyond = q, t.labelOf(q), of.Members[e.Place.Member].Name, e.Record.Verdict.String()
	}
	if found.None && len(e.Along) > 1 {
		least := slices.MinFunc(e.Along, func(a, b decide.Sight) int { return cmp.Compare(a.Mean.Value, b.Mean.Value) })
		found.Least = &reports.TorquePoint{Torque: least.At, Estimate: least.Mean}
	}
	return found
}

// onlyTails is the point's estimate if the tail methods gave it: counted points
// away from the ends need no warnings.
func onlyTails(p decide.Point) []sim.Estimate {
	if !p.Tail {
		return nil
	}
	return []sim.Estimate{p.Estimate}
}

// torqueUnits are the unit of the study and that of the other system.
func torqueUnits(typical float64, like string) (shown, other reports.Unit) {
	const metric, inch = "N*m", "in*lbf"
	if like == "" {
		like = metric
	}
	shown, other = ShownUnit(typical, "N*m", like), ShownUnit(typical, "N*m", inch)
	if ShownUnit(1, "N", like).Label == "lbf" { // the study is in inch-pound units
		other = ShownUnit(typical, "N*m", metric)
	}
	return shown, other
}

func (t *torque) labelOf(requirement string) string {
	if l, err := Limit(t.study, requirement); err == nil {
		return reports.Label(l.Output)
	}
	return requirement
}

func (t *torque) bound(b decide.Bound) reports.TorqueEnd {
	e := end(b.End, b.Safe)
	if b.Requirement != "" {
		e.Requirement, e.Label = b.Requirement, t.labelOf(b.Requirement)
	}
	return e
}

func end(e decide.End, safe float64) reports.TorqueEnd {
	return reports.TorqueEnd{Torque: e.Setting, Interval: e.Interval, Safe: safe}
}

func (t *torque) missed(m decide.Missed) reports.TorqueMissed {
	r := reports.TorqueMissed{
		Label: t.labelOf(m.Requirement), Target: m.Target, Torque: m.Best.Setting,
		Best: m.Best.Estimate, Flat: m.Flat,
	}
	for _, s := range m.Inputs[:min(3, len(m.Inputs))] {
		r.Inputs = append(r.Inputs, InputShare(t.study, s))
	}
	return r
}

func (t *torque) curve(c decide.Curve) reports.TorqueCurve {
	q := c.Requirement
	r := reports.TorqueCurve{
		Name: q.Name, Label: t.labelOf(q.Name), Limit: q.Limit, Unit: "1", Target: q.Target,
		Lower: end(c.Lower, c.Lower.High), Upper: end(c.Upper, c.Upper.Low),
	}
	r.Shown = ShownUnit(q.Limit, "1", "")
	if l, err := Limit(t.study, q.Name); err == nil {
		r.Unit, r.Shown = string(l.Quantity), ShownUnit(l.Max, string(l.Quantity), l.Unit)
	}
	for _, p := range c.Points {
		r.Points = append(r.Points, reports.TorquePoint{Torque: p.Setting, Tail: p.Tail, Estimate: p.Estimate})
	}
	return r
}
