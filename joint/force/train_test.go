package force

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

const degree = math.Pi / 180

func newTrain(t testing.TB, pieces int, anchor Anchor) Train {
	t.Helper()
	train, err := NewTrain(pieces, anchor)
	require.NoError(t, err)
	return train
}

// plain is a train input with unit screw force and one friction everywhere.
func plain(angleDegrees, friction float64) TrainInputs {
	return TrainInputs{Axial: 1, RampAngle: angleDegrees * degree, RampFriction: friction, WallFriction: friction, WallShare: 1}
}

func solve(train Train, in TrainInputs) *TrainForces {
	out := new(TrainForces)
	train.Solve(in, out)
	return out
}

func anyTrain(r *rapid.T) Train {
	return Train{
		Pieces: rapid.SampledFrom([]int{3, 5, 7, 9}).Draw(r, "pieces"),
		Anchor: rapid.SampledFrom([]Anchor{End, Centre}).Draw(r, "anchor"),
	}
}

func anyInputs(r *rapid.T) TrainInputs {
	return TrainInputs{
		Axial:        rapid.Float64Range(0, 5e4).Draw(r, "axial"),
		RampAngle:    rapid.Float64Range(5, 85).Draw(r, "angle") * degree,
		Skew:         rapid.Float64Range(0, 60).Draw(r, "skew") * degree,
		RampFriction: rapid.Float64Range(0, 2).Draw(r, "ramp friction"),
		WallFriction: rapid.Float64Range(0, 2).Draw(r, "wall friction"),
		WallShare:    rapid.Float64Range(0, 1).Draw(r, "wall share"),
	}
}

func TestNewTrainRefuses(t *testing.T) {
	for _, n := range []int{-3, 0, 1, 2, 4, 8, 10, 11} {
		_, err := NewTrain(n, End)
		assert.ErrorContains(t, err, "odd number from 3 to 9", "%d pieces", n)
	}
	_, err := NewTrain(5, 0)
	assert.ErrorContains(t, err, "anchor")
}

func TestAnchorText(t *testing.T) {
	for _, a := range []Anchor{End, Centre} {
		got, err := ParseAnchor(a.String())
		assert.NoError(t, err)
		assert.Equal(t, a, got)
	}
	for _, text := range []string{"", "unset", "middle"} {
		_, err := ParseAnchor(text)
		assert.Error(t, err, text)
	}
	assert.Equal(t, "unset", Anchor(0).String())
}

// equilibrium solves the force balance of every piece in three directions as one
// linear system, with the contact forces as vectors: it knows neither t, a, r nor
// the order of the pieces. It returns the ramp normal forces and the forces of the
// pieces on their outward and sideways faces.
func equilibrium(t *testing.T, train Train, in TrainInputs) (ramp, outward, sideways []float64) {
	t.Helper()
	n := train.Pieces
	rest := n - 1
	if train.Anchor == Centre {
		rest = n / 2
	}
	sin, cos := math.Sincos(in.RampAngle)
	sinSkew, cosSkew := math.Sincos(in.Skew)
	normal := []float64{sin, cos * cosSkew, cos * sinSkew}
	descent := []float64{-cos, sin * cosSkew, sin * sinSkew}

	// Columns: n-1 ramps, n outward faces, n sideways faces, the support at rest.
	// Rows: x, y, z of piece i at 3i.
	m := mat.NewDense(3*n, 3*n, nil)
	load := mat.NewVecDense(3*n, nil)
	for i := range n - 1 {
		up := float64(1 - 2*(i%2)) // the ramp pushes its second piece up when that is an even one
		for axis := range 3 {
			push := normal[axis] - in.RampFriction*descent[axis]
			if axis > 0 {
				push *= up
			}
			m.Set(3*(i+1)+axis, i, push)
			m.Set(3*i+axis, i, -push)
		}
	}
	for i := range n {
		back := float64(1 - 2*(i%2)) // the face of an odd piece (even index) pushes it back up
		rub := 0.0
		switch {
		case i < rest:
			rub = -in.WallShare * in.WallFriction
		case i > rest:
			rub = in.WallShare * in.WallFriction
		}
		m.Set(3*i, n-1+i, rub)
		m.Set(3*i, 2*n-1+i, rub)
		m.Set(3*i+1, n-1+i, back)
		m.Set(3*i+2, 2*n-1+i, back)
	}
	m.Set(3*rest, 3*n-1, 1)
	load.SetVec(0, -in.Axial)
	if train.Anchor == Centre {
		load.SetVec(3*(n-1), in.Axial)
	}
	var x mat.VecDense
	require.NoError(t, x.SolveVec(m, load))
	v := x.RawVector().Data
	return v[:n-1], v[n-1 : 2*n-1], v[2*n-1 : 3*n-1]
}

func TestSolveAgreesWithTheEquilibriumOfEveryPiece(t *testing.T) {
	cases := 0
	for _, n := range []int{3, 5, 7, 9} {
		for _, anchor := range []Anchor{End, Centre} {
			for _, angle := range []float64{20, 35, 45, 60} {
				for _, skew := range []float64{0, 15, 30, 45} {
					for _, mu := range []float64{0, 0.1, 0.3} {
						in := TrainInputs{
							Axial: 1272, RampAngle: angle * degree, Skew: skew * degree,
							RampFriction: mu, WallFriction: 0.4 - mu, WallShare: 0.75,
						}
						got := solve(newTrain(t, n, anchor), in)
						if got.Jammed { // a face that would have to pull: not a linear system any more
							continue
						}
						ramp, outward, sideways := equilibrium(t, newTrain(t, n, anchor), in)
						// The system's condition number is about 1e3 in the worst case.
						const tolerance = 1e-12 * 1272
						name := fmt.Sprintf("n %d %s theta %g psi %g mu %g", n, anchor, angle, skew, mu)
						require.InDeltaSlice(t, ramp, got.RampNormal[:n-1], tolerance, name)
						require.InDeltaSlice(t, outward, got.Outward[:n], tolerance, name)
						require.InDeltaSlice(t, sideways, got.Sideways[:n], tolerance, name)
						cases++
					}
				}
			}
		}
	}
	require.Equal(t, 363, cases, "384 less those that jam")
}

func TestSolveAgreesWithTheClosedSums(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		train := anyTrain(r)
		in := plain(rapid.Float64Range(20, 60).Draw(r, "angle"), rapid.Float64Range(0.05, 0.3).Draw(r, "friction"))
		tangent := math.Tan(in.RampAngle + math.Atan(in.RampFriction))
		a := in.WallFriction / tangent
		ratio, n := (1-a)/(1+a), float64(train.Pieces)
		want := (1 - math.Pow(ratio, n-1)) / (2 * in.WallFriction)
		if train.Anchor == Centre {
			want = (1 - math.Pow(ratio, (n-1)/2)) / in.WallFriction
		}
		out := solve(train, in)
		assert.InEpsilon(r, want, floats.Sum(out.Transverse[:]), 1e-12)
		outward, sideways := out.FaceForce()
		assert.InEpsilon(r, want, outward, 1e-12)
		assert.Zero(r, sideways)
	})
}

func TestSolveLimits(t *testing.T) {
	for _, anchor := range []Anchor{End, Centre} {
		train := newTrain(t, 7, anchor)
		in := plain(40, 0.2)
		want := 6 / math.Tan(in.RampAngle+math.Atan(0.2))
		for _, mu := range []float64{0, 1e-9} {
			in.WallFriction = mu
			// First order in the wall friction: the loss is about 6 mu.
			assert.InEpsilon(t, want, floats.Sum(solve(train, in).Transverse[:]), 1e-12+10*mu, anchor)
		}
		in = plain(40, 0.2)
		in.WallShare = 0
		assert.InEpsilon(t, want, floats.Sum(solve(train, in).Transverse[:]), 1e-12, "no share is no wall friction")

		in = plain(40, 0.2)
		straight := solve(train, in)
		in.Skew = 1e-9
		skewed := solve(train, in)
		// cos + sin = 1 + psi: every force moves by a few psi.
		assert.InDeltaSlice(t, straight.Outward[:], skewed.Outward[:], 1e-8)
		assert.InDeltaSlice(t, make([]float64, MaxPieces), skewed.Sideways[:], 1e-8)
	}
}

func TestALongTrainSaturates(t *testing.T) {
	// Strong walls: r = 0.0053 and the rest of the series is r^8 or r^4.
	in := plain(45, 0.40)
	in.WallFriction = 2.31
	assert.InEpsilon(t, 1/(2*in.WallFriction), floats.Sum(solve(newTrain(t, 9, End), in).Transverse[:]), 1e-8)
	assert.InEpsilon(t, 1/in.WallFriction, floats.Sum(solve(newTrain(t, 9, Centre), in).Transverse[:]), 1e-8)
}

func TestSolveJams(t *testing.T) {
	in := plain(45, 0)
	in.WallFriction = 1.5 // a = 1.5 over t = 1
	for _, c := range []struct {
		pieces int
		anchor Anchor
		jammed bool
		normal []float64
	}{
		// A_1 = 1/(1 + 1.5) = 0.4 on the ramps next to a pulled end, nothing behind.
		{5, End, true, []float64{0.4, 0.4, 0, 0, 0}},
		{5, Centre, true, []float64{0.4, 0.4, 0, 0.4, 0.4}},
		{3, End, true, []float64{0.4, 0.4, 0}},
		{3, Centre, false, []float64{0.4, 0.8, 0.4}},
	} {
		out := solve(newTrain(t, c.pieces, c.anchor), in)
		assert.Equal(t, c.jammed, out.Jammed)
		assert.InDeltaSlice(t, c.normal, out.Normal[:c.pieces], 1e-15, "%d %s", c.pieces, c.anchor)
	}
	in.WallFriction = 0.999
	assert.False(t, solve(newTrain(t, 5, End), in).Jammed)
}

func TestSteepRampPassesNothing(t *testing.T) {
	for _, friction := range []float64{1, 1.0001, 2} { // theta 45 deg: phi >= 45 deg
		in := plain(45.000001, friction)
		out := solve(newTrain(t, 5, End), in)
		assert.True(t, out.Jammed)
		assert.Zero(t, floats.Sum(out.Transverse[:])+floats.Sum(out.Normal[:]))
		assert.InDelta(t, 1, out.Axial[3], 0, "the screw force goes straight through")
		assert.InEpsilon(t, math.Sin(in.RampAngle), out.RampNormal[0], 1e-14)
	}
	// Just short of it the ramp normal force joins up, linearly in the gap of 2e-8 rad.
	out := solve(newTrain(t, 5, End), plain(45-1e-6, 1))
	assert.False(t, out.Jammed)
	assert.InDelta(t, math.Sqrt(0.5), out.RampNormal[0], 1e-7)
}

func TestSolveIsFiniteOverTheWholeRange(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		train, in := anyTrain(r), anyInputs(r)
		in.Axial = AxialForce(rapid.Float64Range(0, 200).Draw(r, "torque"), 0, rapid.Float64Range(0, 2).Draw(r, "thread"),
			rapid.Float64Range(0, 2).Draw(r, "head"), 5e-3, anyThread(r))
		out := solve(train, in)
		for i, values := range [][]float64{
			out.Axial[:], out.Transverse[:], out.RampNormal[:], out.Normal[:], out.Outward[:], out.Sideways[:],
		} {
			for j, v := range values {
				assert.True(r, v >= 0 && v <= math.MaxFloat64, "%d[%d] = %g", i, j, v)
			}
		}
		used := train.Pieces
		assert.Zero(r, floats.Sum(out.Normal[used:])+floats.Sum(out.Axial[used-1:]))
		// What leaves the ramps arrives on each row of pieces; rounding only.
		outward, sideways := out.FaceForce()
		total := floats.Sum(out.Transverse[:])
		assert.InDelta(r, total, math.Hypot(outward, sideways), 1e-13*total)
		assert.InDelta(r, 2*total, floats.Sum(out.Normal[:]), 1e-13*total)
		if out.Jammed && in.Axial > 0 {
			assert.Zero(r, floats.Min(out.Transverse[:used-1]))
		} else if in.Axial > 0 {
			assert.Positive(r, floats.Min(out.Transverse[:used-1]))
		}
	})
}

func TestMoreScrewForceNeverLowersAForce(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		train, in := anyTrain(r), anyInputs(r)
		low := solve(train, in)
		in.Axial = rapid.Float64Range(in.Axial, 6e4).Draw(r, "more axial")
		high := solve(train, in)
		for i := range MaxPieces {
			assert.GreaterOrEqual(r, high.Normal[i], low.Normal[i])
			assert.GreaterOrEqual(r, high.Outward[i], low.Outward[i])
			assert.GreaterOrEqual(r, high.Sideways[i], low.Sideways[i])
		}
		for i := range MaxPieces - 1 {
			assert.GreaterOrEqual(r, high.RampNormal[i], low.RampNormal[i])
		}
	})
}

func TestMoreFrictionNeverRaisesTheFaceForce(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		train, in := anyTrain(r), anyInputs(r)
		base := floats.Sum(solve(train, in).Transverse[:])
		more := in
		more.WallFriction = rapid.Float64Range(in.WallFriction, 2).Draw(r, "more wall friction")
		assert.LessOrEqual(r, floats.Sum(solve(train, more).Transverse[:]), base*(1+1e-14))
		more = in
		more.RampFriction = rapid.Float64Range(in.RampFriction, 2).Draw(r, "more ramp friction")
		assert.LessOrEqual(r, floats.Sum(solve(train, more).Transverse[:]), base*(1+1e-14))
	})
}

func TestSolveOverwritesOut(t *testing.T) {
	out := new(TrainForces)
	newTrain(t, 9, End).Solve(plain(30, 0.9), out)
	newTrain(t, 3, Centre).Solve(plain(45, 0.1), out)
	assert.Equal(t, solve(newTrain(t, 3, Centre), plain(45, 0.1)), out)
}

func TestSolveDoesNotAllocate(t *testing.T) {
	m3, train, out := named(t, "M3"), newTrain(t, 5, End), new(TrainForces)
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		in := plain(45, 0.15)
		in.Axial = AxialForce(0.8, 0, 0.15, 0.15, 4.235e-3, m3)
		train.Solve(in, out)
	}))
}

func TestSelfLocking(t *testing.T) {
	assert.True(t, SelfLocking(20*degree, math.Tan(20.01*degree)))
	assert.False(t, SelfLocking(20*degree, math.Tan(19.99*degree)))
	assert.False(t, SelfLocking(45*degree, 0.99))
}
