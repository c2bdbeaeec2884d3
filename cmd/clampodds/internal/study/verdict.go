package study

import (
	"fmt"
	"slices"
)

// Verdict is how requirements are judged: table [verdict].
type Verdict struct {
	// Predictive says that the probability averaged over what is not known decides
	// alone ("predictive"); else it must hold with the confidence of the intervals over
	// what is not known ("confident", unless given).
	Predictive bool
	// Assumed are the inputs that are taken to be as stated, though they are not known:
	// the verdict then says "if <input> is as assumed".
	Assumed []string
}

// The words of verdict.policy.
const (
	confident  = "confident"
	predictive = "predictive"
)

// verdict reads [verdict]; inputs are those of the study.
func (r *reader) verdict(inputs []Input) Verdict {
	var v Verdict
	if _, ok := r.entries["verdict.policy"]; ok {
		v.Predictive = r.oneOf("verdict.policy", confident, predictive) == predictive
	}
	e, ok := r.entries["verdict.assumed"]
	if !ok {
		return v
	}
	list, ok := e.value.([]any)
	if !ok {
		r.refuse(e, "", e.value, "a list of inputs in quotes is expected", `for instance ["contact.factor"]`)
	}
	for i, item := range list {
		key, _ := item.(string)
		at := slices.IndexFunc(inputs, func(in Input) bool { return in.Key == key && in.Knowledge })
		if at < 0 {
			r.refuse(e, fmt.Sprintf("[%d]", i), item, "no input of that name is marked as lack of knowledge", didYouMean(key, notKnown(inputs)))
			continue
		}
		inputs[at].Assumed = true
		v.Assumed = append(v.Assumed, key)
	}
	return v
}

// notKnown are the inputs marked as lack of knowledge.
func notKnown(inputs []Input) (keys []string) {
	for _, in := range inputs {
		if in.Knowledge {
			keys = append(keys, in.Key)
		}
	}
	return keys
}
