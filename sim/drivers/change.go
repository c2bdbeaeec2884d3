package drivers

import (
	"fmt"
	"slices"

	"clampodds/dist"
	"clampodds/sim"
)

// Change is what is done to an input.
type Change int

// The changes.
const (
	Fixed   Change = iota + 1 // at its mean
	Halved                    // spread, about the mean
	Lowered                   // mean, by one standard deviation
	Raised
)

// Changes lists the changes in the order of all results.
func Changes() []Change { return []Change{Fixed, Halved, Lowered, Raised} }

// String returns "fixed", "halved", "lowered" or "raised".
func (c Change) String() string {
	return [...]string{"", "fixed", "halved", "lowered", "raised"}[c]
}

// Apply returns the distribution after the change.
func (c Change) Apply(d dist.Distribution) (dist.Distribution, error) {
	switch c {
	case Fixed:
		return dist.WithSpread(d, 0)
	case Halved:
		return dist.WithSpread(d, 0.5)
	case Lowered:
		return moved(d, -1)
	case Raised:
		return moved(d, 1)
	}
	panic(fmt.Sprintf("drivers: change %d", int(c)))
}

// moved moves the mean by so many standard deviations. A support that starts at
// zero or near it would be moved below: it is scaled instead.
func moved(d dist.Distribution, by float64) (dist.Distribution, error) {
	mean, deviation := d.Mean(), d.StdDev()
	if !finite(mean) || !finite(deviation) {
		return nil, fmt.Errorf("mean %g and standard deviation %g must be finite to be moved", mean, deviation)
	}
	if low, _ := d.Support(); low >= 0 && low < deviation {
		return dist.Multiplied(d, max(0, 1+by*deviation/mean))
	}
	return dist.Shifted(d, by*deviation)
}

// with returns the inputs with one changed.
func (a *Analysis) with(in Input, c Change) (*sim.Inputs, error) {
	variables := a.scenario.Inputs.Variables()
	return a.scenario.Inputs.WithDistributions(func(v sim.Variable) (dist.Distribution, error) {
		its := func(column int) bool { return variables[column].Name == v.Name }
		if !slices.ContainsFunc(in.Columns, its) {
			return v.Dist, nil
		}
		d, err := c.Apply(v.Dist)
		if err != nil {
			return nil, fmt.Errorf("%s %s: %w", in.Name, c, err)
		}
		return d, nil
	})
}
