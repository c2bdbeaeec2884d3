package reports

import (
	"fmt"
	"strings"
)

// allowedWords is what the clamp maker allows.
func (t Torque) allowedWords() string {
	a := t.Allowed
	switch {
	case a.Least > 0 && a.Most > 0:
		return "the clamp maker's " + t.window(a.Least, a.Most)
	case a.Least > 0:
		return "the clamp maker's least, " + t.both(a.Least)
	}
	return "the clamp maker's most, " + t.both(a.Most)
}

// bounds says what set the recommendation: the window, or what is allowed.
func (t Torque) bounds() string {
	if t.Advice == nil {
		return ""
	}
	var parts []string
	for _, end := range []struct {
		where   string
		binds   bool
		maker   float64
		mission TorqueMissionEnd
		written TorqueEnd
	}{{"below", t.Advice.LeastBinds, t.Allowed.Least, t.Mission.Lower, t.Lower}, {"above", t.Advice.MostBinds, t.Allowed.Most, t.Mission.Upper, t.Upper}} {
		switch {
		case end.binds:
			parts = append(parts, fmt.Sprintf("%s, the clamp maker's limit, %s, beyond which the torque is not allowed", end.where, t.both(end.maker)))
		case end.mission.Requirement == "" && end.written.Requirement == "":
			parts = append(parts, end.where+", the end of the search")
		default:
			parts = append(parts, end.where+", the end of the window, beyond which it is not shown to hold")
		}
	}
	if t.Allowed.Margin > 0 {
		parts = append(parts, fmt.Sprintf("%s is kept to either end of the window", t.both(t.Allowed.Margin)))
	}
	if t.Advice.ToleranceBinds {
		parts = append(parts, t.held()+fmt.Sprintf("; there is room for ± %s", t.both(t.Advice.Room)))
	}
	return "What bounds the recommendation: " + strings.Join(parts, "; ") + "."
}

// held says what holds the tolerance.
func (t Torque) held() string {
	if t.Allowed.LargestTolerance > 0 {
		return "the tolerance is the largest that the study lets be drawn"
	}
	return fmt.Sprintf("the tolerance is held to %s %% of the torque, unless torque.largest_tolerance in the study says otherwise", Plain(100*t.Advice.UsualShare))
}

// tool says whether the tolerance has room for the tool's class.
func (t Torque) tool() string {
	if t.Advice == nil || t.Allowed.ToolClass == 0 {
		return ""
	}
	deviation := t.Allowed.ToolClass * t.Advice.Torque
	if deviation <= t.Advice.Tolerance {
		return fmt.Sprintf("The tool's class, ± %s %%, is ± %s there, within the tolerance.", Plain(100*t.Allowed.ToolClass), t.both(deviation))
	}
	return fmt.Sprintf("The tool's class, ± %s %%, is ± %s there, more than the tolerance: an inspection with that tool cannot hold it; a better class is needed.", Plain(100*t.Allowed.ToolClass), t.both(deviation))
}

// lines are to be copied: for the drawing in both units, and for the study.
func (t Torque) lines() *Table {
	if t.Advice == nil {
		return nil
	}
	table := newTable("lines", "To copy", texts("for", "line"))
	a := *t.Advice
	table.AddRow("drawing", fmt.Sprintf("TORQUE %s ± %s %s (%s ± %s %s)", t.fixed(t.Shown, a.Torque), t.fixed(t.Shown, a.Tolerance), t.Shown.Label,
		t.fixed(t.Other, a.Torque), t.fixed(t.Other, a.Tolerance), t.Other.Label))
	table.addGiven("study", a.StudyLine)
	return table
}

// compared has before and after, limit by limit and condition by condition, where anything is seen.
func (t Torque) compared() Block {
	if t.Advice == nil || len(t.Compared) == 0 {
		return Paragraph("")
	}
	table := newTable("compared", fmt.Sprintf("Probability per card at the study's torque, %s, and at the recommended one, %s", t.both(t.Now), t.both(t.Advice.Torque)),
		texts("requirement", "condition"), numbers("target", "study's"), texts("verdict"), numbers("recommended"), texts("verdict then"))
	unseen := 0
	for _, c := range t.Compared {
		if c.Now.nothingSeen() && c.Recommended.nothingSeen() {
			unseen++
			continue
		}
		table.AddRow(c.Label, c.Condition, ExactProbability(c.Target), estimateText(c.Now.PerCard), c.Now.Verdict, estimateText(c.Recommended.PerCard), c.Recommended.Verdict)
	}
	if unseen == len(t.Compared) {
		return Paragraph("No card was seen to exceed a limit, in any condition, at the study's torque or at the recommended one; all are met at both.")
	}
	if unseen > 0 {
		table.note(fmt.Sprintf("%d of %d are left out: no card was seen to exceed them at either torque, and both are met.", unseen, len(t.Compared)))
	}
	return table
}

func (j Judged) nothingSeen() bool { return j.PerCard.Value == 0 && j.Verdict == "met" }
