package reports

import (
	"fmt"
	"slices"
	"strings"
)

// Unknown is the probability of exceeding a limit with lack of knowledge kept
// apart from variation: a distribution over the inputs that are not known.
type Unknown struct {
	Name  string `json:"name"`
	Label string `json:"label"`
	// Mixed is the probability per card with both kinds of input drawn alike, that
	// of the requirement.
	Mixed Estimate `json:"mixed"`
	// Median and Below are quantiles over the inputs that are not known, Below the
	// one of probability Confidence. Their intervals are those of the computation.
	Median     Estimate `json:"median"`
	Below      Estimate `json:"below"`
	Confidence float64  `json:"confidence"`
	// Inputs are not known; Evaluations cards were evaluated.
	Inputs      []string `json:"inputs"`
	Evaluations int64    `json:"evaluations"`
	// Spread and Misfit are in normal scores of the probability: its standard
	// deviation over the inputs, and what a smooth surface leaves of it.
	Spread float64 `json:"spread"`
	Misfit float64 `json:"misfit"`
}

// unknowns tabulates the limits with lack of knowledge kept apart.
func unknowns(all []Unknown) *Table {
	t := newTable("knowledge", "With lack of knowledge kept apart: probability per card")
	if len(all) == 0 {
		return t
	}
	percent := Plain(100*all[0].Confidence) + " %"
	t.Columns = slices.Concat(texts("requirement"), numbers("mixed", "median", "below, with "+percent, "low", "high"))
	for _, u := range all {
		t.AddRow(append([]string{u.Label, probabilityCells(u.Mixed)[0], probabilityCells(u.Median)[0]}, probabilityCells(u.Below)...)...)
	}
	t.Notes = []string{fmt.Sprintf("Not known, and the same for all cards: %s.", strings.Join(all[0].Inputs, ", ")), fmt.Sprintf(
		"With %s confidence the probability is below the value given, as far as the distributions of these inputs are right; low, high: its interval of the computation. mixed: both kinds of input drawn alike, as above. Limits that are clear without are left out; of one far below its target the values are bounds.", percent)}
	return t
}
