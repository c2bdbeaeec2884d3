package contact

// CoatCurves are the tables of coats cut at one K: curves over ln tau and ln zeta. A
// cell of them is worked out when a face first comes to it, and kept until another takes its
// slot, or K is another. The zero value is ready. Conduct writes to the curves of its faces'
// bodies: they serve one goroutine.
type CoatCurves struct {
	at       ratioPlace
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
	weight weights
}

func placeOf(ratio float64) ratioPlace {
	cell, u := ratioAxis.find(logarithm(ratio))
	return ratioPlace{ratio, cell, weightsAt(u)}
}

// halfAt is the curve of H in a cell.
func (t *coatTable) halfAt(cell int, at *ratioPlace) cubic {
	c := t.half[cell][at.column:][:4]
	return at.weight.mean(&c[0], &c[1], &c[2], &c[3])
}

// wallAt are the curves of A in a cell.
func (t *coatTable) wallAt(cell int, at *ratioPlace) (a [2]cubic) {
	c := t.wall[cell][at.column:][:4]
	for k := range a {
		a[k] = at.weight.mean(&c[0][k], &c[1][k], &c[2][k], &c[3][k])
	}
	return a
}

// halfIn is halfAt, kept in the slot that it returns.
func (c *CoatCurves) halfIn(t *coatTable, cell int32) (slot uint32) {
	slot = uint32(cell) % halfSlots
	if c.halfCell[slot] != cell+1 {
		c.cutHalf(t, cell)
	}
	return slot
}

func (c *CoatCurves) cutHalf(t *coatTable, cell int32) {
	slot := uint32(cell) % halfSlots
	c.halfCell[slot], c.half[slot] = cell+1, t.halfAt(int(cell), &c.at)
}

// copyHalf copies the curves of cells.
func (c *CoatCurves) copyHalf(t *coatTable, cells []int32, to []sideCurves) {
	for i, cell := range cells {
		to[i].half = c.half[c.halfIn(t, cell)]
	}
}

// wallIn is wallAt, kept in the slot that it returns.
func (c *CoatCurves) wallIn(t *coatTable, cell int32) (slot uint32) {
	slot = uint32(cell) % wallSlots
	if c.wallCell[slot] != cell+1 {
		c.cutWall(t, cell)
	}
	return slot
}

func (c *CoatCurves) cutWall(t *coatTable, cell int32) {
	slot := uint32(cell) % wallSlots
	c.wallCell[slot], c.wall[slot] = cell+1, t.wallAt(int(cell), &c.at)
}

// copyWall copies the curves of cells.
func (c *CoatCurves) copyWall(t *coatTable, cells []int32, to []sideCurves) {
	for i, cell := range cells {
		to[i].wall = c.wall[c.wallIn(t, cell)]
	}
}

// turnTo makes them those of a K.
func (c *CoatCurves) turnTo(ratio float64) {
	if c.at.ratio != ratio {
		c.at = placeOf(ratio)
		clear(c.halfCell[:])
		clear(c.wallCell[:])
	}
}
