package question

import (
	"context"
	"fmt"
	"math"
	"slices"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// Torque asks which torque goes on the drawing.
type Torque struct {
	decide.Adjust
	study       *study.Study
	recommended *decide.Mission // at the recommended torque; nil without
}

// TorqueAnswer is the answer: whether there is a window, and whether the study's torque is inside.
type TorqueAnswer struct {
	Result         reports.Torque
	Window, Inside sim.Verdict
}

// NewTorque looks between two torques as typed; empty are a third and three times the study's.
func NewTorque(s *study.Study, from, to string) (*Torque, error) {
	t := &Torque{study: s}
	return t, t.search(from, to)
}

// Ask looks for the window.
func (t *Torque) Ask(ctx context.Context) (*TorqueAnswer, error) {
	result, w, err := t.answer(ctx)
	if err != nil {
		return nil, err
	}
	a := &TorqueAnswer{Result: result}
	return a, t.check(ctx, a, w)
}

// searchFactor is how far the search goes from the study's torque by itself.
const searchFactor = 3

// search sets what is searched.
func (t *Torque) search(from, to string) error {
	if err := t.study.OnlyApart(TorqueKey); err != nil {
		return err
	}
	in := t.study.Input("screw.torque")
	t.Now, t.Step = in.Nominal, t.study.Tool.Resolution
	if t.Step == 0 {
		t.Step = ownStep(t.Now, in.Unit)
	}
	t.From, t.To = t.Now/searchFactor, math.Min(searchFactor*t.Now, in.Parameter.High)
	for _, flag := range []struct {
		name, text string
		to         *float64
	}{{"from", from, &t.From}, {"to", to, &t.To}} {
		if flag.text == "" {
			continue
		}
		value, err := units.Parse(flag.text, in.Quantity())
		if err != nil {
			return fmt.Errorf("--%s %q: %w", flag.name, flag.text, err)
		}
		*flag.to = value.SI
	}
	if !(t.From > 0 && t.From < t.Now && t.Now < t.To && t.To <= in.Parameter.High) {
		return fmt.Errorf("--from %s, --to %s: the study's torque %s must lie between them, from above 0 up to %s",
			in.Format(t.From), in.Format(t.To), in.Format(t.Now), in.Format(in.Parameter.High))
	}
	t.At = func(setting float64) (sim.Scenario, error) {
		moved, err := t.study.WithTorque(setting)
		if err != nil {
			return sim.Scenario{}, err
		}
		return Scenario(moved, moved.Title)
	}
	return nil
}

// ownStep is a round number in the study's unit, about a fiftieth of the torque,
// for a tool whose resolution is not given.
func ownStep(torque float64, unit string) float64 {
	shown, _ := torqueUnits(torque, unit)
	value := shown.Of(torque)
	power := math.Pow(10, math.Floor(math.Log10(value/50)))
	step := power
	for _, digit := range []float64{2, 5} {
		if digit*power <= value/50 {
			step = digit * power
		}
	}
	return torque * step / value
}

// answer looks for the window of the study as written, for the reports and as such.
func (t *Torque) answer(ctx context.Context) (reports.Torque, *decide.Window, error) {
	w, err := t.windowOnce(ctx)
	if err != nil {
		return reports.Torque{}, nil, err
	}
	in := t.study.Input("screw.torque")
	r := reports.Torque{
		Schema: reports.TorqueSchema, Provenance: DecidedRun(t.study, w.Run),
		Verdict: w.Answer.Answer(), Inside: w.Inside.Answer(), Now: t.Now, Unit: in.Parameter.Unit,
		Tool: in.InWords(), Scatter: t.study.Tool.Scatter.String(), From: t.From, To: t.To,
		Lower: t.bound(w.Lower), Upper: t.bound(w.Upper), Needed: NeededCount(w.Needed), Warnings: t.cardsWarnings(w.Run),
	}
	r.Shown, r.Other = torqueUnits(t.Now, in.Unit)
	tool := t.study.Tool
	r.Allowed = reports.TorqueAllowed{Least: tool.Least, Most: tool.Most, Margin: tool.Margin, LargestTolerance: tool.LargestTolerance, ToolClass: tool.Class}
	for _, m := range w.Never {
		r.Missed = append(r.Missed, t.missed(m))
	}
	for _, c := range w.Curves {
		r.Curves = append(r.Curves, t.curve(c))
		for _, p := range c.Points {
			r.Warnings = append(r.Warnings, WarningsOf(t.labelOf(c.Requirement.Name), onlyTails(p)...)...)
		}
	}
	for _, x := range w.Widening {
		end := "lower"
		if x.Upper {
			end = "upper"
		}
		r.Widening = append(r.Widening, reports.TorqueWidening{End: end, InputShare: InputShare(t.study, decide.Share{Input: x.Input, Value: x.Share}), Shift: x.Shift, AtLeast: x.AtLeast})
	}
	return r, w, nil
}

// check narrows the window of the study as written to what holds in every condition, with
// both kinds of not knowing, and judges the study's torque the same way. The answers are whether there
// is a window and whether the study's torque is inside.
func (t *Torque) check(ctx context.Context, a *TorqueAnswer, w *decide.Window) error {
	r, window := &a.Result, w.Answer
	if window == sim.Met {
		found, err := t.everyCondition(ctx, w).Window(ctx)
		if err != nil {
			return err
		}
		window = found.Verdict
		t.addMission(r, found)
	}
	mission, err := t.judge(ctx, t.Now)
	if err != nil {
		return err
	}
	if r.Advice != nil {
		t.compare(r, mission)
	}
	inside := w.Inside
	if inside == sim.Met {
		inside = mission.Verdict
	}
	if tool := t.study.Tool; t.Now < tool.Least || tool.Most > 0 && t.Now > tool.Most {
		inside = sim.NotMet // whatever it holds: it is not allowed
	}
	r.Checked = append(r.Checked, t.checked(decide.CheckedSetting{Setting: t.Now, Mission: mission}, false))
	r.Verdict, r.Inside = window.Answer(), inside.Answer()
	a.Window, a.Inside = window, inside
	return nil
}

// compare holds the recommended torque against the study's, limit by limit in every condition.
func (t *Torque) compare(r *reports.Torque, now *decide.Mission) {
	recommended := t.recommended
	for i, member := range now.Members {
		for k, record := range now.Records[i] {
			if record.Verdict == sim.NoTarget {
				continue
			}
			after := recommended.Records[i][k]
			r.Compared = append(r.Compared, reports.TorqueCompared{
				Name: record.Requirement.Name, Label: t.labelOf(record.Requirement.Name), Condition: member.Name, Target: record.Requirement.Target,
				Now:         reports.Judged{PerCard: record.Mean, Verdict: record.Verdict.String()},
				Recommended: reports.Judged{PerCard: after.Mean, Verdict: after.Verdict.String()},
			})
		}
	}
}

// endShare is how near an end is found, over the study's torque.
const endShare = 0.01

// usualTolerance is drawn where the study does not say otherwise, over the torque: common practice, no source.
const usualTolerance = 0.10

// toleranceShare is the largest tolerance, over the torque, of a study that gives none: the
// usual one, or that of a coarser tool.
func (t *Torque) toleranceShare() float64 { return max(usualTolerance, t.study.Tool.Class) }

// everyCondition is the search inside the window of the study as written.
func (t *Torque) everyCondition(ctx context.Context, w *decide.Window) *decide.MissionAdjust {
	return &decide.MissionAdjust{
		Setup: ofRecord(t.Setup, t.study), Interval: sim.Interval{Low: w.Lower.Safe, High: w.Upper.Safe}, Accuracy: endShare * t.Now, Step: t.Step,
		Allowed: decide.Allowed{
			Least: t.study.Tool.Least, Most: t.study.Tool.Most, Margin: t.study.Tool.Margin,
			LargestTolerance: t.study.Tool.LargestTolerance, ToleranceShare: t.toleranceShare(),
		},
		At:    func(setting float64) ([]decide.Member, error) { return judgedMembers(t.study, t.to(setting), true) },
		Judge: t.judge, Once: steps(ctx, t.windowID()),
		Falls: func(requirement string) bool {
			i := slices.IndexFunc(w.Curves, func(c decide.Curve) bool { return c.Requirement.Name == requirement })
			return i >= 0 && w.Curves[i].Falls
		},
	}
}

// addMission converts what holds in every condition.
func (t *Torque) addMission(r *reports.Torque, w *decide.MissionWindow) {
	r.Mission = &reports.TorqueMission{Lower: t.missionEnd(w.Lower, w.Middle), Upper: t.missionEnd(w.Upper, w.Middle)}
	if w.Available {
		r.Advice = &reports.TorqueSetting{
			Torque: w.Recommended, Tolerance: w.Tolerance, Step: t.Step, StudyLine: t.study.TorqueLine(w.Recommended),
			LeastBinds: w.Bounds.LeastBinds, MostBinds: w.Bounds.MostBinds, ToleranceBinds: w.Bounds.ToleranceBinds,
			Room: w.Bounds.Room, UsualShare: t.toleranceShare(),
		}
	}
	r.NotAllowed = w.Bounds.Disjoint
	if w.Available {
		t.recommended = w.Checked[0].Mission
	}
	all := w.Checked
	if w.Missed != nil {
		all = []decide.CheckedSetting{*w.Missed}
	}
	for _, c := range all {
		r.Checked = append(r.Checked, t.checked(c, true))
	}
}

// to moves the study to a torque.
func (t *Torque) to(setting float64) moved {
	if setting == t.Now {
		return moved{}
	}
	return moved{name: fmt.Sprint(setting), by: func(s *study.Study) (*study.Study, error) { return s.WithTorque(setting) }}
}

// judge judges the mission at a torque.
func (t *Torque) judge(ctx context.Context, setting float64) (*decide.Mission, error) {
	return missionOf(ctx, t.Setup, t.study, t.to(setting), true)
}

func (t *Torque) checked(c decide.CheckedSetting, recommended bool) reports.TorqueChecked {
	return reports.TorqueChecked{Torque: c.Setting, Recommended: recommended, Decision: *NewDecision(t.study, c.Mission, t.Run.Confidence)}
}

// missionEnd names the record that sets an end, by one of the missions.
func (t *Torque) missionEnd(e decide.Reached, of *decide.Mission) reports.TorqueMissionEnd {
	found := reports.TorqueMissionEnd{Torque: e.Met, None: e.State == decide.Never}
	if e.State == decide.Found || found.None {
		q := e.Record.Requirement.Name
		found.Requirement, found.Label, found.Condition, found.Beyond = q, t.labelOf(q), of.Members[e.Place.Member].Name, e.Record.Verdict.String()
	}
	return found
}

// cardsWarnings are those of a run at full size; a smaller one was only to find
// where to look.
func (t *Torque) cardsWarnings(last *sim.Result) []reports.Warning {
	if last.Samples == t.Run.Samples {
		return last.Warnings
	}
	return []reports.Warning{{Code: "ends-by-tail-methods", Text: fmt.Sprintf(
		"%d cards are too few to count how rarely the targets allow: the tail methods give the ends, and %d cards at each torque only showed where to look", t.Run.Samples, last.Rows)}}
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

func (t *Torque) labelOf(requirement string) string {
	if l, err := Limit(t.study, requirement); err == nil {
		return reports.Label(l.Output)
	}
	return requirement
}

func (t *Torque) bound(b decide.Bound) reports.TorqueEnd {
	e := end(b.End, b.Safe)
	if b.Requirement != "" {
		e.Requirement, e.Label = b.Requirement, t.labelOf(b.Requirement)
	}
	return e
}

func end(e decide.End, safe float64) reports.TorqueEnd {
	return reports.TorqueEnd{Torque: e.Setting, Interval: e.Interval, Safe: safe}
}

func (t *Torque) missed(m decide.Missed) reports.TorqueMissed {
	r := reports.TorqueMissed{
		Label: t.labelOf(m.Requirement), Target: m.Target, Torque: m.Best.Setting,
		Best: m.Best.Estimate, Flat: m.Flat,
	}
	for _, s := range m.Inputs[:min(3, len(m.Inputs))] {
		r.Inputs = append(r.Inputs, InputShare(t.study, s))
	}
	return r
}

func (t *Torque) curve(c decide.Curve) reports.TorqueCurve {
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
