package card

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"

	"clampodds/joint/network"
)

// trapezoids is a train of wedge pieces seen from the side, solved in two
// dimensions: x along the train, z from the flange (0) to the rail (1). Lengths
// are in units of the height, conductances per width of the train in units of the
// conductivity, so that a coefficient is a Biot number h H/k.
//
// Odd pieces have their long base on the flange, even ones theirs on the rail; at
// half height every piece has the length, and the train ends square. The short
// bases stand free. Flange and rail are isothermal: what they add is not
// the pieces' conduction.
type trapezoids struct {
	pieces  int
	length  float64 // Lp/H
	angle   float64 // between ramp and screw axis
	base    float64 // conductance of the long base of the first piece over Lp W, H/k: the same heat whatever the base's length
	fall    float64 // by which the bases get worse from piece to piece; 1: none
	ramp    float64 // coefficient of the ramp face, H/k
	divided int     // cells over the height of a piece; half as many again along it
}

// conductance is the heat from flange to rail per kelvin, over conductivity times
// width. Bilinear elements minimise the energy over what they can represent, so
// that it comes down on the true value as the cells shrink (Dirichlet's principle).
func (t trapezoids) conductance() float64 {
	up := t.divided
	along := up + up/2
	column := up + 1
	nodes := t.pieces * (along + 1) * column
	m := mat.NewSymBandDense(nodes, column+1, nil)
	heat := mat.NewVecDense(nodes, nil)
	add := func(i, j int, v float64) {
		if i <= j {
			m.SetSymBand(i, j, m.At(i, j)+v)
		}
	}
	for p := range t.pieces {
		at := func(i, j int) int { return (p*(along+1)+i)*column + j }
		place := func(i, j int) (x, z float64) {
			z = float64(j) / float64(up)
			left, right := t.side(p, z), t.side(p+1, z)
			return left + (right-left)*float64(i)/float64(along), z
		}
		for i := range along {
			for j := range up {
				corner := [4][2]int{{i, j}, {i + 1, j}, {i + 1, j + 1}, {i, j + 1}}
				var x, z [4]float64
				for c, ij := range corner {
					x[c], z[c] = place(ij[0], ij[1])
				}
				stiffness := quadrilateral(x, z)
				for a := range 4 {
					for b := range 4 {
						add(at(corner[a][0], corner[a][1]), at(corner[b][0], corner[b][1]), stiffness[a][b])
					}
				}
			}
			// The long base: on the flange below the odd pieces, which come first, at 1;
			// on the rail above the even ones, at 0.
			j := up * (p % 2)
			first, _ := place(0, j)
			last, _ := place(along, j)
			h := t.baseOf(p) * t.length / (last - first)
			cell := (last - first) / float64(along)
			for _, pair := range [][3]float64{{0, 0, 2}, {0, 1, 1}, {1, 0, 1}, {1, 1, 2}} {
				add(at(i+int(pair[0]), j), at(i+int(pair[1]), j), h*cell*pair[2]/6)
			}
			if p%2 == 0 {
				for k := range 2 {
					heat.SetVec(at(i+k, j), heat.AtVec(at(i+k, j))+h*cell/2)
				}
			}
		}
		if p+1 < t.pieces {
			cell := t.ramp / math.Sin(t.angle) / float64(up)
			for j := range up {
				for _, pair := range [][3]float64{{0, 0, 2}, {0, 1, 1}, {1, 0, 1}, {1, 1, 2}} {
					a, b, v := int(pair[0]), int(pair[1]), cell*pair[2]/6
					here, next := at(along, j), at(along, j)+column
					add(here+a, here+b, v)
					add(next+a, next+b, v)
					add(here+a, next+b, -v)
				}
			}
		}
	}
	// Without mat.BandCholesky, which takes nine times as long for a condition number.
	factored, ok := lapack64.Pbtrf(m.RawSymBand())
	if !ok {
		panic("the train's matrix is not positive definite")
	}
	temperature := mat.VecDenseCopyOf(heat)
	lapack64.Pbtrs(factored, blas64.General{Rows: nodes, Cols: 1, Data: temperature.RawVector().Data, Stride: 1})
	// What the flange at 1 gives: the sum of h (1 - T) over its faces.
	flow := 0.0
	for i := range nodes {
		flow += heat.AtVec(i) * (1 - temperature.AtVec(i))
	}
	return flow
}

// baseOf is the coefficient of a piece's base.
func (t trapezoids) baseOf(p int) float64 { return t.base * math.Pow(t.fall, -float64(p)) }

// side is where the boundary before piece p (from 0) is at height z.
func (t trapezoids) side(p int, z float64) float64 {
	x := float64(p) * t.length
	if p == 0 || p == t.pieces {
		return x
	}
	slant := (0.5 - z) / math.Tan(t.angle)
	if p%2 == 0 { // an odd piece (index even) begins here
		slant = -slant
	}
	return x + slant
}

// quadrilateral is the conductance matrix of a bilinear element of conductivity 1,
// by two points of Gauss in each direction.
func quadrilateral(x, z [4]float64) (k [4][4]float64) {
	point := 1 / math.Sqrt(3)
	for _, r := range []float64{-point, point} {
		for _, s := range []float64{-point, point} {
			dr := [4]float64{-(1 - s) / 4, (1 - s) / 4, (1 + s) / 4, -(1 + s) / 4}
			ds := [4]float64{-(1 - r) / 4, -(1 + r) / 4, (1 + r) / 4, (1 - r) / 4}
			var xr, xs, zr, zs float64
			for c := range 4 {
				xr, xs = xr+dr[c]*x[c], xs+ds[c]*x[c]
				zr, zs = zr+dr[c]*z[c], zs+ds[c]*z[c]
			}
			area := xr*zs - xs*zr
			var dx, dz [4]float64
			for c := range 4 {
				dx[c] = (dr[c]*zs - ds[c]*zr) / area
				dz[c] = (ds[c]*xr - dr[c]*xs) / area
			}
			for a := range 4 {
				for b := range 4 {
					k[a][b] += (dx[a]*dx[b] + dz[a]*dz[b]) * area
				}
			}
		}
	}
	return k
}

// extrapolated is the conductance from two grids, the second of half the cell
// size, with an error of second order in the cells taken out, and how far the
// finer grid was off.
func (t trapezoids) extrapolated() (value, off float64) {
	coarse := t
	coarse.divided = t.divided / 2
	c, f := coarse.conductance(), t.conductance()
	value = f + (f-c)/3
	return value, math.Abs(f/value - 1)
}

// lumped is the same conductance by the pieces of the model.
func (t trapezoids) lumped(tb *testing.T) float64 {
	const k, width, height = 167.0, 6e-3, 8e-3
	l := testLayout(TwoFace, t.pieces)
	m := testModel(tb, l, map[string]float64{
		"clamp.length": t.length * height * float64(t.pieces), "clamp.width": width, "clamp.height": height,
		"clamp.ramp_angle": t.angle, "clamp.conductivity": k, "slot.width": height + 2.3e-3,
	})
	size := m.pieceSize(&m.newState().edges[0])
	b := &network.Builder{}
	flange := b.Node("flange")
	var g []float64
	face := func(p int) float64 { return t.baseOf(p) * t.length * k * width }
	for p := range t.pieces {
		node := b.Node(fmt.Sprint(p))
		if p%2 == 0 {
			b.Link(flange, node)
		} else {
			b.Ground(node)
		}
		g = append(g, 1/(1/face(p)+size.up))
		if p > 0 {
			b.Link(node-1, node)
			metal := behind(&size.end, &size.inner, p, t.pieces).resistance(face(p-1)) + behind(&size.end, &size.inner, p+1, t.pieces).resistance(face(p))
			g = append(g, 1/(math.Sin(t.angle)/(t.ramp*k*width)+metal))
		}
	}
	return 1 / (resistanceOf(tb, b, g) * k * width)
}

// resistanceOf is the temperature of node 0 heated by 1 W.
func resistanceOf(t *testing.T, b *network.Builder, g []float64) float64 {
	n, err := b.Compile()
	require.NoError(t, err)
	q := make([]float64, n.Nodes())
	q[0] = 1
	return n.Solve(g, q)[0]
}

// The one fraction is the continued fraction, and that is phi of a fin.
func TestUnevenlyIsAFin(t *testing.T) {
	assert.Equal(t, 1.0, unevenly(0))
	for y := 1e-3; y < 1e3; y *= 1.1 {
		assert.InEpsilon(t, 3/(3+y/(5+y/(7+y/(9+y/(11+y/(13+y/(15+y/17))))))), unevenly(y), 1e-15, "y = %g", y)
	}
	for y := 0.1; y < 8; y *= 1.1 { // the closed form loses digits below, the fraction terms above
		x := math.Sqrt(y)
		assert.InEpsilon(t, 3*(x/math.Tanh(x)-1)/y, unevenly(y), 1e-9, "y = %g", y)
	}
}

// A square ramp: what enters a rectangle evenly on one side and leaves it evenly on
// the next resists with a third of either depth, exactly (the potential is
// quadratic). Two end pieces are two such rectangles. The faces are weak enough
// for even heat to 1e-4.
func TestTrapezoidsBySquareRamp(t *testing.T) {
	for _, length := range []float64{0.75, 2} {
		square := trapezoids{pieces: 2, length: length, angle: math.Pi / 2, base: 1e-4, fall: 1, ramp: 1e-4, divided: 8}
		g, off := square.extrapolated()
		assert.Less(t, off, 1e-5)
		metal := 1/g - 2/(1e-4*length) - 1/1e-4
		assert.InEpsilon(t, 2*(length+1/length)/3, metal, 1e-3)
	}
}

// The grid: halving the cells quarters the error, so that the two grids of
// extrapolated leave less than 1e-4, a thirtieth of what the fit is held to.
func TestTrapezoidsConverge(t *testing.T) {
	c := trapezoids{pieces: 3, length: 2.3, angle: math.Pi / 4, base: 1, fall: 1, ramp: 1}
	var g [4]float64
	for i := range g {
		c.divided = 4 << i
		g[i] = c.conductance()
	}
	for i := range 2 {
		ratio := (g[i] - g[i+1]) / (g[i+1] - g[i+2])
		assert.InDelta(t, 4, ratio, 0.6, "corners of the faces take a little off the order")
	}
	fine := g[3] + (g[3]-g[2])/3
	c.divided = 16
	value, _ := c.extrapolated()
	assert.InEpsilon(t, fine, value, 1e-4)
}

// trapezoidTolerance is how far the lumped train may be off the two-dimensional
// one. Half the height and thirds of the length, without slant and feed, miss by 8
// to 12 % between the demo's faces and by up to 63 % between the best; halves of the
// length by up to 78 %.
const trapezoidTolerance = 0.03

// The lumped train against the two-dimensional one. base and ramp are h H/k: 0.024
// is 500 W/m2K, 2.4 is 30 000 W/m2K of 8 mm at 100 W/mK.
func TestPiecesAgainstTwoDimensions(t *testing.T) {
	for _, c := range []trapezoids{
		{3, 2.3, math.Pi / 4, 0.024, 1, 0.024, 12},
		{5, 2.3, math.Pi / 4, 0.3, 1, 1, 12},
		{7, 2.3, math.Pi / 4, 1.4, 1.2, 3, 12},
		{5, 1.5, math.Pi / 4, 2.4, 1, 2.4, 12},
		{3, 4, math.Pi / 4, 2.4, 1, 2.4, 12},
		{5, 2, math.Pi / 6, 1, 1.3, 2.4, 12},
		{5, 4, math.Pi / 3, 0.3, 1, 2.4, 12},
	} {
		exact, off := c.extrapolated()
		require.Less(t, off, 3e-3)
		assert.InEpsilon(t, exact, c.lumped(t), trapezoidTolerance, "%+v", c)
	}
}
