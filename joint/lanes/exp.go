package lanes

import "math"

// expTable holds 2^(i/128).
var expTable = newExpTable()

func newExpTable() (table [128]float64) {
	for i := range table {
		table[i] = math.Exp2(float64(i) / 128)
	}
	return table
}

const (
	perUnit = 128 / math.Ln2
	// ln 2/128 in two parts; the first times a whole number below 2^18 is exact.
	lnHigh = 0x1.62e42fefap-8
	lnLow  = math.Ln2/128 - lnHigh
	// Added to a number below 2^51 it leaves the nearest whole number in the last bits.
	toWhole = 0x3p51
)

// Exp is math.Exp in a third of its time, relative error below 4e-16:
//
//	x = (128 e + i) ln 2/128 + r,  exp x = 2^e 2^(i/128) exp r,  |r| <= ln 2/256
func Exp(x float64) float64 {
	if !(math.Abs(x) < 700) {
		return math.Exp(x)
	}
	shifted := float64(x*perUnit) + toWhole
	whole := shifted - toWhole
	r := x - float64(whole*lnHigh) - float64(whole*lnLow)
	square := r * r
	series := r + float64(square*(1.0/2+float64(r*(1.0/6))+float64(square*(1.0/24+float64(r*(1.0/120))))))
	scale := expScale(shifted)
	return scale + float64(scale*series)
}

// expScale is 2^e 2^(i/128).
func expScale(shifted float64) float64 {
	n := int64(math.Float64bits(shifted))
	return math.Float64frombits(math.Float64bits(expTable[n&127]) + uint64(n>>7)<<52)
}

var (
	expFrom, expTo                     = Same(-700), Same(700)
	scalePerUnit, asWhole, high, low   = Same(perUnit), Same(toWhole), Same(lnHigh), Same(lnLow)
	series2, series3, series4, series5 = Same(1.0 / 2), Same(1.0 / 6), Same(1.0 / 24), Same(1.0 / 120)
)

// Exp puts Exp of every number of x into the row, which may be x itself.
func (r *Row) Exp(x *Row) {
	var shifted, scale Row
	if !Fast || !shifted.shift(x) {
		for i, x := range x {
			r[i] = Exp(x)
		}
		return
	}
	for i, s := range shifted {
		scale[i] = expScale(s)
	}
	r.scaled(x, &shifted, &scale)
}

// shift is the beginning of Exp. It reports whether no number is large.
func (r *Row) shift(x *Row) bool {
	from, to, inside := expFrom.Vector(), expTo.Vector(), uint8(Every)
	for i := 0; i < Count; i += Width {
		v := x.At(i)
		inside &= v.Greater(from).And(v.Less(to)).ToBits()
		r.Put(i, v.Mul(scalePerUnit.Vector()).Add(asWhole.Vector()))
	}
	Done()
	return inside == Every
}

// scaled is the end of Exp.
func (r *Row) scaled(x, shifted, scale *Row) {
	for i := 0; i < Count; i += Width {
		n := shifted.At(i).Sub(asWhole.Vector())
		rest := x.At(i).Sub(n.Mul(high.Vector())).Sub(n.Mul(low.Vector()))
		square := rest.Mul(rest)
		near := series2.Vector().Add(rest.Mul(series3.Vector()))
		far := series4.Vector().Add(rest.Mul(series5.Vector()))
		s := scale.At(i)
		r.Put(i, s.Add(s.Mul(rest.Add(square.Mul(near.Add(square.Mul(far)))))))
	}
	Done()
}
