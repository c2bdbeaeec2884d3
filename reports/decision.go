package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/sim/result"
)

// Decision is the verdict over every requirement in every condition that was judged, with
// the one that decides it.
type Decision struct {
	// Verdict is met, not met, undecided or no target.
	Verdict string `json:"verdict"`
	// ByMaker is what the clamp's maker says of the study's torque. Where that is not allowed the verdict is not met, whatever
	// it is by the targets alone, ByTargets, which is empty elsewhere.
	ByMaker
	ByTargets string `json:"by_targets,omitempty"`
	// Requirement, by name and in words with its limit, and Condition are where it is
	// decided: the first not met, else undecided, else met, and of those the one furthest
	// beyond its target or nearest to it; of limits that no card of record exceeded the nearest by its values. Alike are the
	// other conditions in which it does exactly the same.
	Requirement string   `json:"requirement"`
	Label       string   `json:"label"`
	Condition   string   `json:"condition"`
	Alike       []string `json:"alike,omitempty"`
	Target      float64  `json:"target"`
	// PerCard is the probability averaged over everything, what is not known included.
	PerCard Estimate `json:"per_card"`
	// Bound is its quantile over what is not known, at the confidence; null where that
	// was not kept apart: nothing is marked so, the policy is predictive, or too few cards
	// exceed to see it.
	Bound *Estimate `json:"with_confidence"`
	Rule
	// Wanting is what would decide an open verdict: "cards" or "knowledge".
	Wanting string `json:"wanting,omitempty"`
	// Needed says what must be known better to be clear with the chance given, input by input, the largest share
	// first, and last of all of them; empty where knowledge is not what is wanting.
	Needed []Needed `json:"needed,omitempty"`
	Chance float64  `json:"chance,omitempty"`
	// SettledBy is a finer accuracy that would settle what is open for want of cards, null where that cannot be told.
	SettledBy *Settling `json:"settled_by,omitempty"`
	// Counted says that the number was asked for by run --until as well.
	Counted bool `json:"-"`
	// Judged is the number of requirements, over all conditions, that were judged.
	Judged int `json:"judged"`
	// NoTemperature says that no temperature has a target, NotJudged are the limits without one, in words.
	NoTemperature bool     `json:"no_temperature,omitempty"`
	NotJudged     []string `json:"limits_without_target,omitempty"`
	// ShownOnly are conditions that are shown, and not judged.
	ShownOnly []string `json:"conditions_shown_only,omitempty"`
	// Limits are those asked for, by name, where the others were not judged.
	Limits []string `json:"limits,omitempty"`
	// LeftOut are the conditions of the mission, the study as written being one of them, that were not judged, by request.
	LeftOut []string `json:"conditions_left_out,omitempty"`
}

// Rule is how requirements are judged.
type Rule struct {
	// Confidence is that of the bound over what is not known. Policy is "confident", which holds targets against
	// it, or "predictive"; Assumed are inputs that are not known and taken to be as stated.
	Confidence float64  `json:"confidence"`
	Policy     string   `json:"policy"`
	Assumed    []string `json:"assumed,omitempty"`
	// Accuracy is that of the numbers of record, the half-width of an interval over the probability.
	Accuracy float64 `json:"accuracy"`
}

// words say the rule.
func (r Rule) words() string {
	text := fmt.Sprintf("A target holds where the probability, on average and with %s %% confidence over what is not known, is at or below it", Plain(100*r.Confidence))
	if r.Policy == "predictive" {
		text = "A target holds where the probability, averaged over what is not known, is at or below it"
	}
	if len(r.Assumed) > 0 {
		text += fmt.Sprintf(", if %s as assumed", are(r.Assumed))
	}
	return text + fmt.Sprintf(". Cards are drawn until that is clear, or the probability is known to %s %% of itself.", Plain(100*r.Accuracy))
}

// Sentence is the decision in words.
func (d Decision) Sentence() Paragraph {
	if d.Requirement == "" {
		return "NO VERDICT: the study sets no target."
	}
	return Paragraph(strings.ToUpper(d.Verdict) + withCaution(d.caution()) + d.ofWhich() + ": " + d.why())
}

// addDecision begins a result with the verdict, and its caution if it has one.
func (d *Document) addDecision(of *Decision) {
	d.Verdict = of.verdict()
	d.Add(of.Sentence())
	d.AddFilled(Paragraph(of.caution()))
}

// verdict is the decision as a table.
func (d *Decision) verdict() *Table {
	const caption = "The decision over every limit in every condition that was judged"
	if d.Requirement == "" {
		t := newTable("verdict", caption, texts("verdict"))
		t.AddRow(d.Verdict)
		return t
	}
	t := newTable("verdict", caption, texts("verdict", "by targets alone", "caution", "requirement", "condition"), numbers("probability", "low", "high", "with confidence", "low", "high", "target"))
	known := []string{"", "", ""}
	if d.Bound != nil {
		known = probabilityCells(*d.Bound)
	}
	t.AddRow(slices.Concat([]string{d.Verdict, d.ByTargets, hasCaution(d.caution()), d.Label, d.Condition}, probabilityCells(d.PerCard), known, []string{ExactProbability(d.Target)})...)
	return t
}

// caution is what goes with a verdict: what has no part in it, and that of the screws.
func (d *Decision) caution() string { return d.notOf(d.ByMaker.caution()) }

// WithCaution is ", with a caution" behind a verdict that has one.
func (d *Decision) WithCaution() string { return withCaution(d.caution()) }

// notOf puts before the caution of the screws what has no part in the verdict.
func (d *Decision) notOf(screws string) string {
	if d == nil {
		return screws
	}
	var parts []string
	if d.NoTemperature {
		parts = append(parts, "no temperature has a target, so that this says nothing of how hot a card runs.")
	}
	if len(d.NotJudged) > 0 {
		parts = append(parts, fmt.Sprintf("without a target no verdict is of %s.", listOf(d.NotJudged)))
	}
	if len(parts) == 0 {
		return screws
	}
	if screws != "" {
		parts = append(parts, strings.TrimPrefix(screws, cautionMark))
	}
	return cautionMark + strings.Join(parts, " ")
}

// why is the reason of the verdict: that of the targets, or what comes before them.
func (d Decision) why() string {
	if d.NotAllowed != "" {
		return fmt.Sprintf("%s. By the targets alone it is %s: %s", d.notAllowed(), d.ByTargets, d.reason())
	}
	return d.reason()
}

// ofWhich says behind a verdict what it is of, where conditions are left out.
func (d *Decision) ofWhich() string {
	if d == nil || len(d.LeftOut) == 0 {
		return ""
	}
	return ", in " + d.scope()
}

// scope is where it was judged: "every condition", or those that are not only shown, or the only one.
func (d *Decision) scope() string {
	switch {
	case d != nil && len(d.LeftOut) == 0 && len(d.ShownOnly) > 0:
		return "every judged condition"
	case d == nil || len(d.LeftOut) == 0:
		return "every condition"
	}
	if d.LeftOut[0] != asWritten {
		return fmt.Sprintf("the study as written alone (%s of its mission left out)", Counted(len(d.LeftOut), "condition"))
	}
	others := ""
	if n := len(d.LeftOut) - 1; n > 0 {
		others = " and " + Counted(n, "other condition")
	}
	return fmt.Sprintf("%s alone (the study as written%s left out)", d.Condition, others)
}

// asWritten is the name of the study itself among the conditions of its mission, of which it is the first.
const asWritten = "as written"

// reason is where it is decided, and by what.
func (d Decision) reason() (text string) {
	met := cmp.Or(d.ByTargets, d.Verdict) == "met"
	switch {
	case met && len(d.Limits) == 1 && d.Judged > 1:
		text = fmt.Sprintf("%s in every condition; nearest to its target is %s: ", d.Label, d.conditions())
	case met && len(d.Limits) > 1:
		text = fmt.Sprintf("every target asked for holds; nearest to its own is %s, %s: ", d.Label, d.conditions())
	case met && len(d.Limits) == 0:
		text = fmt.Sprintf("every target holds; nearest to its own is %s, %s: ", d.Label, d.conditions())
	default:
		text = fmt.Sprintf("%s, %s: ", d.Label, d.conditions())
	}
	if e := d.PerCard; e.Value == 0 && e.N > 0 {
		text += fmt.Sprintf("%s %s of record (%s)", noneOf(e), cardsOr(per(d.Requirement)), probabilityCells(e)[2])
	} else {
		text += inSentence(e) + " per " + per(d.Requirement)
	}
	text += d.inPlain(met) + "; target " + ExactProbability(d.Target) + "."
	if d.rough() && !d.Counted {
		text += fmt.Sprintf(" That is coarse: so few cards decide, and no more were drawn (run --until %s=5%%%s tells it closely).", d.Requirement, d.flag())
	}
	if met && d.PerCard.Value == 0 && d.Judged > 1 {
		text += " Among limits that no card of record exceeds, the nearest is told by the highest values of those cards."
	}
	switch {
	case d.Policy == "predictive":
		text += " What is not known is averaged over, like scatter: that average alone decides, and no confidence is stated."
	case d.Bound != nil:
		text += fmt.Sprintf(" Allowing for what is not known, it is at most %s with %s %% confidence.", inSentence(*d.Bound), Plain(100*d.Confidence))
	}
	switch {
	case d.Wanting == "knowledge":
		text += neededSentence(d.Needed, d.Chance)
	case d.Wanting == "cards":
		text += d.leftOpen()
	}
	if met && len(d.ShownOnly) > 0 {
		text += fmt.Sprintf(" Shown only, and not judged: %s.", listOf(d.ShownOnly))
	}
	if len(d.Assumed) > 0 {
		text += fmt.Sprintf(" All this if %s as assumed.", are(d.Assumed))
	}
	return text
}

// conditions are that of the decision and those alike.
func (d Decision) conditions() string {
	if len(d.Alike) == 0 {
		return d.Condition
	}
	return fmt.Sprintf("%s (the same in %s)", d.Condition, listOf(d.Alike))
}

// flag is what has a command look at the condition, empty for the study as written.
func (d Decision) flag() string {
	if d.Condition == asWritten || d.Condition == "" {
		return ""
	}
	return " --condition " + inShell(d.Condition)
}

// inShell quotes a word as a shell takes it: plainly in double quotes where nothing in it means anything there.
func inShell(word string) string {
	if strings.ContainsAny(word, "\"$`\\!") {
		return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
	}
	return `"` + word + `"`
}

// inPlain is the number in plain words, behind it: of a coarse one the end that decides. Empty where they say nothing.
func (d Decision) inPlain(met bool) string {
	switch e := d.PerCard; {
	case e.Value < leastPlain:
	case !d.rough():
		return ", " + InPlain(e.Value)
	case met:
		return ", at most " + InPlain(e.High)
	case e.Low >= leastPlain:
		return ", at least " + InPlain(e.Low)
	}
	return ""
}

// coarseFrom is the half-width of an interval, over the probability, from which on its second digit says nothing.
const coarseFrom = 1. / 3

// rough says that the verdict was clear before its number was: no cards are drawn for more.
func (d Decision) rough() bool {
	verdict := cmp.Or(d.ByTargets, d.Verdict)
	return (verdict == "met" || verdict == "not met") && d.PerCard.Value > 0 && (d.PerCard.High-d.PerCard.Low)/2 > coarseFrom*d.PerCard.Value
}

// Settling is an accuracy that takes so many times the cards, and the chance that these settle what is open.
type Settling result.Settling

// leastChance is that of an accuracy worth a run.
const leastChance = 0.2

// inWords says it; empty where nothing can be said.
func (s *Settling) inWords() string {
	if s == nil {
		return ""
	}
	if s.Chance < leastChance {
		return " No finer accuracy is likely to settle that: it lies too near for how closely it can be told. Where something is not known, knowing more of it moves it: drivers shows which input matters."
	}
	return fmt.Sprintf(" [verdict] accuracy = %s in the study, about %s times as many cards, would settle that with a chance of %.0f %% or more.", Plain(s.Accuracy), Plain(math.Round(s.Rows)), 100*s.Chance)
}

// leftOpen says why the cards of the decision do not decide, and what would.
func (d Decision) leftOpen() string {
	switch {
	case slices.ContainsFunc(d.PerCard.Warnings, func(w Warning) bool { return w.Code == "not-established" }):
		return " The search for the ways to exceed did not establish that: clampodds tail shows what it found."
	case d.Bound == nil && d.PerCard.High <= d.Target:
		return " On average the target holds. Over what is not known too few of the cards exceed to tell, and the most that the average allows there is above the target. A finer [verdict] accuracy takes more cards."
	}
	return " The cards of the decision leave it open: their interval reaches above the target." + d.SettledBy.inWords()
}

// where is the place of the decision in words.
func (d Decision) where() string {
	if d.Requirement == "" {
		return ""
	}
	return d.Label + ", " + d.Condition
}

// inSentence is a probability with its interval, or its bound where none was seen.
func inSentence(e Estimate) string {
	c := probabilityCells(e)
	if e.Value == 0 {
		return c[0] + " (" + c[2] + ")"
	}
	return fmt.Sprintf("%s (%s to %s)", c[0], c[1], c[2])
}

// cardsOr is a chassis or a card in the plural.
func cardsOr(per string) string {
	if per == "card" {
		return "cards"
	}
	return per
}

// are is "a is", or "a and b are".
func are(names []string) string {
	if len(names) == 1 {
		return names[0] + " is"
	}
	return listOf(names) + " are"
}

// listOf is "a", or "a, b and c".
func listOf(names []string) string {
	last := len(names) - 1
	if last < 1 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:last], ", ") + " and " + names[last]
}
