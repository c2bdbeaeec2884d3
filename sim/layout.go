package sim

import (
	"fmt"
	"math/bits"
)

// layout says how the rows of a run fall into groups, blocks and clusters.
// Clusters are the smallest sets of rows that are independent of each other:
// groups, or whole blocks where a block is one replicate.
type layout struct {
	rowsPerGroup int
	blockRows    int
	replicates   bool
	rows         int64 // planned; what was done in the layout of a result
	blocks       int64
	confidence   float64
}

// newLayout lays out a run whose numbers have been checked.
func newLayout(r *Run) layout {
	l := layout{
		rowsPerGroup: r.Scenarios[0].Inputs.RowsPerGroup(),
		blockRows:    r.BlockRows,
		replicates:   r.Sampler.Dependent(),
		confidence:   r.Confidence,
	}
	if l.blockRows == 0 {
		l.blockRows = 1024
		if l.replicates {
			power := bits.Len64(uint64(r.Samples/32)) - 1
			l.blockRows = 1 << min(max(power, 4), 12)
		}
	}
	k := l.rowsPerGroup
	l.blockRows = max(l.blockRows/k, 1) * k
	unit := int64(k)
	if l.replicates {
		unit = int64(l.blockRows)
	}
	l.rows = (r.Samples + unit - 1) / unit * unit
	l.blocks = (l.rows + int64(l.blockRows) - 1) / int64(l.blockRows)
	return l
}

// stretchRows is how many rows are worked on from points to outputs before the next: whole groups, and a multiple
// of 32, which models like; about 256, so that a hundred columns of them stay in a processor's second cache.
func (l layout) stretchRows() int {
	unit := 32 * l.rowsPerGroup
	return max(256/unit, 1) * unit
}

// unit says what the number of rows is a multiple of.
func (l layout) unit() string {
	if l.replicates {
		return fmt.Sprintf("whole replicates of %d samples", l.blockRows)
	}
	return fmt.Sprintf("whole chassis of %d cards", l.rowsPerGroup)
}

// done is the layout of the first blocks only.
func (l layout) done(blocks int64) layout {
	l.rows = min(l.rows, blocks*int64(l.blockRows))
	l.blocks = blocks
	return l
}

// rowsIn returns the number of rows of a block; the last may be shorter.
func (l layout) rowsIn(block int64) int {
	return int(min(int64(l.blockRows), l.rows-block*int64(l.blockRows)))
}

func (l layout) groups() int64 { return l.rows / int64(l.rowsPerGroup) }

// clusterRows is the number of rows in each cluster.
func (l layout) clusterRows() int {
	if l.replicates {
		return l.blockRows
	}
	return l.rowsPerGroup
}

func (l layout) clusters() int64 { return l.rows / int64(l.clusterRows()) }

// cube is the unit cube common to all scenarios of a run. A point stands for
// one group; it has one coordinate for each variable that the group shares and
// one for each row of the group for the others.
type cube struct {
	dimensions []string
	columns    []cubeColumn
	// of[s][i] is the column of variable i of scenario s.
	of [][]int
}

// cubeColumn is a variable's column of coordinates over the rows.
type cubeColumn struct {
	// dimension[c] is the dimension of the c-th rows of the groups; a shared
	// variable has but one, that of the first.
	dimension []int
}

// newCube lists the dimensions of the union of the scenarios' variables in the
// order in which they appear. A variable that one scenario shares over the
// group and another does not has the shared draw in common with the first rows.
func newCube(scenarios []Scenario) cube {
	var c cube
	dimensionOf := map[string]int{}
	type key struct {
		name   string
		shared bool
	}
	columnOf := map[key]int{}
	for _, s := range scenarios {
		var columns []int
		for _, v := range s.Inputs.Variables() {
			k := key{v.Name, v.Level.Shared()}
			column, known := columnOf[k]
			if !known {
				column = len(c.columns)
				columnOf[k] = column
				rows := s.Inputs.RowsPerGroup()
				if k.shared {
					rows = 1
				}
				c.columns = append(c.columns, cubeColumn{c.dimensionsOf(v.Name, rows, dimensionOf)})
			}
			columns = append(columns, column)
		}
		c.of = append(c.of, columns)
	}
	return c
}

// dimensionsOf returns the dimensions of a variable for the first rows of a
// group, adding those not there yet.
func (c *cube) dimensionsOf(variable string, rows int, known map[string]int) []int {
	var dimensions []int
	for row := range rows {
		name := variable
		if row > 0 {
			name = fmt.Sprintf("%s\x00%d", variable, row) // no variable has NUL in its name
		}
		d, seen := known[name]
		if !seen {
			d = len(c.dimensions)
			known[name] = d
			c.dimensions = append(c.dimensions, name)
		}
		dimensions = append(dimensions, d)
	}
	return dimensions
}

// fill spreads the coordinates of points, one for each group from the first on, over rows.
func (k cubeColumn) fill(rows []float64, points [][]float64, first, rowsPerGroup int) {
	for at, d := range k.dimension {
		for _, coordinate := range points[d][first:][:len(rows)/rowsPerGroup] {
			rows[at] = coordinate
			at += rowsPerGroup
		}
	}
}
