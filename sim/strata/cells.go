package strata

import (
	"slices"

	"clampodds/dist"
	"clampodds/sim"
)

// jumping is a distribution in two parts that lie apart: its quantile jumps at a probability,
// and so does an output with it, which no direction follows.
type jumping interface{ Jump() float64 }

var _ jumping = dist.Apart{}

// cells divide the space by how many of the variables that jump are in the rarer of their two
// parts: none, one, or more. Without such variables there is one cell.
type cells struct {
	variable []int // by position, none in the direction
	rare     float64
	upper    bool // the rarer part is the upper one
	// ends[c][i][k] is the probability to end in cell c with k in the rarer part of the first
	// i variables.
	ends [][][]float64
}

// mostCells is how many cells there are: the last has all the numbers that the others have not.
const mostCells = 3

// cellsOf finds the variables that jump at the same probability as the first that does, each by itself.
func cellsOf(inputs *sim.Inputs) (c cells) {
	correlated := slices.Concat(inputs.CorrelatedSets()...)
	jump := 0.0
	for i, v := range inputs.Variables() {
		d, jumps := v.Dist.(jumping)
		if !jumps || v.Knowledge || slices.Contains(correlated, i) || jump > 0 && d.Jump() != jump {
			continue
		}
		jump = d.Jump()
		c.variable = append(c.variable, i)
	}
	c.rare, c.upper = jump, jump > 0.5
	if c.upper {
		c.rare = 1 - jump
	}
	n := len(c.variable)
	for cell := range min(n+1, mostCells) {
		ends := make([][]float64, n+1)
		for i := n; i >= 0; i-- {
			ends[i] = make([]float64, i+1)
			for k := range ends[i] {
				switch {
				case i < n:
					ends[i][k] = c.rare*ends[i+1][k+1] + (1-c.rare)*ends[i+1][k]
				case cellOf(k) == cell:
					ends[i][k] = 1
				}
			}
		}
		c.ends = append(c.ends, ends)
	}
	return c
}

// cellOf is the cell of so many variables in the rarer part.
func cellOf(rare int) int { return min(rare, mostCells-1) }

// across divides each cell into the strata.
func (c cells) across(slabs []stratum) (all []stratum) {
	for cell, ends := range c.ends {
		for _, s := range slabs {
			s.cell, s.probability = cell, ends[0][0]*s.slab
			all = append(all, s)
		}
	}
	return all
}

// of is the cell of row r.
func (c cells) of(z [][]float64, r int) int {
	rare := 0
	for _, v := range c.variable {
		if c.upper && dist.NormalSurvival(z[v][r]) < c.rare || !c.upper && dist.NormalCDF(z[v][r]) < c.rare {
			rare++
		}
	}
	return cellOf(rare)
}

// move brings the variables' points of the unit interval, u, into a cell, where each combination
// is as likely as it is there. What a point leaves beside the choice that it makes is uniform again.
func (c cells) move(cell int, u [][]float64, rows int) {
	if len(c.variable) == 0 {
		return
	}
	ends := c.ends[cell]
	for r := range rows {
		k := 0
		for i, v := range c.variable {
			p, chosen := u[v][r], c.rare*ends[i+1][min(k+1, i+1)]/ends[i][k]
			if p < chosen {
				k++
				u[v][r] = c.within(p/chosen, true)
			} else {
				u[v][r] = c.within((p-chosen)/(1-chosen), false)
			}
		}
	}
}

// within is a share of the way through a part.
func (c cells) within(share float64, rare bool) float64 {
	switch {
	case rare == c.upper: // the upper part
		part := 1 - c.rare
		if c.upper {
			part = c.rare
		}
		return openInterval(1 - part*(1-share))
	case rare:
		return openInterval(c.rare * share)
	}
	return openInterval((1 - c.rare) * share)
}

// moveScores is move of normal scores.
func (c cells) moveScores(cell int, z [][]float64, rows int) {
	u := make([][]float64, len(z))
	for _, v := range c.variable {
		u[v] = z[v][:rows]
		for r := range u[v] {
			u[v][r] = dist.NormalCDF(u[v][r])
		}
	}
	c.move(cell, u, rows)
	for _, v := range c.variable {
		dist.NormalQuantiles(u[v], u[v])
	}
}

// without is the direction among the variables that do not jump.
func (c cells) without(d direction) direction {
	if len(c.variable) == 0 {
		return d
	}
	var rest []int
	for _, v := range d.variable {
		if !slices.Contains(c.variable, v) {
			rest = append(rest, v)
		}
	}
	return d.restricted(rest)
}
