package main

import (
	"context"
	"fmt"
	"math"
	"slices"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

func newTorque() *cobra.Command {
	var d deciding
	var from, to string
	cmd := &cobra.Command{
		Use:   "torque STUDY",
		Short: "Which torque goes on the drawing?",
		Long: `torque looks for the window of nominal torque in which every requirement that has
a target holds it: hot edges, hot components and sliding at the lower end, screw,
thread and bearing pressure at the upper end. The scatter of the tool moves along
with the torque, as [torque] scatter in the study says. The window of the study as
written, averaged over what is not known, is found first; inside it the torques at which
every condition holds with what is not known kept apart, to one per cent of the
study's torque. What is recommended is judged at its nominal and both its ends.

Exit codes: 0 there is a window and the study's torque is inside, 3 there is none
or it is outside, 4 undecided.`,
		Args: exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			read, err := d.load(args[0], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			result, answers, err := d.findWindow(cmd, read, from, to)
			if err != nil {
				return err
			}
			if err := emit(cmd.OutOrStdout(), d.form, result); err != nil {
				return err
			}
			return answered(answers...)
		},
	}
	d.flags(cmd)
	d.conditionFlag(cmd)
	cmd.Flags().StringVar(&from, "from", "", "lowest nominal `TORQUE` looked at (default: a third of the study's)")
	cmd.Flags().StringVar(&to, "to", "", "highest nominal `TORQUE` looked at (default: three times the study's)")
	return cmd
}

// findWindow looks for the torque window of a study between two torques as typed.
func (d *deciding) findWindow(cmd *cobra.Command, s *study.Study, from, to string) (reports.Torque, []decide.Answer, error) {
	t := &torque{study: s}
	if err := t.search(from, to); err != nil {
		return reports.Torque{}, nil, usage(err)
	}
	var clear func()
	t.Setup, clear = d.setup(cmd, s)
	defer clear()
	result, w, err := t.answer(cmd.Context())
	if err != nil {
		return result, nil, err
	}
	answers, err := t.check(cmd.Context(), &result, w)
	return result, answers, err
}

// torque is a look for a window with the study it is about.
type torque struct {
	decide.Adjust
	study *study.Study
}

// searchFactor is how far the search goes from the study's torque by itself.
const searchFactor = 3

// search sets what is searched.
func (t *torque) search(from, to string) error {
	if err := t.study.OnlyApart(question.TorqueKey); err != nil {
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
			return sim.Scenario{}, usage(err)
		}
		return scenario(moved, moved.Title)
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
func (t *torque) answer(ctx context.Context) (reports.Torque, *decide.Window, error) {
	w, err := t.Window(ctx)
	if err != nil {
		return reports.Torque{}, nil, decided(err)
	}
	in := t.study.Input("screw.torque")
	r := reports.Torque{
		Schema: reports.TorqueSchema, Provenance: decidedRun(t.study, w.Run),
		Verdict: w.Answer.Answer(), Inside: w.Inside.Answer(), Now: t.Now, Unit: in.Parameter.Unit,
		Tool: in.InWords(), Scatter: t.study.Tool.Scatter.String(), From: t.From, To: t.To,
		Lower: t.bound(w.Lower), Upper: t.bound(w.Upper), Needed: neededCount(w.Needed), Warnings: t.cardsWarnings(w.Run),
	}
	r.Shown, r.Other = torqueUnits(t.Now, in.Unit)
	for _, m := range w.Never {
		r.Missed = append(r.Missed, t.missed(m))
	}
	for _, c := range w.Curves {
		r.Curves = append(r.Curves, t.curve(c))
		for _, p := range c.Points {
			r.Warnings = append(r.Warnings, warningsOf(t.labelOf(c.Requirement.Name), onlyTails(p)...)...)
		}
	}
	for _, x := range w.Widening {
		end := "lower"
		if x.Upper {
			end = "upper"
		}
		r.Widening = append(r.Widening, reports.TorqueWidening{End: end, InputShare: inputShare(t.study, decide.Share{Input: x.Input, Value: x.Share}), Shift: x.Shift, AtLeast: x.AtLeast})
	}
	return r, w, nil
}

// check narrows the window of the study as written to what holds in every condition, with
// both kinds of not knowing, and judges the study's torque the same way. The answers are whether there
// is a window and whether the study's torque is inside.
func (t *torque) check(ctx context.Context, r *reports.Torque, w *decide.Window) ([]decide.Answer, error) {
	window := w.Answer
	if window == sim.Met {
		found, err := t.everyCondition(w).Window(ctx)
		if err != nil {
			return nil, decided(err)
		}
		window = found.Verdict
		t.addMission(r, found)
	}
	mission, err := t.judge(ctx, t.Now)
	if err != nil {
		return nil, err
	}
	inside := w.Inside
	if inside == sim.Met {
		inside = mission.Verdict
	}
	r.Checked = append(r.Checked, t.checked(decide.CheckedSetting{Setting: t.Now, Mission: mission}, false))
	r.Verdict, r.Inside = window.Answer(), inside.Answer()
	return []decide.Answer{window, inside}, nil
}

// endShare is how near an end is found, over the study's torque.
const endShare = 0.01

// everyCondition is the search inside the window of the study as written.
func (t *torque) everyCondition(w *decide.Window) *decide.MissionAdjust {
	return &decide.MissionAdjust{
		Setup: ofRecord(t.Setup, t.study), Low: w.Lower.Safe, High: w.Upper.Safe, Accuracy: endShare * t.Now, Step: t.Step,
		At:    func(setting float64) ([]decide.Member, error) { return judgedMembers(t.study, t.to(setting), true) },
		Judge: t.judge,
		Falls: func(requirement string) bool {
			i := slices.IndexFunc(w.Curves, func(c decide.Curve) bool { return c.Requirement.Name == requirement })
			return i >= 0 && w.Curves[i].Falls()
		},
	}
}

// addMission adds what holds in every condition.
func (t *torque) addMission(r *reports.Torque, w *decide.MissionWindow) {
	r.Mission = &reports.TorqueMission{Lower: t.missionEnd(w.Lower, w.Middle), Upper: t.missionEnd(w.Upper, w.Middle)}
	if w.Available {
		r.Advice = &reports.TorqueSetting{Torque: w.Recommended, Tolerance: w.Tolerance, Step: t.Step}
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
func (t *torque) to(setting float64) moved {
	if setting == t.Now {
		return moved{}
	}
	return moved{fmt.Sprint(setting), func(s *study.Study) (*study.Study, error) { return s.WithTorque(setting) }}
}

// judge judges the mission at a torque.
func (t *torque) judge(ctx context.Context, setting float64) (*decide.Mission, error) {
	return missionOf(ctx, t.Setup, t.study, t.to(setting), true)
}

func (t *torque) checked(c decide.CheckedSetting, recommended bool) reports.TorqueChecked {
	return reports.TorqueChecked{Torque: c.Setting, Recommended: recommended, Decision: *decisionOf(t.study, c.Mission, t.Run.Confidence)}
}

// missionEnd names the record that sets an end, by one of the missions.
func (t *torque) missionEnd(e decide.MissionEnd, of *decide.Mission) reports.TorqueMissionEnd {
	found := reports.TorqueMissionEnd{Torque: e.Setting, None: e.None}
	if e.Place.Member >= 0 {
		m := of.Members[e.Place.Member]
		found.Requirement, found.Condition, found.Beyond = m.Requirements[e.Place.Requirement].Name, m.Name, e.Beyond.String()
		found.Label = t.labelOf(found.Requirement)
	}
	return found
}

// cardsWarnings are those of a run at full size; a smaller one was only to find
// where to look.
func (t *torque) cardsWarnings(last *sim.Result) []reports.Warning {
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
	shown, other = shownUnit(typical, "N*m", like), shownUnit(typical, "N*m", inch)
	if shownUnit(1, "N", like).Label == "lbf" { // the study is in inch-pound units
		other = shownUnit(typical, "N*m", metric)
	}
	return shown, other
}

func (t *torque) labelOf(requirement string) string {
	if l, err := limitNamed(t.study, requirement); err == nil {
		return label(l.Output)
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
		r.Inputs = append(r.Inputs, inputShare(t.study, s))
	}
	return r
}

func (t *torque) curve(c decide.Curve) reports.TorqueCurve {
	q := c.Requirement
	r := reports.TorqueCurve{
		Name: q.Name, Label: t.labelOf(q.Name), Limit: q.Limit, Unit: "1", Target: q.Target,
		Lower: end(c.Lower, c.Lower.High), Upper: end(c.Upper, c.Upper.Low),
	}
	r.Shown = shownUnit(q.Limit, "1", "")
	if l, err := limitNamed(t.study, q.Name); err == nil {
		r.Unit, r.Shown = string(l.Quantity), shownUnit(l.Max, string(l.Quantity), l.Unit)
	}
	for _, p := range c.Points {
		r.Points = append(r.Points, reports.TorquePoint{Torque: p.Setting, Tail: p.Tail, Estimate: p.Estimate})
	}
	return r
}
