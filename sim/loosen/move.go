package loosen

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"clampodds/dist"
	"clampodds/sim"
)

// Kind says what of a tolerance is moved.
type Kind int

// The kinds.
const (
	// Spread multiplies the spread about the mean; limits go along.
	Spread Kind = iota + 1
	// Size multiplies the whole value: a deviation from the ideal form, a
	// roughness, which cannot be less than zero.
	Size
	// Limits multiplies the distance of inspection limits from the mean; what they
	// are cut from stays.
	Limits
	// Mean shifts the distribution, limits included.
	Mean
	// Share replaces a share of the draws by those of another distribution.
	Share
)

// String returns "spread", "size", "limits", "mean" or "share".
func (k Kind) String() string {
	if k < Spread || k > Share {
		return fmt.Sprintf("kind %d", int(k))
	}
	return [...]string{Spread: "spread", Size: "size", Limits: "limits", Mean: "mean", Share: "share"}[k]
}

// Move is an axis along which all variables of one study input move together.
// Make it with Widen, WidenLimits, ShiftMean, MoveMean or ReplaceShare.
type Move struct {
	Kind  Kind
	Input string
	// Base is the position of the design as it is: factor 1, shift or share 0.
	Base float64
	// Grid are rising positions, Base among them; its ends bound the search. A shift is in
	// the unit of the input.
	Grid []float64
	// Finest is how near an end is found.
	Finest float64
	// UpOnly says that only the upper end is asked for.
	UpOnly bool
	// Parts, if set, leaves only positions that are whole multiples of 1/Parts.
	Parts float64

	apply func(d dist.Distribution, at float64) (dist.Distribution, error)
}

// MostFactor bounds the factors of a spread, MostShift the shift of a mean in
// standard deviations.
const (
	MostFactor = 4
	MostShift  = 6
)

// Widen moves the spread of an input by a factor from 0 to MostFactor, as Widened
// does. An error says that there is no such input.
func Widen(inputs *sim.Inputs, input string) (Move, error) {
	d, err := distributionOf(inputs, input)
	if err != nil {
		return Move{}, err
	}
	return Move{
		Kind: widenedKind(d), Input: input, Base: 1, Grid: []float64{0, 1, MostFactor}, Finest: 0.02, UpOnly: true,
		apply: Widened,
	}, nil
}

// Widened returns d with its spread multiplied by factor: as a whole where d
// starts at exactly zero (Size), else about its mean (Spread). A factor that is
// negative or not finite gets an error.
func Widened(d dist.Distribution, factor float64) (dist.Distribution, error) {
	if widenedKind(d) == Size {
		return dist.Multiplied(d, factor)
	}
	return dist.WithSpread(d, factor)
}

func widenedKind(d dist.Distribution) Kind {
	if low, _ := d.Support(); low == 0 {
		return Size
	}
	return Spread
}

// WidenLimits moves the inspection limits of an input, those its distribution is
// cut at, by a factor from 1/4 to MostFactor. cut is false, and the Move of no
// use, when it is not cut.
func WidenLimits(inputs *sim.Inputs, input string) (m Move, cut bool, err error) {
	d, err := distributionOf(inputs, input)
	if err != nil {
		return Move{}, false, err
	}
	_, cut = d.(dist.Truncated)
	return Move{
		Kind: Limits, Input: input, Base: 1, Grid: []float64{0.25, 1, MostFactor}, Finest: 0.02, UpOnly: true,
		apply: func(d dist.Distribution, at float64) (dist.Distribution, error) {
			if t, cut := d.(dist.Truncated); cut { // in a condition it may be another
				return t.WithCuts(at)
			}
			return d, nil
		},
	}, cut, nil
}

// ShiftMean moves the mean of an input by up to MostShift standard deviations
// either way; half the distance between its 16 % and 84 % points stands for a
// standard deviation that is not finite.
func ShiftMean(inputs *sim.Inputs, input string) (Move, error) {
	d, err := distributionOf(inputs, input)
	if err != nil {
		return Move{}, err
	}
	deviation := d.StdDev()
	if !(deviation > 0 && deviation <= math.MaxFloat64) {
		deviation = (d.Quantile(0.84) - d.Quantile(0.16)) / 2
	}
	m := Move{Kind: Mean, Input: input, Finest: 0.05 * deviation, apply: dist.Shifted}
	for _, at := range []float64{-MostShift, -3, -1, 0, 1, 3, MostShift} {
		m.Grid = append(m.Grid, at*deviation)
	}
	return m, nil
}

// MoveMean moves the mean of an input one way, by a position from 0 to |most|: down where
// most is negative.
func MoveMean(inputs *sim.Inputs, input string, most float64) (Move, error) {
	d, err := distributionOf(inputs, input)
	if err != nil {
		return Move{}, err
	}
	if !(most != 0 && math.Abs(most) <= math.MaxFloat64) {
		return Move{}, fmt.Errorf("%s: a mean moved by %g: must be other than 0 and finite", input, most)
	}
	return Move{
		Kind: Mean, Input: input, Grid: []float64{0, math.Abs(most)}, Finest: 0.05 * d.StdDev(), UpOnly: true,
		apply: func(d dist.Distribution, at float64) (dist.Distribution, error) {
			return dist.Shifted(d, math.Copysign(at, most))
		},
	}, nil
}

// ReplaceShare replaces a share from 0 to 1 of the input's draws by those of
// other, as many as are whole parts of a lot.
func ReplaceShare(inputs *sim.Inputs, input string, other dist.Distribution, lot int64) (Move, error) {
	if _, err := distributionOf(inputs, input); err != nil {
		return Move{}, err
	}
	return Move{
		Kind: Share, Input: input, Grid: []float64{0, 1}, Finest: 1 / float64(lot), Parts: float64(lot), UpOnly: true,
		apply: func(d dist.Distribution, at float64) (dist.Distribution, error) {
			switch at {
			case 0:
				return d, nil
			case 1:
				return other, nil
			}
			if apart, err := dist.NewApart(at, other, d); err == nil {
				return apart, nil
			}
			if apart, err := dist.NewApart(1-at, d, other); err == nil {
				return apart, nil
			}
			return dist.NewMixture([]float64{1 - at, at}, []dist.Distribution{d, other})
		},
	}, nil
}

// Distribution returns what a distribution of the input becomes at a position.
func (m Move) Distribution(d dist.Distribution, at float64) (dist.Distribution, error) {
	return m.apply(d, at)
}

// scenario returns the scenario at a position; the model and the requirements
// stay.
func (m Move) scenario(base sim.Scenario, at float64) (sim.Scenario, error) {
	var err error
	base.Name = fmt.Sprintf("%s %s %g", m.Input, m.Kind, at)
	base.Inputs, err = base.Inputs.WithDistributions(func(v sim.Variable) (dist.Distribution, error) {
		if v.Input != m.Input || at == m.Base {
			return v.Dist, nil
		}
		return m.apply(v.Dist, at)
	})
	if err != nil {
		return sim.Scenario{}, fmt.Errorf("%s: %w", base.Name, err)
	}
	return base, nil
}

// straight makes probabilities nearly straight along the axis: of a mixture they are so in
// its share.
func (m Move) straight() func(ratio, target float64) float64 {
	if m.Kind == Share {
		return func(ratio, _ float64) float64 { return ratio }
	}
	return nil
}

// distributionOf returns the distribution of an input's variables, which are
// alike.
func distributionOf(inputs *sim.Inputs, input string) (dist.Distribution, error) {
	for _, v := range inputs.Variables() {
		if v.Input == input {
			return v.Dist, nil
		}
	}
	return nil, fmt.Errorf("input %q does not scatter", input)
}

// Set is one combination of steps on offer.
type Set struct {
	// Steps has the step taken of each choice.
	Steps []int
	Cost  float64
}

// Sets lists all combinations of steps, costs[i][k] being that of step k of choice i, by rising
// cost; of equal cost in the order of choices and steps. More than most are an error.
func Sets(costs [][]float64, most int) ([]Set, error) {
	sets := []Set{{}}
	for _, steps := range costs {
		if len(sets)*len(steps) > most {
			return nil, fmt.Errorf("more than %d combinations of steps", most)
		}
		var longer []Set
		for _, set := range sets {
			for i, cost := range steps {
				longer = append(longer, Set{Steps: append(slices.Clip(set.Steps), i), Cost: set.Cost + cost})
			}
		}
		sets = longer
	}
	slices.SortStableFunc(sets, func(a, b Set) int { return cmp.Compare(a.Cost, b.Cost) })
	return sets, nil
}
