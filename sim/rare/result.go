package rare

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"

	"clampodds/sim/interval"
	"clampodds/sim/result"
)

// What the method needs to say anything.
const (
	fewestEvaluations = 2000
	fewestPerVariable = 20 // for the axes and a few gradients
)

// wantedShare of the probability must lie around centres that one search knew
// and the next came to by itself. Were a third of it missing in one of them, a
// factor of 1.5, the share would be 0.67; the draws know the share to 0.05 or so.
const wantedShare = 0.8

// Options steers Estimate. Every field must be set.
type Options struct {
	// Stream supplies the random numbers.
	Stream Stream
	// Evaluations bounds the rows the model is evaluated on, at least 2000
	// and at least 20 for each variable.
	Evaluations int
	// RelativeError is the relative standard error of the probability that the
	// number of draws is chosen for, above 0 and below 1; 0.1 is usual.
	RelativeError float64
	// Level is the confidence level of the intervals, above 0 and below 1.
	Level float64
}

func (o Options) validate(dim int) error {
	switch {
	case o.Stream == nil:
		return fmt.Errorf("rare: Options.Stream is nil")
	case o.Evaluations < max(fewestEvaluations, fewestPerVariable*dim):
		return fmt.Errorf("rare: Options.Evaluations is %d, must be at least %d for %d variables",
			o.Evaluations, max(fewestEvaluations, fewestPerVariable*dim), dim)
	case !(o.RelativeError > 0 && o.RelativeError < 1):
		return fmt.Errorf("rare: Options.RelativeError is %g, must lie between 0 and 1", o.RelativeError)
	case !(o.Level > 0 && o.Level < 1):
		return fmt.Errorf("rare: Options.Level is %g, must lie between 0 and 1", o.Level)
	}
	return nil
}

// Evidence says how far a probability is established.
type Evidence string

// The kinds of evidence.
const (
	// Established: the search came to its end, and a second one, which owes it
	// nothing, found the same ways to fail; or failures were counted. Of established
	// intervals of 95 % 5 in 100 miss the truth: 81 of 1615 of 27 limit states with
	// 20 000 evaluations, a standard error of 0.5 in 100, by seeds that nothing was
	// tuned on.
	Established Evidence = "established"
	// NotEstablished: the search was cut short, there was no second one or it found
	// other ways, or few draws carry the estimate.
	NotEstablished Evidence = "not established"
	// NoneSeen: no draw failed; the upper end of the interval is what the draws
	// around the origin among them support.
	NoneSeen Evidence = "no failure seen"
)

// Check is what the last exploration, which owes nothing to those before it, says
// about the density. It has the power to see that a factor of 1.5 is missing, as
// far as its walks come to a way at all: one that 6 % of the wide draws show is
// missed by 50 walks in 5 cases of 100.
type Check struct {
	// Searches counts the explorations; below 2 there was no check.
	Searches int
	// Known is the share of the probability around centres known before the last
	// exploration, Again that around centres that its walks came to.
	Known, Again float64
	// Walks of the last exploration, and the evaluations it took.
	Walks, Evaluations int
}

// Result is all that is known of a problem's probability.
type Result struct {
	// Probability is that of any event. Not established, it is the greatest of the
	// estimates with the range of them all, an envelope.
	Probability Probability
	// Events is the probability of each event, by the same method.
	Events []Probability
	// Evidence is explained by Reason.
	Evidence Evidence
	Reason   string
	// DesignPoints are the ways to fail found, nearest first.
	DesignPoints []DesignPoint
	// Centres are what importance sampling drew around beside the origin.
	Centres [][]float64
	// FirstOrder is 1 - prod (1 - Phi(-Beta)) over the design points: an
	// approximation without an error bound, for comparison only.
	FirstOrder float64
	// Importance holds the draws that count.
	Importance Importance
	Check      Check
	// Evaluations counts the rows the model was evaluated on, in all.
	Evaluations int
	Warnings    []result.Warning
}

// Established reports whether the probability may decide: also that of no failure
// seen, for which the interval is exact.
func (r Result) Established() bool { return r.Evidence != NotEstablished }

// Judge holds the probability against a target; 0 is none. One that is not
// established decides nothing.
func (r Result) Judge(target float64) result.Verdict {
	verdict := r.Probability.Judge(target)
	if verdict != result.NoTarget && !r.Established() {
		return result.Undecided
	}
	return verdict
}

// conclude says what the draws are worth.
func (a *assessment) conclude(drawn Importance) Result {
	r := Result{
		Probability: drawn.Union, Events: drawn.Events, DesignPoints: a.points, Centres: a.centres,
		FirstOrder: firstOrder(a.points), Importance: drawn, Evaluations: a.used, Evidence: NotEstablished,
	}
	slices.SortStableFunc(r.DesignPoints, func(p, q DesignPoint) int { return cmp.Compare(p.Beta, q.Beta) })
	if a.explorations > 1 && drawn.Failures > 0 {
		r.Check = a.recapture(drawn)
	}
	switch {
	case drawn.Failures == 0:
		r.Evidence, r.Reason = NoneSeen, fmt.Sprintf("none of %d draws failed", drawn.Evaluations)
	case drawn.Union.Method == CrudeSampling:
		r.Evidence, r.Reason = Established, fmt.Sprintf("%d of %d draws failed", drawn.Failures, drawn.Evaluations)
	case a.cut:
		r.Reason = "the search for ways to fail was cut short"
	case !drawn.sound():
		r.Reason = "few draws carry the estimate"
	case r.Check.Searches < 2:
		r.Reason = "the evaluations did not suffice for a second search"
	case min(r.Check.Known, r.Check.Again) < wantedShare:
		r.Reason = fmt.Sprintf("two searches found different ways to fail: the first those of %.0f %% of the estimate, the second those of %.0f %%",
			100*r.Check.Known, 100*r.Check.Again)
	default:
		r.Evidence = Established
		r.Reason = fmt.Sprintf("a second search came by itself to the ways of %.0f %% of it", 100*r.Check.Again)
	}
	if r.Evidence == NotEstablished {
		a.envelop(&r)
	}
	r.Warnings = a.cautions(r)
	return r
}

// envelop replaces the estimates by the range of all there are.
func (a *assessment) envelop(r *Result) {
	first := Probability{Value: r.FirstOrder, Interval: result.Interval{Low: r.FirstOrder, High: r.FirstOrder}}
	r.Probability = envelope(envelope(r.Probability, a.pilotResult.Union), first)
	r.Events = slices.Clone(r.Events)
	for e, p := range a.pilotResult.Events {
		r.Events[e] = envelope(r.Events[e], p)
	}
	if least := min(r.Check.Known, r.Check.Again); least > 0 {
		r.Probability.High = min(1, r.Probability.High/least)
	}
}

// envelope leaves out what has no value.
func envelope(p, q Probability) Probability {
	p.Method = Envelope
	if q.Value == 0 {
		return p
	}
	p.Low, p.High = min(p.Low, q.Low), max(p.High, q.High)
	if q.Value > p.Value {
		p.Value, p.StandardError = q.Value, q.StandardError
	}
	return p
}

func (a *assessment) cautions(r Result) (list []result.Warning) {
	if a.cut {
		list = append(list, result.Warn(SearchCutShort, "the search for ways to fail was cut short after %d evaluations", a.used-r.Importance.Evaluations))
	}
	switch {
	case r.Importance.Failures == 0:
		list = append(list, result.Warn(NoFailureSeen, "none of %d draws failed", r.Importance.Evaluations))
	case !r.Importance.sound():
		list = append(list, result.Warn(WeightsCollapsed, "%.3g effective draws, largest weight share %.2g",
			r.Importance.EffectiveDraws, r.Importance.LargestShare))
	}
	if relative := r.Importance.Union.RelativeError(); r.Importance.Failures > 0 && relative > amiss*a.RelativeError {
		why := "the draws were planned by a pilot that promised more; the interval is that of what was drawn"
		if len(a.centres) == 0 || r.Importance.Evaluations < a.needed {
			why = "more evaluations would narrow it"
		}
		list = append(list, result.Warn(TargetMissed, "relative standard error %.2g, wanted %.2g: %s", relative, a.RelativeError, why))
	}
	return list
}

func firstOrder(points []DesignPoint) float64 {
	if len(points) == 0 {
		return 0
	}
	survival := 0.0
	for _, p := range points {
		survival += math.Log1p(-p.Approximation())
	}
	return -math.Expm1(survival)
}

// The codes of warnings.
const (
	// SearchCutShort: the search for ways to fail did not come to its end: the
	// evaluations ran out, or the failures found need too many centres.
	SearchCutShort result.WarningCode = "rare-1"
	// WeightsCollapsed: a few draws carry the importance sampling estimate.
	WeightsCollapsed result.WarningCode = "rare-2"
	// TargetMissed: the relative standard error is greater than wanted.
	TargetMissed result.WarningCode = "rare-3"
	// NoFailureSeen: no draw failed; only the upper bound means something.
	NoFailureSeen result.WarningCode = "rare-4"
)

// Method names the way a probability was estimated.
type Method string

// The methods.
const (
	ImportanceSampling Method = "importance sampling around the design points"
	CrudeSampling      Method = "crude sampling"
	Envelope           Method = "envelope of the estimates"
)

// Probability is an estimate with a two-sided interval.
type Probability struct {
	Value float64 `json:"value"`
	result.Interval
	// Level is the confidence level of the interval [Low, High]. It covers the
	// sampling noise of the computation only.
	Level float64 `json:"level"`
	// StandardError of Value; 0 where no failure was seen.
	StandardError float64 `json:"standard_error"`
	Method        Method  `json:"method"`
}

// RelativeError is StandardError/Value, +Inf where Value is 0.
func (p Probability) RelativeError() float64 {
	if p.Value == 0 {
		return math.Inf(1)
	}
	return p.StandardError / p.Value
}

// Beta is the reliability index -Phi^-1(Value), +Inf where Value is 0.
func (p Probability) Beta() float64 { return -mathext.NormalQuantile(p.Value) }

// counted is the estimate from failures among n crude draws, with the exact
// interval of Clopper & Pearson.
func counted(failures, n int, level float64) Probability {
	p := Probability{Value: float64(failures) / float64(n), Level: level, Method: CrudeSampling}
	p.StandardError = math.Sqrt(p.Value * (1 - p.Value) / float64(n))
	p.Low, p.High = interval.ClopperPearson(float64(failures), float64(n), level)
	return p
}
