package reports

import (
	"cmp"
	"fmt"
	"math"
	"strings"
)

// holds says from where to where every requirement holds: first what is allowed, where that is not all of it.
func (t Torque) holds(scope string) string {
	whole := t.window(t.Mission.Lower.Torque, t.Mission.Upper.Torque)
	if a := t.Advice; a == nil || !a.LeastBinds && !a.MostBinds {
		return fmt.Sprintf("every requirement holds in %s from %s of nominal torque", scope, whole)
	}
	return fmt.Sprintf("%s of nominal torque is allowed, and every requirement holds there in %s. By the requirements alone it could be %s", t.window(t.allowedPart()), scope, whole)
}

// allowedPart is the part of the window that the clamp maker allows.
func (t Torque) allowedPart() (low, high float64) {
	low, high = t.Mission.Lower.Torque, t.Mission.Upper.Torque
	if t.Advice.LeastBinds {
		low = max(low, t.Allowed.leastSetting())
	}
	if t.Advice.MostBinds {
		high = min(high, t.Allowed.mostSetting())
	}
	return low, high
}

// leastSetting is the lowest setting that is allowed, with the tool's scatter; 0 where nobody says. mostSetting likewise.
func (a TorqueAllowed) leastSetting() float64 { return cmp.Or(a.LeastSetting, a.Least) }
func (a TorqueAllowed) mostSetting() float64  { return cmp.Or(a.MostSetting, a.Most) }

// outside reports whether a setting is not allowed.
func (a TorqueAllowed) outside(setting float64) bool {
	return setting < a.leastSetting() || a.Most > 0 && setting > a.mostSetting()
}

// byScatter says that the tool's scatter narrows what is allowed.
func (a TorqueAllowed) byScatter() bool {
	return a.leastSetting() > a.Least || a.Most > 0 && a.mostSetting() < a.Most
}

func (t Torque) allowedWords() string {
	a := t.Allowed
	text := t.limits(a.Least, a.Most, "the clamp maker's ", "the clamp maker's least, ", "the clamp maker's most, ")
	switch least, most := a.leastSetting(), a.mostSetting(); {
	case !a.byScatter():
	case a.Most > 0 && least > most:
		text += fmt.Sprintf(", which no setting keeps with the tool's scatter (at most %s of the screws may be beyond either)", Percent(a.Beyond))
	default:
		text += fmt.Sprintf(", which with the tool's scatter allows settings %s (at most %s of the screws may be beyond)", t.limits(least, most, "of ", "from ", "up to "), Percent(a.Beyond))
	}
	return text
}

// limits are both of them, or the one that there is.
func (t Torque) limits(least, most float64, between, from, upTo string) string {
	switch {
	case least > 0 && most > 0:
		return between + t.window(least, most)
	case least > 0:
		return from + t.both(least)
	}
	return upTo + t.both(most)
}

// notAllowed says of a torque that the clamp maker does not allow it; empty where that is not so.
func (t Torque) notAllowed(torque float64) string {
	if t.Allowed.outside(torque) {
		return "not allowed: outside " + t.allowedWords()
	}
	return ""
}

// OfStudy is the study's torque and how it stands to what the clamp maker allows and to that for the drawing, in the words of every
// page that has it.
func (t Torque) OfStudy() string {
	text, relation := t.Shown.Text(t.Now), t.toTheDrawings()
	if not := t.notAllowed(t.Now); not != "" {
		text, relation = text+", "+not, strings.Replace(relation, ",", ";", 1)
	}
	return text + relation
}

// toTheDrawings says how the study's torque stands to that for the drawing; empty where there is none.
func (t Torque) toTheDrawings() string {
	if !t.forTheDrawing() {
		return ""
	}
	relation := "within"
	switch {
	case t.isForTheDrawing():
		relation = "the nominal of"
	case math.Abs(t.Now-t.Advice.Torque) > t.Advice.Tolerance+roundingOfSteps*t.Now:
		relation = "outside"
	}
	return fmt.Sprintf(", %s the %s for the drawing", relation, t.Recommended(t.Shown))
}

// elsewhere says how to get the numbers at the torque for the drawing, where the study's is another.
func (t Torque) elsewhere() string {
	if !t.forTheDrawing() || t.isForTheDrawing() || t.Advice.StudyLine == "" {
		return ""
	}
	return "; those at the drawing's come with the study line under Torque window"
}

// roundingOfSteps is how far sums of steps of the tool may be off, over the torque.
const roundingOfSteps = 1e-9

// isForTheDrawing reports whether the study's torque is the one recommended.
func (t Torque) isForTheDrawing() bool {
	return math.Abs(t.Now-t.Advice.Torque) <= roundingOfSteps*t.Now
}

// forTheDrawing reports whether a torque is recommended with a tolerance.
func (t Torque) forTheDrawing() bool {
	return t.Verdict == "yes" && t.Advice != nil && !t.noTolerance() && t.notMet() == nil
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
		setting float64
		mission TorqueMissionEnd
		written TorqueEnd
	}{{"below", t.Advice.LeastBinds, t.Allowed.Least, t.Allowed.leastSetting(), t.Mission.Lower, t.Lower}, {"above", t.Advice.MostBinds, t.Allowed.Most, t.Allowed.mostSetting(), t.Mission.Upper, t.Upper}} {
		switch {
		case end.binds && end.setting != end.maker:
			parts = append(parts, fmt.Sprintf("%s, %s, beyond which the torque is not allowed: there the tool's scatter takes %s of the screws beyond the clamp maker's limit, %s", end.where, t.both(end.setting), Percent(t.Allowed.Beyond), t.both(end.maker)))
		case end.binds:
			parts = append(parts, fmt.Sprintf("%s, the clamp maker's limit, %s, beyond which the torque is not allowed", end.where, t.both(end.maker)))
		case end.mission.Requirement == "" && end.written.Requirement == "":
			parts = append(parts, end.where+", nothing that was searched, so that the torque stays near the study's")
		default:
			parts = append(parts, end.where+", the end of the window, beyond which it is not shown to hold")
		}
	}
	if t.Allowed.Margin > 0 {
		parts = append(parts, fmt.Sprintf("%s is kept to either end of the window", t.both(t.Allowed.Margin)))
	}
	if t.Advice.ToleranceBinds {
		parts = append(parts, t.held())
	}
	if text := t.room(); text != "" {
		parts = append(parts, text)
	}
	what := "the recommendation"
	if t.noTolerance() {
		what = "it"
	}
	return "What bounds " + what + ": " + strings.Join(parts, "; ") + "."
}

// room says for how much tolerance there is room, that without a caution first; empty where the tolerance is all there is.
func (t Torque) room() string {
	a := t.Advice
	free := a.NoCaution
	switch {
	case t.noTolerance():
		return ""
	case free == nil && a.ToleranceBinds:
		return fmt.Sprintf("there is room for ± %s", t.both(a.Room))
	case free == nil:
		return ""
	}
	text := "without a caution there is no room"
	if free.Most > 0 {
		text = fmt.Sprintf("without a caution the tool may be set to %s", t.window(free.From, free.To))
		if about := t.fixed(t.Shown, free.Torque); free.Room > 0 {
			text += fmt.Sprintf(", ± %s %s about the torque recommended", t.fixed(t.Shown, free.Room), t.Shown.Label)
			if free.Most > free.Room {
				text += fmt.Sprintf(" and ± %s about %s", t.fixed(t.Shown, free.Most), about)
			}
		} else {
			text += fmt.Sprintf(", ± %s %s about %s", t.fixed(t.Shown, free.Most), t.Shown.Label, about)
		}
	}
	return text + fmt.Sprintf("; with one there is room for ± %s", t.both(a.Room))
}

// caution is that of the decisions and of the screws.
func (t Torque) caution() string {
	if len(t.Checked) == 0 {
		return t.screwsBeyond()
	}
	return t.Checked[0].Decision.notOf(t.screwsBeyond())
}

// screwsBeyond says how many screws the tool's scatter takes beyond what is allowed, and from which setting on it does not; empty where it
// does not from any that is recommended. It stands wherever the line for the drawing does.
func (t Torque) screwsBeyond() string {
	if t.Advice == nil || t.noTolerance() || t.notMet() != nil {
		return ""
	}
	a := *t.Advice
	var parts []string
	for _, end := range []struct {
		share, nominal, setting, within, allowed float64
		than, name, further                      string
	}{{a.BelowLeast, a.NominalBelow, a.Torque - a.Tolerance, a.WithinLeast, t.Allowed.Least, "less", "least", "more"}, {a.AboveMost, a.NominalAbove, a.Torque + a.Tolerance, a.WithinMost, t.Allowed.Most, "more", "most", "less"}} {
		if end.share <= a.Few {
			continue
		}
		nominal := ""
		if end.nominal > 0 {
			nominal = fmt.Sprintf(" (%s with it set to the nominal)", Percent(end.nominal))
		}
		text := fmt.Sprintf("with the tool set to %s, %s of the screws get %s than the clamp maker's %s, %s, by its scatter%s: one is too many", t.both(end.setting), Percent(end.share), end.than, end.name, t.both(end.allowed), nominal)
		if end.within > 0 {
			text += fmt.Sprintf("; set to %s or %s, %s at most", t.both(end.within), end.further, InPlain(a.Few))
		}
		parts = append(parts, text)
	}
	if len(parts) == 0 {
		return ""
	}
	return cautionMark + strings.Join(parts, "; ") + "."
}

func (t Torque) held() string {
	if t.Allowed.LargestTolerance > 0 {
		return "the tolerance is the largest that the study lets be drawn"
	}
	return fmt.Sprintf("the tolerance is held to %s %% of the torque, unless torque.largest_tolerance in the study says otherwise", Plain(100*t.Advice.UsualShare))
}
