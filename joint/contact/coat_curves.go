package contact

// CoatCurves are the tables of coats cut at one K: curves over ln tau and ln zeta. The zero value is ready.
// Conduct writes to the curves of its faces' bodies: they serve one goroutine.
type CoatCurves struct {
	at   ratioPlace
	kept *coatCells // nil before the first; vectors have none
}

// coatCells are cells of the tables. One is worked out when a face first comes to it, and kept until another takes its
// slot, or K is another.
type coatCells struct {
	halfCell [halfSlots]int32 // which cell of tauAxis a slot has, counted from 1
	wallCell [wallSlots]int32 // likewise of zetaAxis
	half     [halfSlots]cubic
	wall     [wallSlots][2]cubic
}

// As many slots as faces of one body lie cells apart; few enough that all of a block of cards
// stay near the processor.
const (
	halfSlots = 16
	wallSlots = 32
)

// ratioPlace is where a K lies on the tables' axis.
type ratioPlace struct {
	ratio  float64
	column int
	weight [4]float64 // of the four coefficients that reach there
}

func placeOf(ratio float64) ratioPlace {
	cell, u := ratioAxis.find(logarithm(ratio))
	return ratioPlace{ratio, cell, weightsAt(u)}
}

// cutHalf puts the curve of H in a cell.
func (t *coatTable) cutHalf(to *cubic, cell int, at *ratioPlace) {
	c := t.half[cell][at.column:][:4]
	to.mix(&at.weight, &c[0], &c[1], &c[2], &c[3])
}

// cutWall puts the curves of A in a cell.
func (t *coatTable) cutWall(to *[2]cubic, cell int, at *ratioPlace) {
	c := t.wall[cell][at.column:][:4]
	for k := range to {
		to[k].mix(&at.weight, &c[0][k], &c[1][k], &c[2][k], &c[3][k])
	}
}

// halfIn is the curve of H in a cell, which is kept.
func (c *CoatCurves) halfIn(t *coatTable, cell int32) *cubic {
	slot := uint32(cell) % halfSlots
	if c.kept.halfCell[slot] != cell+1 {
		c.cutHalf(t, cell)
	}
	return &c.kept.half[slot]
}

func (c *CoatCurves) cutHalf(t *coatTable, cell int32) {
	slot := uint32(cell) % halfSlots
	c.kept.halfCell[slot] = cell + 1
	t.cutHalf(&c.kept.half[slot], int(cell), &c.at)
}

// wallIn are the curves of A in a cell, which are kept.
func (c *CoatCurves) wallIn(t *coatTable, cell int32) *[2]cubic {
	slot := uint32(cell) % wallSlots
	if c.kept.wallCell[slot] != cell+1 {
		c.cutWall(t, cell)
	}
	return &c.kept.wall[slot]
}

func (c *CoatCurves) cutWall(t *coatTable, cell int32) {
	slot := uint32(cell) % wallSlots
	c.kept.wallCell[slot] = cell + 1
	t.cutWall(&c.kept.wall[slot], int(cell), &c.at)
}

// turnTo makes them those of a K.
func (c *CoatCurves) turnTo(ratio float64) {
	if c.kept == nil {
		c.kept = new(coatCells)
	}
	if c.at.ratio != ratio {
		c.at = placeOf(ratio)
		clear(c.kept.halfCell[:])
		clear(c.kept.wallCell[:])
	}
}
