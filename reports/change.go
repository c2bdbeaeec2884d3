package reports

import (
	"fmt"
	"math"
	"strings"
)

// ChangeSchema names the form of the JSON of a change.
const ChangeSchema = "clampodds.change/3"

// Change is the answer to "is the change safe?". Numbers are in SI units.
type Change struct {
	Schema string `json:"schema"`
	// Provenance is that of the run and of the study before; After names the
	// other study.
	Provenance Provenance `json:"provenance"`
	After      Named      `json:"after"`
	// Verdict is "safe", "not safe" or "undecided": that of DifferenceVerdict, on all
	// differences against the margin, empty where the targets alone are asked for, and of
	// TargetVerdict, "met", "not met", "undecided" or "no target", on the targets after the
	// change. The decisions are those on each design, in every condition.
	Verdict           string    `json:"verdict"`
	DifferenceVerdict string    `json:"difference_verdict"`
	TargetVerdict     string    `json:"target_verdict"`
	BeforeDecision    *Decision `json:"before_decision"`
	AfterDecision     *Decision `json:"after_decision"`
	// BelowLeast and AboveMost are how many screws get less, or more, than the clamp maker allows, after the change and before
	// it; null where they are too few to matter, or nobody says.
	BelowLeast *ScrewsBeyond `json:"torque_below_makers_least,omitempty"`
	AboveMost  *ScrewsBeyond `json:"torque_above_makers_most,omitempty"`
	// Same: the studies are the same in every input.
	Same bool `json:"same_in_every_input"`
	// Margin is the margin in words, MarginKind "absolute", "relative" or "target".
	Margin      string            `json:"margin"`
	MarginKind  string            `json:"margin_kind"`
	MarginValue float64           `json:"margin_value"`
	Differences []StudyDifference `json:"differences"`
	// Requirements are all limits that both studies have, in every condition that both
	// have; Judged is how many of their differences are judged together.
	Requirements []ChangeRequirement `json:"requirements"`
	Judged       int                 `json:"differences_judged"`
	// Deciding is the position of the difference that decides; -1 where none is judged.
	Deciding int `json:"deciding_requirement"`
	// Confidence is that of the bounds over what is not known; KnowingMore are the inputs
	// that carry most of that, where it leaves the difference open.
	Confidence  float64  `json:"confidence"`
	KnowingMore []string `json:"knowing_more,omitempty"`
	// Needed says what must be known better for the difference to be clear with the chance given, where the design after the change
	// alone tells of what is not known; as in a Decision.
	Needed []Needed `json:"needed,omitempty"`
	Chance float64  `json:"chance,omitempty"`
	// Condition is where the difference decides; Shifts and Steps are of it.
	Condition string  `json:"condition"`
	Shifts    []Shift `json:"shifts"`
	// Steps has the differences one at a time, and last all together; NotAlone says why
	// they are not taken one at a time.
	Steps    []ChangeStep `json:"steps"`
	NotAlone string       `json:"not_taken_apart,omitempty"`
	Warnings []Warning    `json:"warnings,omitempty"`
	// Distribution of the temperature limited first, after the change; nil where no
	// card is clamped.
	Distribution *Figure `json:"-"`
}

// Named is a study by its file, title and digest.
type Named struct {
	Study  string `json:"study"`
	Title  string `json:"title"`
	Digest string `json:"digest_sha256"`
}

// StudyDifference is one thing in which two studies differ.
type StudyDifference struct {
	Key     string `json:"key"`
	Meaning string `json:"meaning"`
	Before  string `json:"before"`
	After   string `json:"after"`
}

// ChangeRequirement is what the change does to one requirement in one condition, for one card.
type ChangeRequirement struct {
	Name        string  `json:"name"`
	Condition   string  `json:"condition"`
	Informative bool    `json:"informative,omitempty"`
	Label       string  `json:"label"`
	Limit       float64 `json:"limit"`
	Unit        string  `json:"unit"`
	Shown       Unit    `json:"-"`
	Target      float64 `json:"target"` // 0 without
	// Before and After are the numbers of record.
	Before Estimate `json:"before"`
	After  Estimate `json:"after"`
	Difference
	// LowTogether is the lower end at the level that all differences share: "not safe" rests
	// on it.
	LowTogether float64 `json:"low_together"`
	// Bound is the quantile, at the confidence over what is not known, of the difference
	// given it; for a relative margin, of what is left beyond it. Null where that was not
	// kept apart. BoundOfAfter: it is that of the probability after the change, which the difference cannot exceed; too few
	// cards exceed before it to keep the difference apart.
	Bound        *Estimate `json:"with_confidence"`
	BoundOfAfter bool      `json:"with_confidence_is_of_after,omitempty"`
	// Untouched: the same in every card.
	Untouched bool `json:"untouched"`
	// Verdict is that of the difference, empty where not asked; TargetVerdict that on the
	// design after the change, empty without a target. Wanting is what would decide: "cards"
	// or "knowledge"; SettledBy an accuracy whose cards would, null where that cannot be told.
	Verdict       string    `json:"verdict"`
	TargetVerdict string    `json:"target_verdict,omitempty"`
	Wanting       string    `json:"wanting,omitempty"`
	SettledBy     *Settling `json:"settled_by,omitempty"`
}

// ChangeStep is one difference by itself, in the condition that decides, or all together.
type ChangeStep struct {
	Key         string           `json:"key"`
	Differences []StepDifference `json:"differences"`
	Shifts      []Shift          `json:"shifts"`
}

// AllTogether is the key of the step that is the whole change.
const AllTogether = "all together"

// StepDifference is that of the probability of exceeding one requirement.
type StepDifference struct {
	Requirement string `json:"requirement"`
	Difference
}

// Document draws the answer for people, the verdict first.
func (c Change) Document() Document {
	d := Document{Title: fmt.Sprintf("Is the change safe? %s → %s", c.Provenance.Study, c.After.Study)}
	d.Add(c.answer()...)
	d.AddFilled(Paragraph(c.mattersMost()), Paragraph(c.basis()))
	if len(c.Differences) > 1 { // a single one is in the sentence above
		list := List{}
		for _, difference := range c.Differences {
			list = append(list, fmt.Sprintf("%s (%s): %s → %s", difference.Key, difference.Meaning, difference.Before, difference.After))
		}
		d.Add(Heading("What differs"), list)
	}
	d.AddFilled(c.Distribution)
	if len(c.Requirements) > 0 {
		d.Add(c.requirements(true))
	}
	if len(c.Needed) > 0 {
		d.Add(neededTable("needed_of_difference", "What would decide the difference", c.Needed, c.Chance))
	}
	d.Add(c.AfterDecision.needed()...)
	d.AddFilled(shiftTable(movedShifts(c.Shifts), "before", "after"), c.steps(), Paragraph(c.NotAlone))
	d.addEnd(c.Warnings, c.provenance())
	return d
}

// Records draws the answer for programs: every table in full.
func (c Change) Records() Document {
	d := Document{Title: "change"}
	d.Add(c.verdict(), c.differences(), c.requirements(false), shiftTable(c.Shifts, "before", "after"))
	d.AddFilled(c.steps())
	d.Add(c.provenance())
	return d
}

// answer is the headline, with the difference and the target that decide it; that the design
// before the change misses a target already comes first.
func (c Change) answer() (parts []Block) {
	if c.BeforeDecision != nil && c.BeforeDecision.Verdict == "not met" {
		misses := "misses a target"
		if c.BeforeDecision.NotAllowed != "" {
			misses = "is not met"
		}
		parts = append(parts, Paragraph("The design before the change "+misses+" already: "+c.BeforeDecision.why()))
	}
	parts = append(parts, Paragraph(c.headline()))
	if caution := c.caution(); caution != "" {
		parts = append(parts, Paragraph(caution))
	}
	if c.Deciding >= 0 {
		parts = append(parts, Paragraph("Difference: "+c.difference()))
		if open := c.open(); open != "" {
			parts = append(parts, Paragraph(open))
		}
	}
	if c.AfterDecision != nil && c.AfterDecision.Requirement != "" {
		parts = append(parts, Paragraph("Target after the change, "+c.AfterDecision.Verdict+": "+c.AfterDecision.why()))
	}
	return parts
}

// caution is that of the decision, the screws' beyond what the clamp maker allows unless the torque itself is not allowed.
func (c Change) caution() string {
	if c.AfterDecision != nil && c.AfterDecision.NotAllowed != "" {
		return ""
	}
	return c.AfterDecision.notOf(cautionOf("after the change ", c.BelowLeast, c.AboveMost))
}

// headline is the verdict and what it is made of.
func (c Change) headline() string {
	difference := map[string]string{
		"": "the targets alone are asked for", "safe": "every difference is within the margin, " + c.Margin,
		"not safe": "a difference is above the margin, " + c.Margin, "undecided": "a difference is not shown to be within the margin, " + c.Margin,
	}[c.DifferenceVerdict]
	if c.Same {
		difference = "the two studies are the same in every input, and the difference is exactly 0"
	}
	target := map[string]string{
		"met": "every target is met", "not met": "a target is not met", "undecided": "a target is undecided", "no target": "no target is set",
	}[c.TargetVerdict]
	if c.AfterDecision != nil && c.AfterDecision.NotAllowed != "" {
		target = c.AfterDecision.notAllowed()
	}
	return fmt.Sprintf("%s%s%s: %s; after the change %s.", strings.ToUpper(c.Verdict), withCaution(c.caution()), c.AfterDecision.ofWhich(), difference, target)
}

// difference is the one that decides.
func (c Change) difference() string {
	q := c.Requirements[c.Deciding]
	text := fmt.Sprintf("%s, %s: ", q.title(), q.Condition)
	if q.Untouched {
		return text + "not touched by the change, nor is any other limit."
	}
	text += fmt.Sprintf("per %s %s before, %s after. On draws common to both the change is %s.", per(q.Name), inSentence(q.Before), inSentence(q.After), q.intervalText())
	return text
}

// open is what stands behind the verdict on it: the bound over what is not known, and what would
// decide.
func (c Change) open() string {
	q, text := c.Requirements[c.Deciding], ""
	if q.Bound != nil && c.MarginKind == "absolute" {
		bound := Difference{Value: q.Bound.Value, Interval: q.Bound.Interval}.intervalText()
		text = fmt.Sprintf("Allowing for what is not known, the change is at most %s with %s %% confidence", bound, Plain(100*c.Confidence))
		if q.BoundOfAfter {
			text += "; that is what exceeds after it, since too few cards exceed before it to tell the difference by itself"
		}
		text += "."
	}
	switch {
	case c.MarginKind == "relative" && q.Before.Value == 0 && q.Verdict == "undecided":
		text += " It was never seen before the change: a share of that cannot be judged. Give an absolute margin, or ask for the target."
	case q.Wanting == "cards" && c.MarginKind == "absolute" && q.Low > c.MarginValue:
		text += fmt.Sprintf(" By itself it is above the margin. At the level that the %d differences judged together share its low end is not: more cards would tell, by a finer [verdict] accuracy.", c.Judged)
	case q.Wanting == "cards" && q.Bound == nil && c.MarginKind == "absolute" && q.High <= c.MarginValue:
		text += " On average it is within the margin. Over what is not known too few of the cards exceed to tell, and what exceeds after the change does not show it alone. A finer [verdict] accuracy takes more cards" + c.orKnowing() + "."
	case q.Wanting == "cards":
		text += " The cards drawn do not tell whether the difference is within what is allowed: the interval reaches above the margin." + q.SettledBy.inWords()
	case q.Wanting == "knowledge" && len(c.Needed) > 0:
		text += neededSentence(c.Needed, c.Chance)
	case q.Wanting == "knowledge":
		text += " No number of cards decides that" + c.orKnowing() + "."
	}
	return strings.TrimSpace(text)
}

// orKnowing says that knowing more may decide, and of what.
func (c Change) orKnowing() string {
	if len(c.KnowingMore) == 0 {
		return "; knowing more may"
	}
	return "; knowing more may, first of all " + listOf(c.KnowingMore)
}

// title is the requirement with its limit.
func (q ChangeRequirement) title() string {
	return q.Label + " above " + q.Shown.Text(q.Limit)
}

// mattersMost names the difference that the verdict rests on.
func (c Change) mattersMost() string {
	if len(c.Differences) == 0 {
		return ""
	}
	if len(c.Differences) == 1 {
		return fmt.Sprintf("It rests on one difference: %s.", c.Differences[0].words())
	}
	best, largest := -1, 0.0
	for i, s := range c.Steps[:max(0, len(c.Steps)-1)] {
		if size := math.Abs(s.of(c.decidingName()).Value); size > largest {
			best, largest = i, size
		}
	}
	if best < 0 {
		return ""
	}
	for _, d := range c.Differences {
		if d.Key == c.Steps[best].Key {
			return fmt.Sprintf("It rests most on %s.", d.words())
		}
	}
	return fmt.Sprintf("It rests most on %s.", c.Steps[best].Key)
}

func (d StudyDifference) words() string {
	return fmt.Sprintf("%s (%s), %s in place of %s", d.Key, d.Meaning, d.After, d.Before)
}

// decidingName is the requirement that decides; the first one where none does.
func (c Change) decidingName() string {
	if c.Deciding < 0 {
		return ""
	}
	return c.Requirements[c.Deciding].Name
}

// of is the difference of a requirement.
func (s ChangeStep) of(requirement string) (found Difference) {
	for _, d := range s.Differences {
		if d.Requirement == requirement {
			found = d.Difference
		}
	}
	return found
}

// basis says what the numbers rest on.
func (c Change) basis() string {
	p := c.Provenance
	of := "The shifts and the single differences below are"
	if len(c.Differences) == 1 {
		of = "The shifts below are"
	}
	return fmt.Sprintf("%s %s of %s, %s.", alikeForBoth, of, p.sampled(), c.Condition)
}

// alikeForBoth is what every number of a change rests on.
const alikeForBoth = "Both designs are computed on the same draws. What the two studies have in common, assumptions included, is taken as right for both."
