package reports

import (
	"fmt"
	"math"
	"strings"
)

// text is a torque in the study's unit; other in the other one.
func (t Torque) text(x float64) string  { return torqueIn(t.Shown, x) }
func (t Torque) other(x float64) string { return torqueIn(t.Other, x) }

func torqueIn(u Unit, x float64) string { return Number(u.Of(x), torqueDigits(u, x)) }

// torqueDigits gives three digits or so of a torque.
func torqueDigits(u Unit, x float64) int {
	size := math.Abs(u.Of(x))
	if !(size > 0) || math.IsInf(size, 0) {
		return 0
	}
	return max(0, 2-int(math.Floor(math.Log10(size))))
}

func (t Torque) both(x float64) string {
	return fmt.Sprintf("%s %s (%s %s)", t.text(x), t.Shown.Label, t.other(x), t.Other.Label)
}

func (t Torque) headline() string {
	switch {
	case t.Mission != nil && t.Verdict == "yes":
		return fmt.Sprintf("YES: every requirement holds in every condition from %s of nominal torque.%s%s", t.window(t.Mission.Lower.Torque, t.Mission.Upper.Torque),
			beyondEnd("Below it", t.Mission.Lower, t.Lower), beyondEnd("Above it", t.Mission.Upper, t.Upper))
	case t.NotAllowed:
		return fmt.Sprintf("%s: every requirement holds in every condition from %s of nominal torque, but that is not allowed.", strings.ToUpper(t.Verdict), t.window(t.Mission.Lower.Torque, t.Mission.Upper.Torque))
	case !t.Provenance.Complete && t.AsWritten == "yes":
		return fmt.Sprintf("INCOMPLETE: the search was stopped before it was through every condition. As written, and on average over what is not known, every requirement holds from %s.", t.window(t.Lower.Safe, t.Upper.Safe))
	case !t.Provenance.Complete:
		return "INCOMPLETE: the search was stopped before it was through every condition. " + t.near()
	case t.Mission == nil:
		return "NO torque holds every requirement. " + t.collision()
	case t.narrow():
		return fmt.Sprintf("%s: every requirement holds in every condition from %s of nominal torque, but no step of the tool, %s %s, lies inside.%s%s", strings.ToUpper(t.Verdict),
			t.window(t.Mission.Lower.Torque, t.Mission.Upper.Torque), t.text(t.Allowed.Step), t.Shown.Label, beyondEnd("Below it", t.Mission.Lower, t.Lower), beyondEnd("Above it", t.Mission.Upper, t.Upper))
	case t.AsWritten == "yes":
		return fmt.Sprintf("%s: as written, and on average over what is not known, every requirement holds from %s. But no torque in it is shown to hold in every condition with what is not known.%s%s",
			strings.ToUpper(t.Verdict), t.window(t.Lower.Safe, t.Upper.Safe), t.neverHeld(t.Mission.Lower), t.neverHeld(t.Mission.Upper))
	}
	return fmt.Sprintf("%s: no torque is shown to hold in every condition with what is not known. %s%s%s", strings.ToUpper(t.Verdict), t.near(), t.neverHeld(t.Mission.Lower), t.neverHeld(t.Mission.Upper))
}

// narrow says that there is a window in every condition, and no step of the tool in it.
func (t Torque) narrow() bool {
	return t.Advice == nil && !t.Mission.Lower.None && !t.Mission.Upper.None && t.notMet() == nil
}

func (t Torque) window(low, high float64) string {
	return fmt.Sprintf("%s to %s %s (%s to %s %s)", t.text(low), t.text(high), t.Shown.Label, t.other(low), t.other(high), t.Other.Label)
}

// beyondEnd says what is beyond an end of the window in every condition: a condition, or
// else the end of the study as written, if anything.
func beyondEnd(where string, e TorqueMissionEnd, written TorqueEnd) string {
	switch {
	case e.Requirement != "":
		return fmt.Sprintf(" %s, %s is %s, %s.", where, e.Label, e.Beyond, e.Condition)
	case written.Requirement != "":
		return fmt.Sprintf(" %s, %s is not shown to hold, as written.", where, written.Label)
	}
	return fmt.Sprintf(" %s was not searched (--from, --to).", where)
}

// neverHeld names what is met at no torque.
func (t Torque) neverHeld(e TorqueMissionEnd) string {
	if !e.None {
		return ""
	}
	return fmt.Sprintf(" At every one of them %s is %s, %s.", e.Label, e.Beyond, e.Condition)
}

// bad is the decision at the torque that does not hold, where nothing is recommended.
func (t Torque) bad() string {
	at := t.notMet()
	if at == nil {
		return ""
	}
	return fmt.Sprintf("At %s %s it is %s: %s", t.text(at.Torque), t.Shown.Label, at.Decision.Verdict, at.Decision.reason())
}

// notMet is the recommended torque that does not hold in every condition; nil where
// none was recommended, or all do.
func (t Torque) notMet() *TorqueChecked {
	for i := range t.Checked {
		if c := &t.Checked[i]; c.Recommended && c.Decision.Verdict != "met" {
			return c
		}
	}
	return nil
}

// needed is what would decide at the torque that is not shown to hold.
func (t Torque) needed() []Block {
	at := t.notMet()
	if at == nil && len(t.Checked) > 0 {
		at = &t.Checked[len(t.Checked)-1]
	}
	if at == nil {
		return nil
	}
	return at.Decision.needed()
}

// collision says why there is no window, unless missed says so.
func (t Torque) collision() string {
	if len(t.Missed) > 0 {
		return ""
	}
	return fmt.Sprintf("%s needs at least %s, %s allows at most %s. They collide by %s %s.",
		t.Lower.Label, t.both(t.Lower.Torque), t.Upper.Label, t.both(t.Upper.Torque),
		t.text(t.Lower.Torque-t.Upper.Torque), t.Shown.Label)
}

// missed says which requirements hold nowhere, and what decides instead.
func (t Torque) missed() (parts []string) {
	for _, m := range t.Missed {
		verb, which := "misses", "every"
		if !m.shown() {
			verb, which = "is not shown to hold", "any"
		}
		text := fmt.Sprintf("%s %s its target %s at %s torque from %s to %s %s; the least is %s, at %s %s.", m.Label, verb,
			ExactProbability(m.Target), which, t.text(t.From), t.text(t.To), t.Shown.Label, estimateText(m.Best), t.text(m.Torque), t.Shown.Label)
		if m.Flat {
			text += " There the torque hardly matters: more of it does not help."
		}
		parts = append(parts, text)
		if len(m.Inputs) > 0 {
			parts = append(parts, fmt.Sprintf("What decides is %s.", m.Inputs[0].words()))
		}
	}
	return parts
}

// shown reports whether the miss is shown, not only estimated.
func (m TorqueMissed) shown() bool { return m.Best.Low > m.Target }

func (i InputShare) words() string {
	text := fmt.Sprintf("%s (%s): %s", i.Key, i.Meaning, i.Words)
	if i.Source != "" {
		text += "; source: " + i.Source
	}
	return text
}

// near says how near the ends are where they may collide as written.
func (t Torque) near() string {
	if len(t.Missed) > 0 {
		return ""
	}
	return strings.TrimSuffix(t.needs("needs", t.Lower)+t.needs("allows", t.Upper), " ")
}

// needs says what is known of an end, nothing where none is set.
func (t Torque) needs(verb string, e TorqueEnd) string {
	switch {
	case e.Requirement == "":
		return ""
	case math.IsInf(e.Torque, 0):
		return fmt.Sprintf("%s seems to hold however far was looked, but that is not shown. ", e.Label)
	}
	return fmt.Sprintf("%s %s %s (%s to %s). ", e.Label, verb, t.both(e.Torque), t.beyond(e.Low), t.beyond(e.High))
}

func (t Torque) advice() string {
	switch {
	case t.notMet() != nil:
		return "Nothing is recommended for the drawing."
	case t.NotAllowed:
		return "Nothing is recommended: the torques that are shown to hold are not allowed (" + t.allowedWords() + "), and those allowed are not shown to hold."
	case t.Verdict != "yes":
		return ""
	}
	a := *t.Advice
	return fmt.Sprintf("Recommended for the drawing: %s ± %s %s (%s ± %s %s), in steps of %s %s. The tolerance is for the setting; "+
		"the tool's own scatter (in the study, at %s %s: %s; %s, its limits moving along) comes on top and is in the numbers.",
		t.fixed(t.Shown, a.Torque), t.fixed(t.Shown, a.Tolerance), t.Shown.Label, t.fixed(t.Other, a.Torque), t.fixed(t.Other, a.Tolerance), t.Other.Label,
		Plain(t.Shown.Of(a.Step)), t.Shown.Label, t.text(t.Now), t.Shown.Label, t.Tool, scatterWords[t.Scatter])
}

// fixed prints a setting with the decimals of the step.
func (t Torque) fixed(u Unit, x float64) string {
	step := u.Of(t.Advice.Step)
	digits := 0
	for ; digits < 4 && math.Abs(step*math.Pow10(digits)-math.Round(step*math.Pow10(digits))) > 1e-6; digits++ {
	}
	if u.Label == t.Other.Label {
		digits = torqueDigits(u, t.Advice.Torque)
	}
	return Number(u.Of(x), digits)
}

var scatterWords = map[string]string{"fraction": "a fixed share of the torque", "absolute": "the same at every torque"}

func (t Torque) inside() string {
	where := map[string]string{
		"yes": "is inside", "no": "is outside", "undecided": "is not shown to be inside",
	}[t.Inside]
	if a := t.Allowed; t.Now < a.Least || a.Most > 0 && t.Now > a.Most {
		return fmt.Sprintf("The study's torque, %s %s, is not allowed: outside %s.", t.text(t.Now), t.Shown.Label, t.allowedWords())
	}
	if !t.Provenance.Complete {
		return ""
	}
	text := fmt.Sprintf("The study's torque, %s %s, %s.", t.text(t.Now), t.Shown.Label, where)
	if len(t.Checked) == 0 {
		return text
	}
	if at := t.Checked[len(t.Checked)-1]; at.Decision.Verdict != "met" && t.notMet() == nil {
		return fmt.Sprintf("At the study's torque, %s %s, it is %s: %s", t.text(t.Now), t.Shown.Label, at.Decision.Verdict, at.Decision.reason())
	}
	return text
}

// restsOn names the assumptions at the ends.
func (t Torque) restsOn() (parts []string) {
	for _, end := range []string{"lower", "upper"} {
		for _, w := range t.Widening {
			if w.End == end {
				parts = append(parts, fmt.Sprintf("The %s end rests most on %s.", end, w.words()))
				break
			}
		}
	}
	return parts
}

func (t Torque) basis() string {
	now := ""
	if t.Provenance.Complete {
		now = "At the study's torque the numbers are those of record. "
	}
	return fmt.Sprintf("Counted on %d %s at each torque; where an end is near, on some 10 000 drawn about the limit, the same at all torques. %sEach end at %s %%.",
		t.GridRows, t.GridOf, now, Plain(100*t.Provenance.Confidence))
}
