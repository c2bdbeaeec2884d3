package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/dist/fit"
	"clampodds/sim/result"
)

// Beyond is the probability of parts beyond a limit.
type Beyond struct {
	fit.Exceedance
	Family fit.Family `json:"family"`
	// Target and Verdict where a target was given. More is how many more readings decide an open one with the chance asked for; InAll
	// is how many would show a target met that so few cannot, were the fitted curve true.
	Target  *float64 `json:"target,omitempty"`
	Verdict string   `json:"verdict,omitempty"`
	More    int      `json:"more_readings,omitempty"`
	InAll   int      `json:"readings_in_all,omitempty"`
	// FewReadings says that it is open because so few readings leave the next part above a target, which they do not show to be missed.
	FewReadings bool   `json:"few_readings,omitempty"`
	Doubt       *Doubt `json:"doubt,omitempty"`
	Under       *Under `json:"under,omitempty"`
}

// Under says what a target that is met rests on.
type Under struct {
	Families []fit.Family `json:"families"`
	Given    bool         `json:"given,omitempty"` // they were asked for by name
	Heavy    *HeavyTail   `json:"heavy_tail,omitempty"`
}

// HeavyTail is the same probability under Student's t with fit.HeavyFreedom degrees of freedom.
type HeavyTail struct {
	Predictive float64 `json:"predictive"`
	Upper      float64 `json:"upper_bound"`
	Meets      bool    `json:"meets"`
}

// start goes between the verdict and what it is about; empty for none.
func (u *Under) start() string {
	if u == nil {
		return ""
	}
	var names []string
	for _, family := range u.Families {
		names = append(names, string(family))
	}
	text := " under " + strings.Join(names, ", ")
	if u.Given {
		text += " (given)"
	}
	return text
}

// end says what heavy tails would make of it; empty where the families are given.
func (u *Under) end() string {
	if u == nil || u.Heavy == nil {
		return ""
	}
	heavy := fmt.Sprintf("Student's t with %d degrees of freedom", fit.HeavyFreedom)
	if math.IsNaN(u.Heavy.Predictive) {
		return fmt.Sprintf(" None of these has heavy tails: %s the readings do not bound at all.", heavy)
	}
	if u.Heavy.Meets {
		return fmt.Sprintf(" With tails as heavy as those of %s it holds too: at most %s.", heavy, Probability(u.Heavy.Upper, 0, 0))
	}
	return fmt.Sprintf(" None of these has heavy tails: under %s it would be %s, at most %s, and the target not shown.", heavy, Probability(u.Heavy.Predictive, 0, 0), Probability(u.Heavy.Upper, 0, 0))
}

// Doubt is why a target that the fitted curve meets is undecided. Code is that of the warning; the rest is of the family that is
// not ruled out and does not meet it, where that is the reason.
type Doubt struct {
	Code       result.WarningCode `json:"code"`
	Family     fit.Family         `json:"family,omitempty"`
	Predictive float64            `json:"predictive,omitempty"`
	Upper      float64            `json:"upper_bound,omitempty"`
}

// text ends the sentence of the verdict.
func (d Doubt) text(fitted fit.Family, level string) string {
	switch d.Code {
	case fit.Outliers:
		return "But that rests on a column with an outlier."
	case fit.Repeats:
		return "But readings stand in the column twice, so that there are fewer than it says."
	case fit.Rejected:
		return fmt.Sprintf("But the readings speak against %s, on which this rests.", fitted)
	case fit.NotStable:
		return "But the process was not stable: what was read does not tell of parts to come."
	case fit.PilesUp:
		return "But readings pile up at an end of the column, as where a gauge shows no more: what lies beyond is not known."
	case fit.EndsAtReadings:
		return "But that is under uniform, which ends at the outermost readings; every family with tails is rejected, and what lies beyond is not shown. Mixed lots, a jump or a gauge that sticks look so."
	case fit.LotsDiffer:
		return "But that is of all readings together, and the lots differ: it says nothing of units of a new lot."
	}
	return fmt.Sprintf("But that is under %s; under %s, which the readings do not rule out, it is %s, with %s %% confidence at most %s. More readings tell the two apart; a family that is known is given by --family.",
		fitted, d.Family, Probability(d.Predictive, 0, 0), level, Probability(d.Upper, 0, 0))
}

func (f Fit) beyond() *Table {
	t := newTable("beyond_limits", "Probability of parts beyond the limits",
		numbers(f.head("limit")), texts("side", "family"), numbers("fitted curve as if true", "next part", "below, with confidence"))
	t.note("next part: with the uncertainty that so few readings leave. The last column is the bound at level " + Plain(100*f.Level) + " %.")
	if slices.ContainsFunc(f.Beyond, func(b Beyond) bool { return b.Predictive > b.Upper }) {
		t.note("A next part above the bound is no slip: it is a mean, and far out in a tail a small chance of quite other parameters makes most of it.")
	}
	for _, b := range f.Beyond {
		t.AddRow(Plain(b.Limit), b.Side, string(b.Family), Probability(b.PlugIn, 0, 0), Probability(b.Predictive, 0, 0), Probability(b.Upper, 0, 0))
	}
	return t
}

// verdict says of each limit whether the target holds, and how many readings would decide.
func (f Fit) verdict() (list List) {
	for _, b := range f.Beyond {
		if b.Verdict == "" {
			continue
		}
		text := fmt.Sprintf("%s%s: parts %s %s: probability for the next one %s, with %s %% confidence at most %s; target %s.", strings.ToUpper(b.Verdict), b.Under.start(), b.Side, strings.TrimSpace(Plain(b.Limit)+" "+f.Unit),
			Probability(b.Predictive, 0, 0), Plain(100*f.Level), Probability(b.Upper, 0, 0), ExactProbability(*b.Target))
		chance := Plain(100 * f.Chance)
		switch {
		case b.Under != nil:
			text += b.Under.end()
		case b.Doubt != nil:
			text += " " + b.Doubt.text(b.Family, Plain(100*f.Level))
		case math.IsNaN(b.Predictive):
			text += " The readings do not bound the parameters."
		case b.More > 0:
			text += fmt.Sprintf(" %s would decide (chance %s %%).", Counted(b.More, "more reading"), chance)
		case b.FewReadings && b.PlugIn > *b.Target:
			text += fmt.Sprintf(" The fitted curve alone, %s, is above the target, but so few readings do not show it with %s %% confidence.", Probability(b.PlugIn, 0, 0), Plain(100*f.Level))
		case b.FewReadings:
			text += fmt.Sprintf(" That is for want of readings: it counts what so few leave open, and the fitted curve alone, %s, is within the target.", Probability(b.PlugIn, 0, 0))
			if b.InAll > 0 {
				text += fmt.Sprintf(" Were it true, %d readings in all would show that (chance %s %%).", b.InAll, chance)
			}
		case b.Verdict == "undecided":
			text += fmt.Sprintf(" No number of readings that can be planned would decide (chance %s %%).", chance)
		}
		list = append(list, text)
	}
	return list
}
