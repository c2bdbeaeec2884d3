package question

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/decide"
)

// Torques asks which torque between two as typed goes on the drawing; empty are a third and three
// times the study's.
type Torques struct{ From, To string }

// Ask looks for the window. The verdict says whether there is one with the study's torque inside.
func (r Torques) Ask(ctx context.Context, setup decide.Setup, s *study.Study, show func(done, total int64)) (reports.Torque, sim.Verdict, error) {
	setup.Run.Progress = show
	t := &torque{Adjust: decide.Adjust{Setup: setup}, study: s}
	if err := t.search(r.From, r.To); err != nil {
		return reports.Torque{}, 0, err
	}
	result, w, err := t.beside(ctx)
	if err != nil {
		return reports.Torque{}, 0, err
	}
	verdict, err := t.check(ctx, &result, w)
	return result, verdict, err
}

// torque is that question under way.
type torque struct {
	decide.Adjust
	step        float64 // of the tool
	study       *study.Study
	recommended *decide.Mission // at the recommended torque; nil without
}

// beside is answer, while the mission at the study's torque is judged beside it: what check asks first.
func (t *torque) beside(ctx context.Context) (r reports.Torque, w *decide.Window, err error) {
	written := *t
	written.Run.Progress = nil // the other's is shown
	err = batch.Each(context.Background(), t.Run.Workers, 2, func(task int) (err error) {
		if task == 0 {
			r, w, err = written.answer(ctx)
			return err
		}
		_, _ = t.judge(ctx, t.Now) // an answer is kept; an error comes again where it is asked for
		return nil
	})
	return r, w, err
}

// searchFactor is how far the search goes from the study's torque by itself.
const searchFactor = 3

// search sets what is searched.
func (t *torque) search(from, to string) error {
	if err := t.study.OnlyApart(TorqueKey); err != nil {
		return err
	}
	in := t.study.Input("screw.torque")
	t.Now, t.step = in.Nominal, t.study.Tool.Resolution
	if t.step == 0 {
		t.step = ownStep(t.Now, in.Unit)
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
func (t *torque) answer(ctx context.Context) (reports.Torque, *decide.Window, error) {
	w, err := t.windowOnce(ctx)
	if err != nil {
		return reports.Torque{}, nil, err
	}
	in := t.study.Input("screw.torque")
	r := reports.Torque{
		Schema: reports.TorqueSchema, Provenance: recordProvenance(t.study, t.Setup),
		AsWritten: w.Answer.Answer(), GridRows: decide.GridRows, GridOf: "cards", Now: t.Now, Unit: in.Parameter.Unit,
		Tool: in.InWords(), Scatter: t.study.Tool.Scatter.String(), From: t.From, To: t.To,
		Lower: t.bound(w.Lower), Upper: t.bound(w.Upper),
	}
	if t.study.Chassis != nil {
		r.GridOf = "chassis"
	}
	r.Shown, r.Other = torqueUnits(t.Now, in.Unit)
	tool := t.study.Tool
	r.Allowed = reports.TorqueAllowed{
		Least: tool.Least, Most: tool.Most, LeastSetting: t.leastSetting(), MostSetting: t.mostSetting(), Beyond: mostNotAllowed(t.study),
		Margin: tool.Margin, LargestTolerance: tool.LargestTolerance, Step: t.step, ToolClass: tool.Class,
	}
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
		r.Widening = append(r.Widening, t.widened(x, ""))
	}
	return r, w, nil
}

// check narrows the window of the study as written to what holds in every condition, with
// both kinds of not knowing, and judges the study's torque the same way. The verdict is that there is
// a window and that the study's torque is inside.
func (t *torque) check(ctx context.Context, r *reports.Torque, w *decide.Window) (verdict sim.Verdict, err error) {
	defer func() {
		if errors.Is(err, decide.ErrStopped) { // what is known as written stays
			r.Verdict, r.Inside, r.Provenance.Complete = sim.Undecided.Answer(), sim.Undecided.Answer(), false
			err = ErrIncomplete
		}
	}()
	window, found := w.Answer, &decide.MissionWindow{}
	if window != sim.NotMet {
		if found, err = t.everyCondition(ctx, w).Window(ctx); err != nil {
			return 0, err
		}
		window = found.Verdict
		t.addMission(r, found)
		if r.Widening, err = t.widening(ctx, r, found); err != nil {
			return 0, err
		}
	}
	mission, err := t.judge(ctx, t.Now)
	if err != nil {
		return 0, err
	}
	if r.Advice != nil {
		t.compare(r, mission)
	}
	own, inside := decided(t.study, mission, t.Run.Confidence)
	r.Checked = append(r.Checked, reports.TorqueChecked{Torque: t.Now, Decision: *own})
	t.ofRecord(r, mission)
	r.Bounds = t.bounds(found, mission)
	r.Verdict, r.Inside = window.Answer(), inside.Answer()
	return sim.All(window, inside), nil
}

// ofRecord puts the numbers of record of the study as written on the curves, at the study's torque.
func (t *torque) ofRecord(r *reports.Torque, now *decide.Mission) {
	for _, record := range now.Records[0] {
		for i, c := range r.Curves {
			for k, p := range c.Points {
				if c.Name == record.Requirement.Name && p.Torque == t.Now {
					r.Curves[i].Points[k].Estimate = record.Mean
				}
			}
		}
	}
}

// compare holds the recommended torque against the study's, limit by limit in every condition.
func (t *torque) compare(r *reports.Torque, now *decide.Mission) {
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
func (t *torque) toleranceShare() float64 { return max(usualTolerance, t.study.Tool.Class) }

// everyCondition is the search where the study as written may hold.
func (t *torque) everyCondition(ctx context.Context, w *decide.Window) *decide.MissionAdjust {
	return &decide.MissionAdjust{
		Setup: ofRecord(t.Setup, t.study), Interval: w.May(t.From, t.To), Start: t.Now, LowSearched: w.Lower.Requirement == "", HighSearched: w.Upper.Requirement == "", Accuracy: endShare * t.Now, Step: t.step,
		Allowed: decide.Allowed{
			Least: t.leastSetting(), Most: t.mostSetting(), Margin: t.study.Tool.Margin,
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
func (t *torque) addMission(r *reports.Torque, w *decide.MissionWindow) {
	r.Mission = &reports.TorqueMission{Within: endShare * t.Now, Lower: t.missionEnd(w.Lower, w.Started), Upper: t.missionEnd(w.Upper, w.Started)}
	if w.Available {
		r.Advice = &reports.TorqueSetting{
			Torque: w.Recommended, Tolerance: w.Tolerance, Step: t.step, StudyLine: t.study.TorqueLine(w.Recommended),
			LeastBinds: w.Bounds.LeastBinds, MostBinds: w.Bounds.MostBinds, ToleranceBinds: w.Bounds.ToleranceBinds,
			Room: w.Bounds.Room, UsualShare: t.toleranceShare(),
		}
		t.addNotAllowed(r.Advice)
		r.Advice.NoCaution = t.withoutCaution(r.Advice, w)
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
		r.Checked = append(r.Checked, t.recommend(c))
	}
}

// to moves the study to a torque.
func (t *torque) to(setting float64) moved {
	if setting == t.Now {
		return moved{}
	}
	return moved{name: fmt.Sprint(setting), by: func(s *study.Study) (*study.Study, error) { return s.WithTorque(setting) }}
}

// judge judges the mission at a torque; at another than the study's only as far as what decides, where that is not met.
func (t *torque) judge(ctx context.Context, setting float64) (*decide.Mission, error) {
	to := t.to(setting)
	to.toWorst = setting != t.Now
	return missionOf(ctx, t.Setup, t.study, to, true)
}
