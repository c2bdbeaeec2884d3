package question

import (
	"fmt"
	"strings"

	"clampodds/sim"
)

// longestSentence is one that is read, and that no renderer cuts.
const longestSentence = 380

// Verdict is a sentence that says which requirements are met, by the study as
// written and in every condition of the mission; of those that are not, it names as
// many as there is room for.
func (a *Appendix) Verdict() (sentence string) {
	written, mission := map[string][]string{}, map[string][]string{}
	for _, q := range a.Run.Requirements {
		written[q.Verdict] = append(written[q.Verdict], q.Label)
	}
	if a.Run.Mission != nil {
		for _, q := range a.Run.Mission.Requirements {
			mission[q.Verdict] = append(mission[q.Verdict], q.Label)
		}
	}
	for named := max(len(a.Run.Requirements), 1); named > 0; named-- {
		first, all := byVerdict(written, named), byVerdict(mission, named)
		switch {
		case first == "":
			return "The study sets no target, so there is no verdict."
		case all == "":
			sentence = fmt.Sprintf("As written, %s.", first)
		default:
			sentence = fmt.Sprintf("As written, %s; over all conditions of the mission, %s.", first, all)
		}
		if len(sentence) <= longestSentence {
			break
		}
	}
	return sentence
}

// byVerdict counts requirements by their verdict, the worst first, and names up to
// so many of those that are not met.
func byVerdict(names map[string][]string, named int) string {
	all := 0
	for _, n := range names {
		all += len(n)
	}
	var parts []string
	for _, v := range []sim.Verdict{sim.NotMet, sim.Undecided, sim.Met} {
		n := names[v.String()]
		if len(n) == 0 {
			continue
		}
		of, are := "", "are"
		if len(parts) == 0 {
			of = fmt.Sprintf("of %d requirements ", all)
		}
		if len(n) == 1 {
			are = "is"
		}
		part := fmt.Sprintf("%d %s%s %s", len(n), of, are, v)
		switch {
		case all == 1:
			part = fmt.Sprintf("the one requirement is %s", v)
		case len(n) == all:
			part = fmt.Sprintf("all %d requirements are %s", all, v)
		}
		if v != sim.Met {
			part += " (" + listed(n, named) + ")"
		}
		parts = append(parts, part)
	}
	if len(parts) > 1 {
		return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
	}
	return strings.Join(parts, "")
}

// listed names requirements, the first ones where there are many.
func listed(names []string, most int) string {
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
}

// notKnown states which inputs are not known, and what that means.
func (a *Appendix) notKnown() string {
	var keys []string
	for _, in := range a.Inputs.Inputs {
		if in.Knowledge {
			keys = append(keys, in.Key)
		}
	}
	switch {
	case len(keys) == 0:
		return "The study takes every input as known up to its scatter from card to card, lot to lot or chassis to chassis: no lack of knowledge is in the probabilities."
	case len(a.Run.Knowledge) == 0:
		return subject(keys) + " not known and the same for all cards. The probabilities above mix this with the scatter: a measurement would move them all together. Every limit is clear without keeping them apart."
	}
	return subject(keys) + " not known and the same for all cards. The probabilities above mix this with the scatter: a measurement would move them all together. The table keeps the two apart."
}

// subject opens a sentence about inputs.
func subject(keys []string) string {
	if len(keys) == 1 {
		return "One input, " + keys[0] + ", is"
	}
	return fmt.Sprintf("%d inputs, marked * under Basis, are", len(keys))
}
