package contact

import "math"

// A face takes a logarithm and two powers with fixed exponents. Both come from
// one split of the number,
//
//	x = 2^e c (1 + r),  c one of 256 node numbers,  |r| <= 2^-9,
//
// as a sum or product of table entries and a short series in r: a third of the
// time of math.Log and math.Exp.
//
// Here and in all that Conduct does every product is rounded by a conversion, lest a
// compiler fuses it with a sum: the bits are then those of FaceBlock's vectors everywhere.

const (
	nodes       = 256
	nodeBits    = 8
	nodeShift   = 52 - nodeBits
	firstNode   = 0x3FE6000000000000           // the bits of 0.6875: nodes go up to 1.375
	splitOffset = firstNode - 1<<(nodeShift-1) // rounds to the nearest node
)

// node is one of the numbers 0.6875 to 1.359375. Their last bits are 0, and 1 is one
// of them: c - x is exact, and the logarithm keeps its digits beside 1.
type node struct{ value, inverse, logarithm float64 }

var nodeTable = newNodeTable()

func newNodeTable() (table [nodes]node) {
	for i := range table {
		c := math.Float64frombits(firstNode + uint64(i)<<nodeShift)
		table[i] = node{c, 1 / c, math.Log(c)}
	}
	return table
}

// parts is a positive normal number taken apart: e, the index of c, r.
type parts struct {
	e int
	i uint8
	r float64
}

func split(x float64) parts {
	offset := math.Float64bits(x) - splitOffset
	e := int(int64(offset) >> 52)   // not int(offset): int may have 32 bits
	i := uint8(offset >> nodeShift) // nodes are as many as it counts
	n := &nodeTable[i]
	return parts{e, i, float64((math.Float64frombits(math.Float64bits(x)-uint64(e)<<52) - n.value) * n.inverse)}
}

// logarithm is ln x of a positive normal number, relative error below 1e-15.
func logarithm(x float64) float64 { return split(x).logarithm() }

func (n parts) logarithm() float64 {
	// The logarithm's series; r^7/7 is under 2^-65.
	r := n.r
	square := r * r
	series := (1.0/3 - float64(1.0/4*r)) + float64(square*(1.0/5-float64(1.0/6*r)))
	return n.logarithmStart() + (r + float64(square*(float64(r*series)-0.5)))
}

// logarithmStart is the logarithm of 2^e c.
func (n parts) logarithmStart() float64 {
	return float64(float64(n.e)*math.Ln2) + nodeTable[n.i].logarithm
}

// powerExponents are the e for which a power has its 2^(p e): 2^-64 to 2^64.
const powerExponents = 128

// power raises to the exponent p. It is read only, from newPower.
type power struct {
	exponent float64
	octave   [powerExponents]float64 // 2^(p (e - 64))
	node     [nodes]float64          // c^p
	binomial [6]float64              // p over k
}

func newPower(exponent float64) *power {
	p := &power{exponent: exponent}
	for e := range p.octave {
		p.octave[e] = math.Pow(math.Ldexp(1, e-powerExponents/2), exponent)
	}
	for i := range p.node {
		p.node[i] = math.Pow(nodeTable[i].value, exponent)
	}
	p.binomial[0] = 1
	for k := 1; k < len(p.binomial); k++ {
		p.binomial[k] = p.binomial[k-1] * (exponent - float64(k-1)) / float64(k)
	}
	return p
}

// of is x^p of a positive normal number, relative error below 1e-15 (1 + |p ln x|/4).
func (p *power) of(x float64) float64 {
	n := split(x)
	if !n.ordinary() {
		return math.Pow(x, p.exponent)
	}
	return p.at(n)
}

// ordinary reports whether a power has the number's 2^(p e).
func (n parts) ordinary() bool { return uint(n.e+powerExponents/2) < powerExponents }

// at is of for an ordinary number.
func (p *power) at(n parts) float64 {
	r, b := n.r, &p.binomial
	square := r * r
	// The binomial series; the first term left out is under 2^-60.
	series := float64(r*b[1]) + float64(square*((b[2]+float64(r*b[3]))+float64(square*(b[4]+float64(r*b[5])))))
	start := p.start(n)
	return start + float64(start*series)
}

// start is the power of 2^e c.
func (p *power) start(n parts) float64 {
	return float64(p.octave[uint(n.e+powerExponents/2)%powerExponents] * p.node[n.i])
}
