package contact

import "math"

// What a spot in a flux tube needs of the heat flow without any coat: how warm the
// spot is made by the heat of its own images, which the coat's lower face throws
// at depths of 2 j t. Coats follow by summing the images (coat_table.go).
//
// Heat enters the tube of radius b over r < a = eps b as under an isothermal spot.
// Averaged over the spot, 4 k a times the constriction's temperature at the depth
// x a, over the heat, is
//
//	S(eps, x) = (8/pi) eps sum_n f(eps d_n) exp(-d_n eps x)/(d_n J0(d_n)^2),  f(u) = sin u J1(u)/u^2
//
// with d_n the zeros of J1. S(eps, 0) is the constriction itself. For a small spot
// the sum is the integral of the half space less what the tube's wall changes,
//
//	S(eps, x) = F(x) - eps B_0(eps x) - eps^3 B_1(eps x) - eps^5 B_2(eps x) - ...
//
// because f is even and smooth: a sum over so fine a grid differs from its integral
// only by what happens at u = 0, f = f_0 + f_1 u^2 + f_2 u^4 + ... [own derivation].

// spotSeries are f_0 to f_3, the first coefficients of sin u J1(u)/u^2 in u^2.
var spotSeries = [4]float64{1.0 / 2, -7.0 / 48, 11.0 / 640, -(1.0/5040 + 1.0/960 + 1.0/1152 + 1.0/9216) / 2}

// spotImage is F(x) of the half space, x >= 0: 1 at the surface, (2/pi)/x far below.
//
//	F(x) = (4/pi) Int_0^inf f(u) exp(-u x) du = (2/pi) Im[p^2 - p sqrt(1 + p^2) - asinh p],  p = x - i
func spotImage(x float64) float64 {
	if x > 30 { // the closed form is a small difference there
		sum, term := 0.0, 1/x
		for k, f := range spotSeries {
			sum += f * term
			term *= float64((2*k+1)*(2*k+2)) / (x * x)
		}
		return 4 / math.Pi * sum
	}
	// sqrt(1 + p^2) = c - i s with 1 + p^2 = x^2 - 2 i x.
	size := x * math.Sqrt(x*x+4)
	c := math.Sqrt((size + x*x) / 2)
	s := 0.0
	if c > 0 {
		s = x / c
	}
	// Im asinh p = -asin of the half difference of distances to the points +-i.
	angle := math.Atan2(1+s, x+c) // asinh p = ln(p + sqrt(1 + p^2))
	return 2 / math.Pi * (-2*x + x*s + c + angle)
}

// tubeOrders is how many of the B_k are kept: the next term is 0.021 eps^7.
const tubeOrders = 3

// orders has a number for each B_k.
type orders [tubeOrders]float64

func (o *orders) add(factor float64, other *orders) {
	for k := range o {
		o[k] += factor * other[k]
	}
}

// tube has the zeros of J1 with J0 there, and the B_k below tubeJoin.
type tube struct {
	zero, inverseSquare []float64 // d_n, 1/J0(d_n)^2
	// near holds the even parts of the B_k at Chebyshev points of y^2 in 0 to tubeJoin^2.
	near          [tubeNodes]orders
	point, weight [tubeNodes]float64 // of barycentric interpolation
}

const (
	tubeJoin  = 1.0 // the sum is taken above, the polynomial below
	tubeNodes = 14  // leaves 1e-15: B_k is smooth up to y = 2 i, where the tube's first image lies
	tubeZeros = 240 // exp(-d y) is under 1e-18 at the lowest Chebyshev point
)

func newTube() *tube {
	t := &tube{}
	for n := 1; n <= tubeZeros; n++ {
		at := (float64(n) + 0.25) * math.Pi
		d := at - 3/(8*at) // McMahon
		for range 4 {
			d -= math.J1(d) / (math.J0(d) - math.J1(d)/d)
		}
		j0 := math.J0(d)
		t.zero, t.inverseSquare = append(t.zero, d), append(t.inverseSquare, 1/(j0*j0))
	}
	for i := range tubeNodes {
		angle := math.Pi * (float64(i) + 0.5) / tubeNodes
		t.point[i] = (1 - math.Cos(angle)) / 2
		t.weight[i] = math.Sin(angle) * float64(1-i%2*2)
		y := tubeJoin * math.Sqrt(t.point[i])
		t.near[i] = t.sum(y)
		t.near[i][0] += 4 / math.Pi * y // the mean flux of the tube, which is no constriction
	}
	return t
}

// sum is B_k(y) from the zeros of J1, for y not near 0:
//
//	B_k(y) = (8/pi) f_k [(2k)!/(2 y^(2k+1)) - sum_n d_n^(2k-1) exp(-d_n y)/J0(d_n)^2]
func (t *tube) sum(y float64) (b orders) {
	for n, d := range t.zero {
		if d*y > 42 {
			break
		}
		term := math.Exp(-d*y) * t.inverseSquare[n] / d
		for k := range b {
			b[k] -= term
			term *= d * d
		}
	}
	whole := 1 / (2 * y)
	for k := range b {
		b[k] = 8 / math.Pi * spotSeries[k] * (b[k] + whole)
		whole *= float64((2*k+1)*(2*k+2)) / (y * y)
	}
	return b
}

// image is B_k(y), y >= 0.
func (t *tube) image(y float64) (b orders) {
	if y >= tubeJoin {
		return t.sum(y)
	}
	s, whole := y*y/(tubeJoin*tubeJoin), 0.0
	for i, at := range t.point {
		if s == at {
			s = math.Nextafter(s, 2)
		}
		weight := t.weight[i] / (s - at)
		whole += weight
		b.add(weight, &t.near[i])
	}
	for k := range b {
		b[k] /= whole
	}
	b[0] -= 4 / math.Pi * y
	return b
}
