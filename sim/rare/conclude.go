package rare

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// conclude compares the two methods and chooses what to report.
func (a *assessment) conclude() Result {
	r := Result{
		DesignPoints: a.points, Importance: a.importance, Subset: a.subset, Evaluations: a.used,
		FirstOrder: firstOrder(a.points),
		Warnings:   slices.Concat(a.warnings, a.importance.Warnings, a.subset.Warnings),
	}
	slices.SortStableFunc(r.DesignPoints, func(p, q DesignPoint) int { return cmp.Compare(p.Beta, q.Beta) })
	byDraws := func() { r.Probability, r.Events = a.importance.Union, a.importance.Events }
	bySubsets := func() { r.Probability, r.Events = a.subset.Union, a.subset.Events }
	draws, subsets := a.importance.sound(), a.subset.sound()
	switch {
	case a.importance.Union.Method == CrudeSampling && a.subset.Union.Method == CrudeSampling:
		r.Verdict, r.Reason = OnlyOne, "no slope led anywhere: the crude draws of all methods are counted together"
		if r.Probability, r.Events = a.countAll(); r.Probability.Value == 0 {
			r.Verdict, r.Reason = NoneSeen, "no draw of any method failed"
		}
		r.Evaluations = a.used
	case draws && !subsets:
		r.Verdict, r.Reason = OnlyOne, "subset simulation found no steady way down to the failures"
		byDraws()
	case subsets && !draws:
		r.Verdict, r.Reason = OnlyOne, "the weights of importance sampling collapsed on few draws"
		bySubsets()
	case draws && subsets && a.importance.wide.overlaps(a.subset.wide):
		r.Verdict, r.Reason = Agree, fmt.Sprintf("the %g %% intervals overlap", 100*agreementLevel)
		byDraws()
		// Not simply the narrower one: that would favour a spread found too small.
		if relative := a.importance.Union.RelativeError(); relative > max(a.RelativeError, a.subset.Union.RelativeError()) {
			bySubsets()
		}
	default:
		r.Verdict, r.Reason = NotEstablished, "importance sampling and subset simulation disagree"
		if !draws {
			r.Reason = "neither importance sampling nor subset simulation gave a steady result"
		}
		r.Probability = envelope(a.importance.Union, a.subset.Union)
		for e := range a.Problem.Events {
			r.Events = append(r.Events, envelope(a.importance.Events[e], a.subset.Events[e]))
		}
	}
	return r
}

func envelope(p, q Probability) Probability {
	if q.Value > p.Value {
		p, q = q, p
	}
	p.Low, p.High, p.Method = min(p.Low, q.Low), max(p.High, q.High), Envelope
	return p
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
