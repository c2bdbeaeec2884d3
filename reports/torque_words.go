package reports

import (
	"fmt"
	"math"
	"slices"
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
	scope := t.scope()
	switch {
	case t.Mission != nil && t.Verdict == "yes":
		return fmt.Sprintf("YES%s: %s.%s%s", withCaution(t.caution()), t.holds(scope),
			beyondEnd("Below it", t.Mission.Lower, t.Lower), beyondEnd("Above it", t.Mission.Upper, t.Upper))
	case t.NotAllowed:
		return fmt.Sprintf("%s: every requirement holds in %s from %s of nominal torque, but that is not allowed. Allowed are %s.", strings.ToUpper(t.Verdict), scope, t.window(t.Mission.Lower.Torque, t.Mission.Upper.Torque), t.allowedWords())
	case !t.Provenance.Complete && t.AsWritten == "yes":
		return fmt.Sprintf("INCOMPLETE: the search was stopped before it was through every condition. As written, and averaged over what is not known, every requirement holds from %s.", t.onAverage())
	case !t.Provenance.Complete:
		return "INCOMPLETE: the search was stopped before it was through every condition. " + t.near()
	case t.Mission == nil:
		return "NO torque holds every requirement. " + t.collision()
	case t.narrow():
		return fmt.Sprintf("%s: every requirement holds in %s from %s of nominal torque, but no step of the tool, %s %s, lies inside.%s%s", strings.ToUpper(t.Verdict), scope,
			t.window(t.Mission.Lower.Torque, t.Mission.Upper.Torque), t.text(t.Allowed.Step), t.Shown.Label, beyondEnd("Below it", t.Mission.Lower, t.Lower), beyondEnd("Above it", t.Mission.Upper, t.Upper))
	case t.AsWritten == "yes":
		return fmt.Sprintf("%s: as written, and averaged over what is not known, every requirement holds from %s. But %s.%s%s",
			strings.ToUpper(t.Verdict), t.onAverage(), t.holdsNowhere("no torque in it"), t.neverHeld(t.Mission.Lower), t.neverHeld(t.Mission.Upper))
	}
	return fmt.Sprintf("%s: %s. %s%s%s", strings.ToUpper(t.Verdict), t.holdsNowhere("no torque"), t.near(), t.neverHeld(t.Mission.Lower), t.neverHeld(t.Mission.Upper))
}

// holdsNowhere says of no torque that it holds, where a limit is missed on average already, or that it is not shown to, for want of
// knowledge or of cards.
func (t Torque) holdsNowhere(none string) string {
	if m := t.Mission; m != nil && slices.ContainsFunc([]TorqueMissionEnd{m.Lower, m.Upper}, func(e TorqueMissionEnd) bool { return e.None && e.Beyond == "not met" }) {
		return none + " holds in " + t.scope()
	}
	return "with what is not known kept apart, " + none + " is shown to hold in " + t.scope()
}

// scope is where the torques are judged.
func (t Torque) scope() string {
	if len(t.Checked) == 0 {
		return (*Decision)(nil).scope()
	}
	return t.Checked[0].Decision.scope()
}

// onAverage is the window of the study as written, with what is no end of it and what of it is not allowed.
func (t Torque) onAverage() string {
	low, high := t.Lower.Safe, t.Upper.Safe
	text := t.window(low, high)
	switch {
	case t.Lower.Requirement == "" && t.Upper.Requirement == "":
		text += ", which is all that was searched (--from, --to)"
	case t.Lower.Requirement == "":
		text += "; lower ones were not searched (--from)"
	case t.Upper.Requirement == "":
		text += "; higher ones were not searched (--to)"
	}
	if a := t.Allowed; a.outside(low) || a.outside(high) {
		text += "; what is outside " + t.allowedWords() + ", is not allowed"
	}
	return text
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
	text := fmt.Sprintf(" At every torque searched %s is %s, %s", e.Label, e.Beyond, e.Condition)
	if e.Least != nil && e.Beyond == "not met" {
		text += fmt.Sprintf("; the least is %s per card, at %s", estimateText(e.Least.Estimate), t.both(e.Least.Torque))
	}
	return text + "."
}

// bad is the decision at the torque that does not hold, where nothing is recommended.
func (t Torque) bad() string {
	at := t.notMet()
	if at == nil {
		return ""
	}
	where := fmt.Sprintf("At %s %s it is ", t.text(at.Torque), t.Shown.Label)
	if not := t.notAllowed(at.Torque); not != "" {
		where = fmt.Sprintf("At %s %s, %s, it is by the targets alone ", t.text(at.Torque), t.Shown.Label, not)
	}
	return fmt.Sprintf("%s%s: %s", where, at.Decision.Verdict, at.Decision.reason())
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
	case t.NotAllowed:
		return "Nothing is recommended: " + t.disjoint("") + "."
	case t.notMet() != nil:
		return "Nothing is recommended for the drawing."
	case t.Verdict != "yes":
		return ""
	case t.noTolerance():
		return "Nothing is recommended for the drawing: " + t.oneStep() + ". A finer step of the tool (torque.resolution) may leave room, or what moves an end further out."
	}
	a := *t.Advice
	return fmt.Sprintf("Recommended for the drawing: %s ± %s %s (%s ± %s %s), in steps of %s %s. The tolerance is for the setting; "+
		"the tool's own scatter (in the study, at %s %s: %s; %s, its limits moving along) comes on top and is in the numbers.",
		t.fixed(t.Shown, a.Torque), t.fixed(t.Shown, a.Tolerance), t.Shown.Label, t.fixed(t.Other, a.Torque), t.fixed(t.Other, a.Tolerance), t.Other.Label,
		Plain(t.Shown.Of(a.Step)), t.Shown.Label, t.text(t.Now), t.Shown.Label, t.Tool, scatterWords[t.Scatter])
}

// disjoint is why nothing is recommended where there is a window, with what is allowed where that is not said already.
func (t Torque) disjoint(allowed string) string {
	return "the torques that are shown to hold are not allowed" + allowed + ", and those allowed are not shown to hold"
}

// noTolerance says that a step of the tool holds and is allowed, and those beside it do not or are not: no tool is set to a torque without
// a tolerance.
func (t Torque) noTolerance() bool { return t.Advice != nil && t.Advice.Tolerance == 0 }

func (t Torque) oneStep() string {
	return fmt.Sprintf("around %s no tolerance of a step, %s %s, is shown to hold and allowed", t.both(t.Advice.Torque), t.text(t.Allowed.Step), t.Shown.Label)
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
		"yes": "is inside the window", "no": "is outside the window", "undecided": "is not shown to be inside the window",
	}[t.Inside]
	if not := t.notAllowed(t.Now); not != "" {
		return fmt.Sprintf("The study's torque, %s %s, is %s. At it the study is not met, whatever the targets say.", t.text(t.Now), t.Shown.Label, not)
	}
	if !t.Provenance.Complete {
		return ""
	}
	text := fmt.Sprintf("The study's torque, %s %s, %s%s.", t.text(t.Now), t.Shown.Label, where, t.toTheDrawings())
	if len(t.Checked) == 0 {
		return text
	}
	own := t.Checked[len(t.Checked)-1].Decision
	switch at := t.notMet(); {
	case own.Verdict == "met":
	case at != nil && at.Torque == t.Now: // told already
		text = ""
	case at != nil:
		text = fmt.Sprintf("At the study's torque, %s %s, it is %s.", t.text(t.Now), t.Shown.Label, own.Verdict)
	default:
		text = fmt.Sprintf("At the study's torque, %s %s, it is %s: %s", t.text(t.Now), t.Shown.Label, own.Verdict, own.reason())
	}
	if caution := own.cautionAt("there "); caution != "" {
		text = strings.TrimSpace(text + " " + caution)
	}
	return text
}

// restsOn names the assumptions at the ends, but where what the clamp maker allows comes first.
func (t Torque) restsOn() (parts []string) {
	for _, end := range []string{"lower", "upper"} {
		if a := t.Advice; a != nil && (end == "lower" && a.LeastBinds || end == "upper" && a.MostBinds) {
			continue
		}
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
	return fmt.Sprintf("Counted on %d %s at each torque; where an end is near, on some 10000 drawn about the limit, the same at all torques. %sEach end at %s %%.",
		t.GridRows, t.GridOf, now, Plain(100*t.Provenance.Confidence))
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

// lines are to be copied, each as it stands: for the drawing in both units, and for the study, where a key has its name in full
// only outside of its table.
func (t Torque) lines() []Block {
	if t.Advice == nil || t.noTolerance() {
		return nil
	}
	blocks := []Block{Paragraph("To copy to the drawing:"), Code(t.drawingLine())}
	if caution := t.caution(); caution != "" {
		blocks = append(blocks, Paragraph(caution))
	}
	study := t.Advice.StudyLine
	if study == "" {
		return append(blocks, Paragraph("There is no line for the study: screw.torque rests on readings or lots, which are of the torque now; fit readings at the new one, or state the spread of the tool."))
	}
	return append(blocks,
		Paragraph("To copy to the study, under [screw] in place of torque:"), Code(strings.TrimPrefix(study, "screw.")),
		Paragraph("or to a study without a table [screw], such as one that extends this one, before its first table:"), Code(study))
}

// drawingLine is what goes on the drawing, in both units.
func (t Torque) drawingLine() string {
	return fmt.Sprintf("TIGHTEN CLAMP SCREW TO %s (%s)", t.Recommended(t.Shown), t.Recommended(t.Other))
}

// Recommended is the torque of the advice with its tolerance.
func (t Torque) Recommended(u Unit) string {
	return fmt.Sprintf("%s ± %s %s", t.fixed(u, t.Advice.Torque), t.fixed(u, t.Advice.Tolerance), u.Label)
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
