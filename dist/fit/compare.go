package fit

import (
	"cmp"
	"math"
	"slices"
	"strings"
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
// has a veto. A place means little where AICc differs by less than 2; fits then
// carry the warning NotDistinguishable.
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
	for _, f := range c.Fits {
		f.warnOfOthers(c.Fits)
	}
	return c, nil
}

func (f *Fit) warnOfOthers(all []*Fit) {
	var others []string
	for _, g := range all {
		if g != f && rank(g) == rank(f) && !(math.Abs(difference(f, g)) >= 2) {
			others = append(others, string(g.Family))
		}
	}
	if len(others) > 0 {
		f.Warnings = append(f.Warnings, warn(NotDistinguishable,
			"about as likely as %s (AICc within 2): %s", f.Family, strings.Join(others, ", ")))
	}
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
