package question

import (
	"context"
	"slices"

	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

func (t *torque) widened(x decide.Widening, condition string) reports.TorqueWidening {
	end := "lower"
	if x.Upper {
		end = "upper"
	}
	return reports.TorqueWidening{End: end, Condition: condition, InputShare: InputShare(t.study, decide.Share{Input: x.Input, Value: x.Share}), Shift: x.Shift, AtLeast: x.AtLeast}
}

// widening is what would move the ends of what is allowed in every condition: of an end that a condition sets, there; of one that is as
// written, as found before; of one that the clamp maker sets, nothing.
func (t *torque) widening(ctx context.Context, r *reports.Torque, w *decide.MissionWindow) (list []reports.TorqueWidening, err error) {
	for _, end := range []struct {
		name   string
		e      decide.Reached
		makers bool
	}{{"lower", w.Lower, w.Bounds.LeastBinds}, {"upper", w.Upper, w.Bounds.MostBinds}} {
		switch {
		case end.makers:
		case !w.Available || end.e.State != decide.Found:
			list = append(list, slices.DeleteFunc(slices.Clone(r.Widening), func(x reports.TorqueWidening) bool { return x.End != end.name })...)
		default:
			member := end.e.Place.Member
			in := decide.Adjust{Setup: t.Setup, From: t.From, To: t.To, Now: t.Now, At: func(setting float64) (sim.Scenario, error) {
				members, err := judgedMembers(t.study, t.to(setting), true)
				if err != nil {
					return sim.Scenario{}, err
				}
				return members[member].Scenario, nil
			}}
			found, err := in.WidenAt(ctx, end.e.Record.Requirement.Name, end.e.Met, end.name == "upper")
			if err != nil {
				return nil, err
			}
			for _, x := range found {
				list = append(list, t.widened(x, w.Started.Members[member].Name))
			}
		}
	}
	return list, nil
}
