package card

import (
	"math"

	"clampodds/joint/lanes"
)

// Rows are worked on whole, by vectors where they are fast. What a block does not have cards for is
// worked on with them, and nobody asks for it. Vectors are not inlined: a function has vectors or floats.

// addRows sets to to the sums of two rows.
func addRows(to, a, b *lanes.Row) {
	if lanes.Fast {
		addVectors(to, a, b)
		return
	}
	for lane := range to {
		to[lane] = a[lane] + b[lane]
	}
}

//go:noinline
func addVectors(to, a, b *lanes.Row) {
	for i := 0; i < lanes.Count; i += lanes.Width {
		to.Put(i, a.At(i).Add(b.At(i)))
	}
	lanes.Done()
}

// multiplyRows sets to to the products of two rows.
func multiplyRows(to, a, b *lanes.Row) {
	if lanes.Fast {
		multiplyVectors(to, a, b)
		return
	}
	for lane := range to {
		to[lane] = a[lane] * b[lane]
	}
}

//go:noinline
func multiplyVectors(to, a, b *lanes.Row) {
	for i := 0; i < lanes.Count; i += lanes.Width {
		to.Put(i, a.At(i).Mul(b.At(i)))
	}
	lanes.Done()
}

// join sets conductances to those of face and bodies together, W/K.
func (j *joined) join(to *lanes.Row) {
	if lanes.Fast {
		j.joinVectors(to)
		return
	}
	for lane, conductance := range &j.conductance {
		to[lane] = conductance / (1 + float64(conductance*j.bodies[lane]))
	}
}

//go:noinline
func (j *joined) joinVectors(to *lanes.Row) {
	all := whole.Vector()
	for i := 0; i < lanes.Count; i += lanes.Width {
		conductance := j.conductance.At(i)
		to.Put(i, conductance.Div(all.Add(conductance.Mul(j.bodies.At(i)))))
	}
	lanes.Done()
}

// The continued fraction of unevenly.
var fin = struct{ over, under [4]lanes.Constant }{
	[4]lanes.Constant{lanes.Same(over0), lanes.Same(over1), lanes.Same(over2), lanes.Same(over3)},
	[4]lanes.Constant{lanes.Same(over0), lanes.Same(under1), lanes.Same(under2), lanes.Same(under3)},
}

// resist is rodBlock.resistances.
//
//go:noinline
func (b *rodBlock) resist(to, base *lanes.Row) {
	o, u := &fin.over, &fin.under
	for i := 0; i < lanes.Count; i += lanes.Width {
		y := b.feed.At(i).Mul(base.At(i))
		over := o[0].Vector().Add(y.Mul(o[1].Vector().Add(y.Mul(o[2].Vector().Add(y.Mul(o[3].Vector()))))))
		under := u[0].Vector().Add(y.Mul(u[1].Vector().Add(y.Mul(u[2].Vector().Add(y.Mul(u[3].Vector().Add(y)))))))
		to.Put(i, b.third.At(i).Mul(over.Div(under)))
	}
	lanes.Done()
}

// raise raises the numbers of a row to those of another where these are greater.
func raise(row, to *lanes.Row) {
	if lanes.Fast {
		raiseVectors(row, to)
		return
	}
	for lane, x := range to {
		if x > row[lane] {
			row[lane] = x
		}
	}
}

//go:noinline
func raiseVectors(row, to *lanes.Row) {
	for i := 0; i < lanes.Count; i += lanes.Width {
		row.Put(i, to.At(i).Max(row.At(i)))
	}
	lanes.Done()
}

// bear raises utilisations to those of pressures between two bodies. What a pair may carry is the lower of the two
// allowables, all that there is where none is given.
func bear(utilisation, pressure, first, second *lanes.Row) {
	if lanes.Fast {
		bearVectors(utilisation, pressure, first, second)
		return
	}
	for lane, p := range pressure {
		allowed := math.Inf(1)
		for _, of := range [...]float64{first[lane], second[lane]} {
			if of > 0 {
				allowed = min(allowed, of)
			}
		}
		utilisation[lane] = max(utilisation[lane], p/allowed)
	}
}

var infinite = lanes.Same(math.Inf(1))

//go:noinline
func bearVectors(utilisation, pressure, first, second *lanes.Row) {
	zero, any := none.Vector(), infinite.Vector()
	for i := 0; i < lanes.Count; i += lanes.Width {
		a, b := first.At(i), second.At(i)
		allowed := lanes.Pick(a.Greater(zero), a, any).Min(lanes.Pick(b.Greater(zero), b, any))
		utilisation.Put(i, pressure.At(i).Div(allowed).Max(utilisation.At(i)))
	}
	lanes.Done()
}
