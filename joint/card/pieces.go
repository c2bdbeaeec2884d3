package card

import "clampodds/joint/lanes"

// A wedge piece is a trapezoid: seen from the side, its long base lies on flange
// or rail, the short one stands free, and its ramps slant between. Heat that
// enters all over the base leaves through the ramps. Behind one ramp lies the
// half of an inner piece, or the whole of an end piece, of length l at half height;
// seen from the base's mean to the ramp's mean it resists, times k W,
//
//	r = v H/(3 l) + c l/(3 H) phi(0.75 h l^2/(k H c))
//	v = exp(-cot(theta)/2),  c = exp(-2.5 cot(theta)/(l/H + 3.3)),  phi(y) = 3 (sqrt y coth sqrt y - 1)/y
//
// h being the base's coefficient. Thirds and phi are exact for rods: a body that
// even heat enters on one side and leaves across it resists with a third of its
// depth either way (a square ramp, h -> 0), and a rod fed through a surface is a
// fin. The slant brings base and ramp closer together: v, c and 0.75 are fitted to
// two-dimensional solutions [own]. From 30 to 60 degrees, Lp/H from 1.5 to 4, 3 to
// 9 pieces and h H/k up to 2.4 the train is within 3 % of them (trapezoid_test.go).
// A steeper slant than leaves an inner piece a short base counts as that.
//
// r falls as h grows, and k/r never falls as k grows, so that a better conductance
// anywhere still raises every conductance of the network.
//
// In a four-face clamp the base's heat leaves by the side and only what is uneven
// by the ramps: there v is 1, and a third of the width joins the third of the
// height, the same exact limit.
const (
	slantUp    = 0.5
	slantAlong = 2.5
	slantReach = 3.3
	feedAlong  = 0.75
)

// pieceSize is what the pieces of an edge have in common.
type pieceSize struct {
	length, width, height float64 // of a piece, m
	cone                  float64 // by which a load spreads through the flange, m
	// Resistances of a piece from its base up and from its middle aside, K/W.
	up, aside float64
	// Behind a ramp: the end piece, half an inner one.
	end, inner rod
}

func (m *Model) pieceSize(edge *edgeState) pieceSize {
	in := &edge.in
	p := pieceSize{length: in.at(clampLength) / float64(m.layout.Pieces), width: in.at(clampWidth), height: in.at(clampHeight)}
	p.cone = min(in.at(flangeThickness), p.length/2) // 45 degrees through the flange
	k := in.at(bodyProperty(clampBody, conductivity))
	slant := min(edge.cotangent(edge.in.lane), p.length/p.height)
	p.up = p.height / (3 * k * p.length * p.width)
	if m.layout.Family == TwoFace {
		p.up *= lanes.Exp(-slantUp * slant)
	}
	p.aside = p.width / (3 * k * p.length * p.height)
	rodOf := func(length float64) rod {
		ratio := length / p.height
		c := lanes.Exp(-slantAlong * slant / (ratio + slantReach))
		whole := ratio / (k * p.width)
		return rod{third: c * whole / 3, feed: feedAlong * whole / c * length / p.length}
	}
	p.end, p.inner = rodOf(p.length), rodOf(p.length/2)
	return p
}

func (edge *edgeState) cotangent(lane int) float64 {
	edge.ramp.Turn(edge.in.rows[clampRampAngle][lane])
	return 1 / edge.ramp.Tan
}

// rodBlock is a rod of every card.
type rodBlock struct{ third, feed lanes.Row }

func (b *rodBlock) set(lane int, r rod) { b.third[lane], b.feed[lane] = r.third, r.feed }

func (b *rodBlock) at(lane int) rod { return rod{b.third[lane], b.feed[lane]} }

// resistances is rod.resistance of every card, to the last bit.
func (b *rodBlock) resistances(to, base *lanes.Row) {
	if lanes.Fast {
		b.resist(to, base)
		return
	}
	for lane := range to {
		to[lane] = b.at(lane).resistance(base[lane])
	}
}

// behind is what lies behind the ramps of the piece at a position of the train.
func behind[T any](end, inner *T, position, pieces int) *T {
	if position == 1 || position == pieces {
		return end
	}
	return inner
}

// rod is the part of a piece behind one ramp as its heat runs along it.
type rod struct {
	third float64 // resistance to heat that enters evenly, K/W
	feed  float64 // y per conductance of the piece's base, K/W
}

// resistance is that of a rod whose piece has a base of the given conductance, W/K.
func (r rod) resistance(base float64) float64 { return r.third * unevenly(r.feed*base) }

// unevenly is phi(y) of a fin, 1 where heat enters evenly (y = 0), by the
// continued fraction of x coth x,
//
//	3/(3 + y/(5 + y/(7 + y/(9 + y/(11 + y/(13 + y/(15 + y/17)))))))
//
// which loses no digits at small y: 2e-7 low at y = 20, 0.5 % at 200. It is taken as one
// fraction, which needs one division. For any y it falls and y phi does not, as a fin's.
func unevenly(y float64) float64 {
	over := over0 + float64(y*(over1+float64(y*(over2+float64(y*over3)))))
	return over / (over0 + float64(y*(under1+float64(y*(under2+float64(y*(under3+y)))))))
}

const (
	over0, over1, over2, over3 = 34459425, 2432430, 38610, 132
	under1, under2, under3     = 4729725, 135135, 990
)
