package contact

// CoatCurves are the tables of coats cut at one K: curves over ln tau and ln zeta. A
// cell of them is worked out when a face first comes to it, and kept. The zero value
// is ready. Evaluate writes to the curves of its pair: they serve one goroutine.
type CoatCurves struct {
	ratio  float64    // K of column and weight
	column int        // of the tables
	weight [4]float64 // of the columns
	halves []halfCell // by cell of tauAxis
	walls  []wallCell // by cell of zetaAxis
}

// halfCell and wallCell hold what the tables make of the K they were last used for.
type (
	halfCell struct {
		ratio float64
		curve cubic
	}
	wallCell struct {
		ratio float64
		curve [2]cubic
	}
)

// half is the curve of H in a cell.
func (c *CoatCurves) half(t *coatTable, cell int, ratio float64) *cubic {
	if c.halves[cell].ratio != ratio {
		c.cutHalf(t, cell, ratio)
	}
	return &c.halves[cell].curve
}

func (c *CoatCurves) cutHalf(t *coatTable, cell int, ratio float64) {
	c.turnTo(ratio)
	var rows [4]float64
	for i := range rows {
		rows[i] = dot(&c.weight, t.half[cell+i][c.column:])
	}
	c.halves[cell] = halfCell{ratio, cubicOf(&rows)}
}

// wall are the curves of A in a cell.
func (c *CoatCurves) wall(t *coatTable, cell int, ratio float64) *[2]cubic {
	if c.walls[cell].ratio != ratio {
		c.cutWall(t, cell, ratio)
	}
	return &c.walls[cell].curve
}

func (c *CoatCurves) cutWall(t *coatTable, cell int, ratio float64) {
	c.turnTo(ratio)
	at := &c.walls[cell]
	at.ratio = ratio
	for k := range at.curve {
		var rows [4]float64
		for i := range rows {
			rows[i] = dot(&c.weight, t.wall[cell+i][k][c.column:])
		}
		at.curve[k] = cubicOf(&rows)
	}
}

func (c *CoatCurves) turnTo(ratio float64) {
	if c.ratio != ratio {
		c.ratio = ratio
		c.column, c.weight = ratioAxis.find(logarithm(ratio))
	}
}

// ready makes room for the cells.
func (c *CoatCurves) ready() {
	if c.halves == nil {
		c.halves, c.walls = make([]halfCell, tauAxis.nodes-1), make([]wallCell, zetaAxis.nodes-1)
	}
}
