// Package sensitivity says which inputs make the spread of an output, and which
// make the probability of exceeding a limit.
//
// Three questions, three tools:
//
//   - Independent inputs: Sobol gives for each input the share of the variance
//     that knowing it would remove on average (first-order index) and the share
//     that would remain if all others were known (total index). Firsts sum to 1
//     or less, totals to 1 or more; the gap is interaction.
//   - Correlated inputs: Sobol's sums do not hold. Shapley gives shares that are
//     never negative and sum to 1. An input without any causal effect still has
//     a share when it goes together with one that has: it explains through the
//     correlation. First and total are given beside it; their gap is the
//     correlation.
//   - A limit in the tail: Derivative gives the slope of the exceedance
//     probability with the mean or the spread of an input, from the samples of
//     the run itself.
//
// None of them is a tolerance decision by itself: to see what tightening one
// input brings, change its distribution and run again on the same draws.
//
// # Intervals
//
// Sobol and Shapley repeat everything in independent replicates; an interval is
// Student's t on the jackknife pseudo-values of the ratio to the variance, so
// that it holds for randomised quasi-Monte Carlo points too. Estimates are not
// cut at 0 or 1: a negative index is noise, and its interval says so.
//
// Everything here is pure and safe for concurrent use as far as the functions
// passed in are.
package sensitivity

import (
	"fmt"
	"math"
	"slices"

	"clampodds/sim/interval"
)

// Function evaluates rows: x[i][r] is input column i of row r, y[r] receives
// the output. It must not change x nor keep a reference. Sobol passes points of
// the open unit cube, Shapley correlated standard normal scores.
type Function func(x [][]float64, y []float64)

// Group is a set of input columns treated as one input, such as all instances
// of one input at one level.
type Group struct {
	Name    string
	Columns []int
}

// Index holds the indices of one group.
type Index struct {
	Name string
	// First is Var(E[Y|group])/Var(Y), Total is E[Var(Y|all others)]/Var(Y).
	First, Total interval.MeanInterval
	// Indistinguishable marks a group that the samples cannot tell from one
	// without effect: the interval of its total (of its share, in an Effect)
	// reaches down to 0 or the value is within rounding of it.
	Indistinguishable bool
}

// rounding is the size below which a share of variance is the output's rounding.
const rounding = 1e-12

func indistinguishable(m interval.MeanInterval) bool { return !(m.Low > 0) || m.Mean < rounding }

// ConstantOutputError says that the output has no spread to explain: all values
// equal Value to within rounding.
type ConstantOutputError struct{ Value float64 }

func (e *ConstantOutputError) Error() string {
	return fmt.Sprintf("the output is constant at %g: no input drives it", e.Value)
}

// NotFiniteError says that Count of Total outputs were infinite or NaN. The
// spread of such an output is not defined; ask for an event, 0 or 1, instead.
type NotFiniteError struct{ Count, Total int64 }

func (e *NotFiniteError) Error() string {
	return fmt.Sprintf("%d of %d outputs are not finite: their spread is not defined", e.Count, e.Total)
}

// extent follows the range of all outputs seen.
type extent struct {
	low, high       float64
	notFinite, seen int64
}

func newExtent() extent { return extent{low: math.Inf(1), high: math.Inf(-1)} }

func (e *extent) add(y []float64) {
	for _, v := range y {
		if math.IsNaN(v - v) {
			e.notFinite++
		}
		e.low, e.high = math.Min(e.low, v), math.Max(e.high, v)
	}
	e.seen += int64(len(y))
}

// checkExtents returns the error of an output, seen in parts, that cannot be analysed.
func checkExtents(parts []extent) error {
	e := newExtent()
	for _, part := range parts {
		e.low, e.high = math.Min(e.low, part.low), math.Max(e.high, part.high)
		e.notFinite, e.seen = e.notFinite+part.notFinite, e.seen+part.seen
	}
	switch {
	case e.notFinite > 0:
		return &NotFiniteError{Count: e.notFinite, Total: e.seen}
	case e.high-e.low <= rounding*math.Max(math.Abs(e.low), math.Abs(e.high)):
		return &ConstantOutputError{Value: e.low}
	}
	return nil
}

// minimumReplicates keeps Student's t and the jackknife meaningful.
const minimumReplicates = 5

// checkGroups returns an error unless every group has a name of its own and
// columns of its own within the dimensions.
func checkGroups(groups []Group, dimensions int) error {
	if len(groups) == 0 {
		return fmt.Errorf("groups: none given")
	}
	owner := map[int]string{}
	var names []string
	for _, g := range groups {
		if slices.Contains(names, g.Name) {
			return fmt.Errorf("group %q: named twice", g.Name)
		}
		names = append(names, g.Name)
		if len(g.Columns) == 0 {
			return fmt.Errorf("group %q: no columns", g.Name)
		}
		for _, c := range g.Columns {
			if c < 0 || c >= dimensions {
				return fmt.Errorf("group %q: column %d must be in [0, %d]", g.Name, c, dimensions-1)
			}
			if other, taken := owner[c]; taken {
				return fmt.Errorf("group %q: column %d belongs to group %q already", g.Name, c, other)
			}
			owner[c] = g.Name
		}
	}
	return nil
}

// checkRepetition returns an error unless replicates and level make intervals.
func checkRepetition(replicates int, level float64) error {
	if replicates < minimumReplicates {
		return fmt.Errorf("replicates %d: must be at least %d", replicates, minimumReplicates)
	}
	if !(level > 0 && level < 1) {
		return fmt.Errorf("level %g: must be in (0, 1)", level)
	}
	return nil
}
