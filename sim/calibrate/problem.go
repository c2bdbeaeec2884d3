package calibrate

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
)

// Parameter is one unknown number.
type Parameter struct {
	Name string
	// Prior is what was known of it, any distribution with a spread.
	Prior dist.Distribution
}

// Sharing says which readings have one draw of a variable in common.
type Sharing int

// The ways of sharing, from the widest.
const (
	Common   Sharing = iota + 1 // all readings
	PerLot                      // those of one lot
	PerUnit                     // those of one unit
	PerSetup                    // those of one set-up
)

// Variable is a random input of the model besides the parameters. Its name keys
// its random numbers.
type Variable struct {
	Name    string
	Sharing Sharing
}

// Observation is one reading of one quantity.
type Observation struct {
	Value float64
	// Noise is the standard deviation of the reading's error, above 0, in the unit
	// of the value. Errors are normal and independent.
	Noise float64
	// Lot, Unit and Setup number what the reading was taken on. A set-up belongs to one
	// unit, a unit to one lot.
	Lot, Unit, Setup int
}

// Covariate is what residuals may follow: a value for each observation, such as
// the load at which it was read.
type Covariate struct {
	Name   string
	Values []float64
}

// Response computes what would be read without noise: y[o][k] receives
// observation o in draw k. A value that is not finite says that draw k could
// not have been observed; it is left out. It is safe for concurrent use and keeps
// no reference.
type Response func(parameters []float64, y [][]float64)

// Problem is what is to be inferred from what. Solve does not change it.
type Problem struct {
	Parameters []Parameter // one to three
	// Correlation of the normal scores of the parameters under the prior; nil for
	// none.
	Correlation  *mat.SymDense
	Variables    []Variable
	Observations []Observation
	// Model gets the draws once, scores[v][k] the independent standard normal
	// score of variable v in draw k, and returns the response at them. It may keep
	// the scores and must not change them.
	Model func(scores [][]float64) Response
	// Covariates are tested for trends of the residuals.
	Covariates []Covariate
	// Draws is the size of the sample of the variables; 0 chooses 512, or four
	// times the number of variables where that is more.
	Draws int
	// Seed fixes the draws; every value is valid, 0 included.
	Seed uint64
	// Workers is the number of goroutines; 0 for one per processor. Results do not
	// depend on it.
	Workers int
	// Confidence is the level of all intervals, in (0, 1).
	Confidence float64
	// Progress, if set, is told the number of responses computed and how many there
	// will be at most, as far as is known: more when the grid has to be moved often.
	// Calls do not overlap.
	Progress func(done, total int64)
}

// leastDraws keeps the part that is not linear in the variables known.
const (
	leastDraws       = 512
	drawsPerVariable = 4
)

// draws is the number of draws asked for or chosen.
func (p *Problem) draws() int {
	if p.Draws != 0 {
		return p.Draws
	}
	return max(leastDraws, drawsPerVariable*len(p.Variables))
}

// check refuses what cannot be solved.
func (p *Problem) check() error {
	switch n := len(p.Parameters); {
	case n < 1 || n > 3:
		return fmt.Errorf("parameters: %d, must be 1 to 3", n)
	case len(p.Observations) == 0:
		return errors.New("observations: there are none")
	case !(p.Confidence > 0 && p.Confidence < 1):
		return fmt.Errorf("confidence: %v, must be between 0 and 1", p.Confidence)
	case p.Workers < 0:
		return fmt.Errorf("workers: %d, must not be negative", p.Workers)
	case p.draws() < 2*len(p.Variables)+2:
		return fmt.Errorf("draws: %d, must be at least %d for %d variables", p.Draws, 2*len(p.Variables)+2, len(p.Variables))
	}
	for _, q := range p.Parameters {
		if q.Prior == nil || !(q.Prior.StdDev() > 0) {
			return fmt.Errorf("parameter %q: its prior has no spread", q.Name)
		}
	}
	for i, o := range p.Observations {
		if !(math.Abs(o.Value) <= math.MaxFloat64) {
			return fmt.Errorf("observation %d: value %v, must be finite", i, o.Value)
		}
		if !(o.Noise > 0 && o.Noise <= math.MaxFloat64) {
			return fmt.Errorf("observation %d: noise %v, must be above 0", i, o.Noise)
		}
	}
	for _, c := range p.Covariates {
		if len(c.Values) != len(p.Observations) {
			return fmt.Errorf("covariate %q: %d values for %d observations", c.Name, len(c.Values), len(p.Observations))
		}
	}
	return p.checkSharing()
}

// checkSharing refuses variables without a sharing, set-ups of two units and units of two lots.
func (p *Problem) checkSharing() error {
	for _, v := range p.Variables {
		if v.Sharing < Common || v.Sharing > PerSetup {
			return fmt.Errorf("variable %q: sharing %d is not one", v.Name, int(v.Sharing))
		}
	}
	unit, lot := map[int]int{}, map[int]int{}
	for i, o := range p.Observations {
		if u, seen := unit[o.Setup]; seen && u != o.Unit {
			return fmt.Errorf("observation %d: set-up %d is of unit %d and of unit %d", i, o.Setup, u, o.Unit)
		}
		if l, seen := lot[o.Unit]; seen && l != o.Lot {
			return fmt.Errorf("observation %d: unit %d is of lot %d and of lot %d", i, o.Unit, l, o.Lot)
		}
		unit[o.Setup], lot[o.Unit] = o.Unit, o.Lot
	}
	return nil
}

// share reports whether two observations have a draw of this sharing in common.
func (s Sharing) share(a, b *Observation) bool {
	switch s {
	case Common:
		return true
	case PerLot:
		return a.Lot == b.Lot
	case PerUnit:
		return a.Unit == b.Unit
	}
	return a.Setup == b.Setup
}

// values turns normal scores into values of the parameters.
func (p *Problem) values(scores []float64) []float64 {
	values := make([]float64, len(scores))
	for i, z := range scores {
		values[i] = dist.FromNormalScore(p.Parameters[i].Prior, z)
	}
	return values
}
