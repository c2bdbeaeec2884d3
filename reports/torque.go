package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// TorqueSchema names the form of the JSON of a torque window.
const TorqueSchema = "clampodds.torque/1"

// Torque is the answer to "which torque goes on the drawing?". Torques are
// nominal ones, N*m; what the tool scatters about them is in the probabilities.
type Torque struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	// Verdict says whether there is a window: "yes", "no", "undecided"; Inside
	// whether the study's torque is in it.
	Verdict string  `json:"verdict"`
	Inside  string  `json:"study_torque_inside"`
	Now     float64 `json:"study_torque"`
	// Shown is the unit of the study, Other that of the other system.
	Unit  string `json:"unit"`
	Shown Unit   `json:"-"`
	Other Unit   `json:"-"`
	// Tool is the torque input in words, Scatter how it moves along.
	Tool    string         `json:"tool"`
	Scatter string         `json:"scatter"`
	From    float64        `json:"searched_from"`
	To      float64        `json:"searched_to"`
	Lower   TorqueEnd      `json:"lower_end"`
	Upper   TorqueEnd      `json:"upper_end"`
	Advice  *TorqueSetting `json:"recommended,omitempty"`
	// Mission is the window in every condition, with both kinds of not knowing, inside that
	// of the study as written; null where that has none.
	Mission *TorqueMission `json:"in_every_condition"`
	// Checked are the torques judged by the numbers of record, in every condition.
	Checked []TorqueChecked `json:"checked"`
	// Compared holds the recommended torque against the study's; Allowed is what the
	// recommendation keeps to; NotAllowed says that what is allowed by it and what is shown to
	// hold have nothing in common.
	Compared   []TorqueCompared `json:"compared,omitempty"`
	Allowed    TorqueAllowed    `json:"allowed"`
	NotAllowed bool             `json:"shown_not_allowed,omitempty"`
	Missed     []TorqueMissed   `json:"never_held,omitempty"`
	Needed     float64          `json:"needed_cards,omitempty"` // null: out of reach
	// Curves are the probabilities against the torque.
	Curves   []TorqueCurve    `json:"curves"`
	Widening []TorqueWidening `json:"widening,omitempty"`
	Warnings []Warning        `json:"warnings,omitempty"`
}

// TorqueEnd is an end of the torques at which a requirement holds. Torque is the
// estimate; the true end lies between Low and High with the confidence of the
// run, each null where it is beyond the search; Safe is the end on the safe side.
type TorqueEnd struct {
	Requirement string  `json:"requirement,omitempty"` // empty: none sets it
	Label       string  `json:"label,omitempty"`
	Torque      float64 `json:"torque"`
	Interval
	Safe float64 `json:"safe"`
}

// TorqueMission is the window in every condition.
type TorqueMission struct {
	Lower TorqueMissionEnd `json:"lower_end"`
	Upper TorqueMissionEnd `json:"upper_end"`
}

// TorqueMissionEnd is the last torque that is met; beyond it the requirement is not, in
// the condition: undecided, or not met. None names one where the window of the study as
// written ends first.
type TorqueMissionEnd struct {
	Torque      float64 `json:"torque"`
	Requirement string  `json:"requirement,omitempty"`
	Label       string  `json:"label,omitempty"`
	Condition   string  `json:"condition,omitempty"`
	Beyond      string  `json:"beyond,omitempty"`
	// None says that it is met at no torque that was looked at.
	None bool `json:"none"`
}

// TorqueSetting is a recommendation: good from Torque - Tolerance to Torque +
// Tolerance, in steps of the tool.
type TorqueSetting struct {
	Torque    float64 `json:"torque"`
	Tolerance float64 `json:"tolerance"`
	Step      float64 `json:"step"`
	// StudyLine is the line for the study; empty where the input holds more than numbers.
	StudyLine string `json:"study_line,omitempty"`
	// LeastBinds, MostBinds and ToleranceBinds say that what is allowed set it, not the window.
	LeastBinds     bool `json:"least_binds,omitempty"`
	MostBinds      bool `json:"most_binds,omitempty"`
	ToleranceBinds bool `json:"largest_tolerance_binds,omitempty"`
	// Room is the tolerance that the window and what is allowed leave; UsualShare holds it, over
	// the torque, where the study has no largest.
	Room       float64 `json:"tolerance_room"`
	UsualShare float64 `json:"usual_tolerance_share"`
}

// TorqueAllowed is what a recommendation keeps to; 0 is not asked. Torques in N*m.
type TorqueAllowed struct {
	Least            float64 `json:"least"`
	Most             float64 `json:"most"`
	Margin           float64 `json:"margin_to_ends"`
	LargestTolerance float64 `json:"largest_tolerance"`
	// ToolClass is the deviation that the tool's class permits, over the torque.
	ToolClass float64 `json:"tool_class"`
}

// TorqueCompared is one limit in one condition at the study's torque and at the recommended
// one.
type TorqueCompared struct {
	Name        string  `json:"name"`
	Label       string  `json:"label"`
	Condition   string  `json:"condition"`
	Target      float64 `json:"target"`
	Now         Judged  `json:"study_torque"`
	Recommended Judged  `json:"recommended"`
}

// TorqueChecked is the decision at a torque: a recommended one, or the study's.
type TorqueChecked struct {
	Torque      float64  `json:"torque"`
	Recommended bool     `json:"recommended"`
	Decision    Decision `json:"decision"`
}

// TorqueMissed is a requirement that holds at no torque.
type TorqueMissed struct {
	Label  string   `json:"label"`
	Target float64  `json:"target"`
	Torque float64  `json:"best_torque"`
	Best   Estimate `json:"best"`
	// Flat: more or less torque hardly matters there.
	Flat   bool         `json:"flat"`
	Inputs []InputShare `json:"inputs"`
}

// InputShare is an input with its share of the way to an exceedance.
type InputShare struct {
	Key     string  `json:"key"`
	Meaning string  `json:"meaning"`
	Words   string  `json:"words"`
	Source  string  `json:"source"`
	Share   float64 `json:"share"`
}

// TorqueCurve is the probability of exceeding a limit, per card, against the
// torque.
type TorqueCurve struct {
	Name   string        `json:"name"`
	Label  string        `json:"label"`
	Limit  float64       `json:"limit"`
	Unit   string        `json:"unit"`
	Shown  Unit          `json:"-"`
	Target float64       `json:"target"`
	Lower  TorqueEnd     `json:"lower_end"`
	Upper  TorqueEnd     `json:"upper_end"`
	Points []TorquePoint `json:"points"`
}

// TorquePoint is one point of a curve.
type TorquePoint struct {
	Torque float64 `json:"torque"`
	Tail   bool    `json:"by_tail_methods"`
	Estimate
}

// TorqueWidening is what half the spread of an input would bring: the end moves
// outward by Shift.
type TorqueWidening struct {
	End string `json:"end"` // lower, upper
	InputShare
	Shift   float64 `json:"shift"`
	AtLeast bool    `json:"at_least"` // it goes further than was looked
}

// Document draws the answer for people, the verdict first.
func (t Torque) Document() Document {
	d := Document{Title: "Which torque goes on the drawing? " + t.Provenance.Title}
	for _, p := range slices.Concat([]string{t.headline(), t.bad()}, t.missed(), []string{t.advice(), t.bounds(), t.tool(), t.inside()}, t.restsOn(), []string{t.basis()}) {
		d.AddFilled(Paragraph(p))
	}
	d.Add(t.needed()...)
	d.AddFilled(t.lines(), t.compared())
	d.Add(t.ends())
	d.AddFilled(t.widening())
	d.Add(t.course())
	d.addEnd(t.Warnings, t.Provenance.Table())
	return d
}

// Records draws the answer for programs: every point in a row of its own.
func (t Torque) Records() Document {
	d := Document{Title: "torque"}
	d.Add(t.verdict(), t.ends())
	d.AddFilled(t.widening())
	d.Add(t.points(), t.Provenance.Table())
	return d
}

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
	case t.Mission != nil:
		return fmt.Sprintf("%s: as written, and on average over what is not known, every requirement holds from %s. But no torque in it is shown to hold in every condition with what is not known.%s%s",
			strings.ToUpper(t.Verdict), t.window(t.Lower.Safe, t.Upper.Safe), t.neverHeld(t.Mission.Lower), t.neverHeld(t.Mission.Upper))
	case t.Verdict == "no":
		return "NO torque holds every requirement. " + t.collision()
	}
	return "UNDECIDED: " + t.undecided()
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

func (t Torque) undecided() string {
	text := ""
	if len(t.Missed) == 0 {
		text = t.needs("needs", t.Lower) + t.needs("allows", t.Upper)
	}
	if rows := t.Needed; rows > 0 && !math.IsInf(rows, 1) {
		return text + fmt.Sprintf("About %s cards would decide it (--samples).", Plain(roundUp(rows)))
	}
	if math.IsInf(t.Lower.Torque, 0) || math.IsInf(t.Upper.Torque, 0) {
		return text + "More cards (--samples) or more --evaluations may show it."
	}
	return text + "It lies so near the border that no number of samples in reach would decide it."
}

// roundUp rounds up to two digits.
func roundUp(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x))-1)
	return math.Ceil(x/power) * power
}

// needs says what is known of an end, nothing where none is set.
func (t Torque) needs(verb string, e TorqueEnd) string {
	switch {
	case e.Requirement == "":
		return ""
	case math.IsInf(e.Torque, 0):
		return fmt.Sprintf("%s seems to hold however far was looked, but that is not shown: neither counting nor the tail methods establish it. ", e.Label)
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
	case t.Advice == nil:
		return "No step of the tool lies inside: the window is narrower than its resolution."
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
	return fmt.Sprintf("%d cards in %d chassis at each torque near the ends, the same draws at all of them. Each end at %s %%.",
		t.Provenance.Samples, t.Provenance.Chassis, Plain(100*t.Provenance.Confidence))
}
