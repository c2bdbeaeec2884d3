package sim

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"
)

// Inputs is the random inputs of a model: variables, how they hang together and
// which of them the rows of a group share. A group is one chassis, its rows the
// cards. They are immutable and safe for concurrent use.
type Inputs struct {
	variables    []Variable
	rowsPerGroup int
	correlated   []correlatedBlock
	independent  []int // variables in no block
}

// correlatedBlock is a set of correlated variables: normal scores Lower z, z
// independent.
type correlatedBlock struct {
	index []int // into Inputs.variables, in the order of names
	lower *mat.TriDense
}

// NewPlan checks and keeps variables and the rank correlations between them, for
// groups of rowsPerGroup >= 1 rows. Within a set of connected correlations
// the variables are worked out in the order of their names: the first keeps
// its own random numbers, the others mix theirs with those before.
//
// An error names the variable or pair: names must be present, unique and free
// of NUL; levels and distributions set; both names of a correlation known,
// different and of the same level; a rank in (-1, 1); a pair stated once; and
// the correlations possible together (see RepairCorrelations).
func NewInputs(vars []Variable, corr []Correlation, rowsPerGroup int) (*Inputs, error) {
	if rowsPerGroup < 1 {
		return nil, fmt.Errorf("rows per group: %d, must be at least 1", rowsPerGroup)
	}
	index, err := indexVariables(vars)
	if err != nil {
		return nil, err
	}
	if err := checkCorrelations(vars, index, corr); err != nil {
		return nil, err
	}
	in := &Inputs{variables: slices.Clone(vars), rowsPerGroup: rowsPerGroup}
	inBlock := make([]bool, len(vars))
	for _, c := range connect(corr) {
		lower, err := c.factor()
		if err != nil {
			return nil, err
		}
		block := correlatedBlock{lower: lower}
		for _, name := range c.names {
			block.index = append(block.index, index[name])
			inBlock[index[name]] = true
		}
		in.correlated = append(in.correlated, block)
	}
	for i := range vars {
		if !inBlock[i] {
			in.independent = append(in.independent, i)
		}
	}
	return in, nil
}

// indexVariables checks the variables and maps their names to positions.
func indexVariables(vars []Variable) (map[string]int, error) {
	index := make(map[string]int, len(vars))
	for i, v := range vars {
		_, known := index[v.Name]
		switch {
		case v.Name == "":
			return nil, fmt.Errorf("variable %d has no name", i+1)
		case strings.ContainsRune(v.Name, 0):
			return nil, fmt.Errorf("variable %q: NUL in the name", v.Name)
		case known:
			return nil, fmt.Errorf("duplicate variable %q", v.Name)
		case v.Level < Design || v.Level > Face:
			return nil, fmt.Errorf("variable %q: unknown level %d", v.Name, v.Level)
		case v.Dist == nil:
			return nil, fmt.Errorf("variable %q has no distribution", v.Name)
		}
		index[v.Name] = i
	}
	return index, nil
}

func checkCorrelations(vars []Variable, index map[string]int, corr []Correlation) error {
	stated := map[[2]string]bool{}
	for _, c := range corr {
		a, knownA := index[c.A]
		b, knownB := index[c.B]
		pair := [2]string{min(c.A, c.B), max(c.A, c.B)}
		switch {
		case !knownA:
			return fmt.Errorf("correlation of %q and %q: no variable %q", c.A, c.B, c.A)
		case !knownB:
			return fmt.Errorf("correlation of %q and %q: no variable %q", c.A, c.B, c.B)
		case a == b:
			return fmt.Errorf("correlation of %q with itself", c.A)
		case vars[a].Level != vars[b].Level:
			return fmt.Errorf("correlation of %q and %q: drawn at different levels, %v and %v", c.A, c.B, vars[a].Level, vars[b].Level)
		case !(math.Abs(c.Rank) < 1):
			return fmt.Errorf("correlation of %q and %q: rank correlation %v, must be above -1 and below 1", c.A, c.B, c.Rank)
		case stated[pair]:
			return fmt.Errorf("duplicate correlation of %q and %q", c.A, c.B)
		}
		stated[pair] = true
	}
	return nil
}

// Variables returns the variables in the order of the columns; the caller
// must not change them.
func (in *Inputs) Variables() []Variable { return in.variables }

// RowsPerGroup returns the number of rows, cards of one chassis, in a group.
func (in *Inputs) RowsPerGroup() int { return in.rowsPerGroup }

// origin is the scenario and its variable whose column of values another takes over:
// where scenarios have a variable with the same points and the same distribution, the
// first of them works out its values for all.
type origin struct{ scenario, variable int }

// origins returns the origin of every variable of every scenario. Correlated variables
// are their own: their values follow from others' points too.
func (c *cube) origins(scenarios []Scenario) [][]origin {
	first := map[int][]origin{} // by column of the cube
	var all [][]origin
	for s, scenario := range scenarios {
		variables := scenario.Inputs.variables
		from := make([]origin, len(variables))
		for i := range from {
			from[i] = origin{s, i}
		}
		for _, i := range scenario.Inputs.independent {
			column := c.of[s][i]
			known := slices.IndexFunc(first[column], func(o origin) bool {
				return reflect.DeepEqual(scenarios[o.scenario].Inputs.variables[o.variable].Dist, variables[i].Dist)
			})
			if known >= 0 {
				from[i] = first[column][known]
			} else {
				first[column] = append(first[column], from[i])
			}
		}
		all = append(all, from)
	}
	return all
}
