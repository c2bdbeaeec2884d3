package sim

import "fmt"

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
