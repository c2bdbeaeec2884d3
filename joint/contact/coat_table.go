package contact

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/mathext"

	"clampodds/joint/lanes"
)

// A coat of conductivity k_c on a body k, K = k_c/k, G = (K - 1)/(K + 1), throws
// images of the spot of strength 2 G^j at the depths 2 j t. With tau = t/a and
// zeta = t/b, 4 k_c a times the constriction is then (tube.go)
//
//	Psi = H(tau) - eps A_0(zeta) - eps^3 A_1(zeta) - eps^5 A_2(zeta)
//	H = 1 + 2 sum_j G^j F(2 j tau),  A_k = B_k(0) + 2 sum_j G^j B_k(2 j zeta)
//
// H and A_k depend on two numbers each, so two tables over the logarithms serve
// every coat, spot and draw. Both run from K (no coat) to 1 (thick coat); what is
// tabulated is their ratio to a guess that has both ends and the slope at 0 right.
type coatTable struct {
	half         []line[cubic]    // H over guess(1), by ln tau
	wall         []line[[2]cubic] // A_0, A_1 + middleEps^2 A_2 over guess(A_0 of a bare spot), by ln zeta
	spot         []spotCell       // by ln(P_l/H)
	bare         [2]float64
	bareConstant [2]lanes.Constant // the same
}

// middleEps2 is the eps^2 at which A_2 is taken together with A_1: that is off by
// 0.053 eps^3 (eps^2 - middleEps2), up to 7e-7 in the range of the spot law.
const middleEps2 = 0.0195

// line holds what a cell has for each of the spline coefficients over ln K.
type line[T any] [ratioNodes + 2]T

// Ranges of the tables; outside they are held at their ends.
const (
	leastCoatRatio = 1e-4 // K
	mostCoatRatio  = 100
	ratioNodes     = 94 // steps of 0.15 over these six decades
	leastTau       = 1e-6
	mostTau        = 4000     // at the least relative pressure zeta is 4 there
	leastZeta      = leastTau // so that a place on one axis is one on the other, ln eps further
	mostZeta       = 3        // beyond, the body is not felt: exp(-2 d_1 zeta) < 2e-10
	// mostCoatPressure is the relative pressure up to which the spots are told from
	// the pressure; C is good to 1.4e-5 there.
	mostCoatPressure = 0.04
)

var (
	ratioAxis = axis{math.Log(leastCoatRatio), ratioNodes}
	tauAxis   = axisOver(math.Log(leastTau), math.Log(mostTau))
	zetaAxis  = axisOver(math.Log(leastZeta), math.Log(mostZeta))
	spotAxis  = axisOver(math.Log(leastRelativePressure), math.Log(mostCoatPressure))
)

// coats is made when the first coat is met; it takes some hundredths of a second.
var coats = sync.OnceValue(newCoatTable)

func newCoatTable() *coatTable {
	u := newTube()
	t := &coatTable{bare: folded(u.image(0))}
	t.bareConstant = [2]lanes.Constant{lanes.Same(t.bare[0]), lanes.Same(t.bare[1])}
	t.half = make([]line[cubic], tauAxis.nodes-1)
	half := sampled(tauAxis, func(tau float64) func(ratio float64) [1]float64 {
		images := imagesOf(func(j float64) orders { return orders{spotImage(2 * j * tau)} })
		return func(ratio float64) [1]float64 { return [1]float64{sumImages(images, ratio)[0] / guess(1, ratio, tau)} }
	})
	fitSurface(len(half), func(row, column int) float64 { return half[row][column][0] }, func(cell, column int) *cubic { return &t.half[cell][column] })
	t.wall = make([]line[[2]cubic], zetaAxis.nodes-1)
	wall := sampled(zetaAxis, func(zeta float64) func(ratio float64) [2]float64 {
		images := imagesOf(func(j float64) orders { return u.image(2 * j * zeta) })
		return func(ratio float64) [2]float64 {
			sums, over := folded(sumImages(images, ratio)), guess(t.bare[0], ratio, zeta)
			return [2]float64{sums[0] / over, sums[1] / over}
		}
	})
	for k := range t.bare {
		fitSurface(len(wall), func(row, column int) float64 { return wall[row][column][k] }, func(cell, column int) *cubic { return &t.wall[cell][column][k] })
	}
	radius := make([]float64, spotAxis.nodes)
	for i := range radius {
		radius[i] = spotRadius(math.Exp(spotAxis.at(i)))
	}
	coefficients := splineCoefficients(radius)
	for i := range spotAxis.nodes - 1 {
		t.spot = append(t.spot, newSpotCell(cubicOf((*[4]float64)(coefficients[i:]))))
	}
	return t
}

// sampled has numbers at the nodes of an axis of depths and of ratioAxis; rows are worked out side by side.
func sampled[T any](depths axis, at func(depth float64) func(ratio float64) T) [][ratioNodes]T {
	values := make([][ratioNodes]T, depths.nodes)
	var rows sync.WaitGroup
	for row := range values {
		rows.Go(func() {
			sum := at(math.Exp(depths.at(row)))
			for column := range values[row] {
				values[row][column] = sum(math.Exp(ratioAxis.at(column)))
			}
		})
	}
	rows.Wait()
	return values
}

// folded takes A_2 together with A_1.
func folded(a orders) [2]float64 { return [2]float64{a[0], a[1] + middleEps2*a[2]} }

// guess runs from bare K at no coat to bare under a thick one.
func guess(bare, ratio, depth float64) float64 {
	return bare - bare*(1-ratio)/(1+4/math.Pi/bare*(1+ratio)*depth)
}

// spotRadius is a m/sigma of the plastic model: sqrt(8/pi) exp(lambda^2)
// erfc(lambda), erfc(lambda) = 2 P_l/H (Cooper, Mikic and Yovanovich 1969).
func spotRadius(relative float64) float64 {
	z := mathext.NormalQuantile(relative) // -sqrt 2 lambda
	return math.Sqrt(8/math.Pi) * math.Exp(z*z/2) * 2 * relative
}

// spotFours is how many fours of numbers a spotCell has.
const spotFours = 3

// spotCell has a m/sigma in a cell, and its logarithm.
type spotCell struct {
	radius cubic
	ln     [2][4]float64 // of 1/radius in steps of the axes, by powers of the place from the middle
}

func newSpotCell(radius cubic) spotCell {
	// The cubic about the middle, then l = ln radius from l' radius = radius'.
	c := [8]float64{radius.at(0.5), radius[1] + radius[2] + 0.75*radius[3], radius[2] + 1.5*radius[3], radius[3]}
	cell := spotCell{radius: radius}
	var l [8]float64
	l[0] = math.Log(c[0])
	for k := 1; k < len(l); k++ {
		sum := float64(k) * c[k]
		for j := 1; j < k; j++ {
			sum -= float64(j) * l[j] * c[k-j]
		}
		l[k] = sum / (float64(k) * c[0])
	}
	for k := range l {
		cell.ln[k/4][k%4] = -l[k] / step
	}
	return cell
}

// place is ln(1/radius) in steps at a place u of the cell.
func (s *spotCell) place(u float64) float64 {
	u -= 0.5
	square, l, h := u*u, &s.ln[0], &s.ln[1]
	return (l[0] + float64(u*l[1])) + float64(square*((l[2]+float64(u*l[3]))+float64(square*((h[0]+float64(u*h[1]))+float64(square*(h[2]+float64(u*h[3])))))))
}

// mostImages is how many images count beside a coat of mostCoatRatio: G^j < 1e-13.
const mostImages = 1600

// imagesOf lists the images from the spot itself, j = 0, on.
func imagesOf(image func(j float64) orders) []orders {
	list := make([]orders, mostImages)
	for j := range list {
		list[j] = image(float64(j))
	}
	return list
}

// alternating is how many terms of an alternating series are taken: 5.8^-24 is 1e-18.
const alternating = 24

// sumImages is a_0 + 2 sum_j G^j a_j. A poor coat's series alternates and slowly
// dies; it is summed by algorithm 1 of Cohen, Rodriguez Villegas and Zagier 2000. A
// good coat's is summed as it stands.
func sumImages(image []orders, ratio float64) (sum orders) {
	g := (ratio - 1) / (ratio + 1)
	strength := 1.0
	if g >= 0 {
		for j := 0; j < len(image) && strength > 1e-13; j++ {
			sum.add(strength, &image[j])
			strength *= g
		}
	} else {
		d := math.Pow(3+math.Sqrt(8), alternating)
		d = (d + 1/d) / 2
		b, c := -1.0, -d
		for j := range alternating {
			c = b - c
			sum.add(c/d*strength, &image[j])
			n := float64(alternating)
			k := float64(j)
			b *= (k + n) * (k - n) / ((k + 0.5) * (k + 1))
			strength *= -g
		}
	}
	for k := range sum {
		sum[k] = 2*sum[k] - image[0][k]
	}
	return sum
}
