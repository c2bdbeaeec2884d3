package result

// Verdict says how a number fares against its limit: a probability against the
// target, a change against its margin, a setting against what is required there.
type Verdict int

// The verdicts.
const (
	// NoTarget: there is nothing to hold the number against.
	NoTarget Verdict = iota
	// Met: the whole interval is at or below the limit.
	Met
	// NotMet: the whole interval is above the limit.
	NotMet
	// Undecided: the limit is inside the interval; more samples may settle it. It
	// never means met.
	Undecided
)

// String returns "no target", "met", "not met" or "undecided".
func (v Verdict) String() string { return [...]string{"no target", "met", "not met", "undecided"}[v] }

// Answer is the verdict as the answer to a question: "yes", "no" or "undecided".
func (v Verdict) Answer() string {
	switch v {
	case Met:
		return "yes"
	case NotMet:
		return "no"
	}
	return "undecided"
}

// All is the verdict on several requirements together: one not met decides, then one
// undecided. Without a target among them it is NoTarget.
func All(verdicts ...Verdict) Verdict {
	worst := NoTarget
	for _, v := range verdicts {
		if severity(v) > severity(worst) {
			worst = v
		}
	}
	return worst
}

// severity orders verdicts: no target, met, undecided, not met.
func severity(v Verdict) int { return [...]int{NoTarget: 0, Met: 1, Undecided: 2, NotMet: 3}[v] }
