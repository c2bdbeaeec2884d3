package contact

// CoatCurves are the tables of coats cut at one K: curves over ln tau and ln zeta. A
// cell of them is worked out when a face first comes to it, and kept. The zero value
// is ready. Conduct writes to the curves of its faces' bodies: they serve one goroutine.
type CoatCurves struct {
	ratio  float64    // K of column and weight
	column int        // of the tables
	weight [4]float64 // of the columns

	half []cut[cubic]    // H, by cell of tauAxis
	wall []cut[[2]cubic] // A, by cell of zetaAxis
}

// cut is what the tables make of the K it was last worked out for.
type cut[T any] struct {
	ratio float64
	value T
}

// halfIn is the curve of H in a cell.
func (c *CoatCurves) halfIn(t *coatTable, cell int, ratio float64) *cubic {
	if c.half[cell].ratio != ratio {
		c.cutHalf(t, cell, ratio)
	}
	return &c.half[cell].value
}

func (c *CoatCurves) cutHalf(t *coatTable, cell int, ratio float64) {
	c.turnTo(ratio)
	var near [4]float64
	for i := range near {
		near[i] = dot(&c.weight, t.half[cell+i][c.column:])
	}
	c.half[cell] = cut[cubic]{ratio, cubicOf(&near)}
}

// wallIn are the curves of A in a cell.
func (c *CoatCurves) wallIn(t *coatTable, cell int, ratio float64) *[2]cubic {
	if c.wall[cell].ratio != ratio {
		c.cutWall(t, cell, ratio)
	}
	return &c.wall[cell].value
}

func (c *CoatCurves) cutWall(t *coatTable, cell int, ratio float64) {
	c.turnTo(ratio)
	at := &c.wall[cell]
	at.ratio = ratio
	for k := range at.value {
		var near [4]float64
		for i := range near {
			near[i] = dot(&c.weight, t.wall[cell+i][k][c.column:])
		}
		at.value[k] = cubicOf(&near)
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
	if c.half == nil {
		c.half, c.wall = make([]cut[cubic], tauAxis.nodes-1), make([]cut[[2]cubic], zetaAxis.nodes-1)
	}
}
