package card

import (
	"math"
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"clampodds/joint/contact"
	"clampodds/joint/lanes"
)

// TestShapesOfABlock: sizes and bows of a block's cards have the bits that each card has alone.
func TestShapesOfABlock(t *testing.T) {
	needVectors(t)
	rapid.Check(t, func(t *rapid.T) {
		m, s := drawBlock(t, lanes.Count)
		for e := range s.edges {
			edge := &s.edges[e]
			b := &edge.pressed
			for lane := range s.count {
				for _, slot := range []int{clampHeight, clampWidth, flangeThickness, directFlatness, directBow, bodyProperty(clampBody, conductivity)} {
					edge.in.rows[slot][lane] *= rapid.Float64Range(0.9, 1.1).Draw(t, "by")
				}
				edge.blocks[flangeOnRail].Conductivity[lane] = rapid.Float64Range(1, 400).Draw(t, "conductivity")
				b.clamp.train.OnFlange[lane] = rapid.SampledFrom([]float64{0, 1e-3, 30, 3000}).Draw(t, "force")
			}
			m.shapeBlock(s, edge)
			together := b.shapes()
			for lane := range s.count {
				edge.in.lane = lane
				m.shape(edge)
			}
			for i, alone := range b.shapes() {
				for lane := range s.count {
					require.Equal(t, math.Float64bits(alone[lane]), math.Float64bits(together[i][lane]), "number %d of card %d", i, lane)
				}
			}
		}
	})
}

// shapes are the rows that shape sets.
func (b *edgeBlock) shapes() (list []lanes.Row) {
	list = append(list, b.under[:]...)
	list = append(list, b.crown, b.length, b.up, b.aside, b.end.third, b.end.feed, b.inner.third, b.inner.feed)
	for i := range reflect.TypeFor[contact.PartialBlock]().NumField() {
		list = append(list, reflect.ValueOf(b.bow).Field(i).Interface().(lanes.Row))
	}
	return list
}

// needVectors skips what compares them with single cards where a build with vectors runs without.
func needVectors(t *testing.T) {
	t.Helper()
	if lanes.Width > 1 && !lanes.Fast {
		t.Skip("the processor has no vectors")
	}
}

// drawBlock draws a model with a block of up to so many of its cards.
func drawBlock(t *rapid.T, most int) (*Model, *state) {
	m, err := New(drawBinding(t, drawLayout(t)))
	require.NoError(t, err)
	s := m.newState()
	s.gather(nil, nil, 0, rapid.IntRange(1, most).Draw(t, "cards"))
	return m, s
}
