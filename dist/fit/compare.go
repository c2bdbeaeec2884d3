package fit

import (
	"cmp"
	"math"
	"slices"
	"sync"
)

// Comparison is several families fitted to one sample.
type Comparison struct {
	// Fits are those not rejected before those rejected, each by rising AICc.
	Fits    []*Fit
	Refused []Refusal
}

// Refusal says why a family could not be fitted.
type Refusal struct {
	Family Family
	Err    error
}

// Compare fits the families and ranks them: AICc ranks, the goodness-of-fit test
// has a veto. A first place means little where AICc differs by less than 2; the
// first fit then carries the warning NotDistinguishable.
func (s *Sample) Compare(families []Family, o Options) (Comparison, error) {
	if err := checkLevel(o.Level); err != nil {
		return Comparison{}, err
	}
	fits, errs := make([]*Fit, len(families)), make([]error, len(families))
	var all sync.WaitGroup
	for i, family := range families {
		all.Go(func() { fits[i], errs[i] = s.Fit(family, o) })
	}
	all.Wait()
	var c Comparison
	for i, family := range families {
		if errs[i] != nil {
			c.Refused = append(c.Refused, Refusal{family, errs[i]})
			continue
		}
		c.Fits = append(c.Fits, fits[i])
	}
	slices.SortStableFunc(c.Fits, better)
	if len(c.Fits) > 0 {
		best := c.Fits[0]
		for _, f := range c.Fits[1:] {
			if rank(f) == rank(best) && !(difference(f, best) >= 2) {
				best.Warnings = append(best.Warnings, warn(NotDistinguishable,
					"%s describes the readings about as well as %s (AICc %.4g and %.4g)", f.Family, best.Family, f.AICc, best.AICc))
			}
		}
	}
	return c, nil
}

func better(a, b *Fit) int {
	return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a.AICc, b.AICc), cmp.Compare(a.AIC, b.AIC))
}

// difference of AICc, of AIC where there are too few readings for it.
func difference(a, b *Fit) float64 {
	if d := a.AICc - b.AICc; !math.IsNaN(d) {
		return d
	}
	return a.AIC - b.AIC
}

// rank is 1 for a rejected fit.
func rank(f *Fit) int {
	if f.AndersonDarling.P < 0.05 {
		return 1
	}
	return 0
}
