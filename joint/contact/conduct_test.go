package contact

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// anyPressing draws a face between two bodies, with or without a bow.
func anyPressing(t *rapid.T, first, second *Body) Pressing {
	j := anyJoint(t)
	pair := pairOf(first, second, j.Film)
	j.Face.Along = j.Bow.Close(j.Pressure, pair.Conductivity)
	if j.Bow.Height == 0 {
		j.Face.Along = Partial{}
	}
	return Pressing{Pair: &pair, Face: j.Face, Film: pair.Film, Force: j.Pressure * j.Face.Length * j.Face.Width}
}

func pairOf(first, second *Body, film float64) (p Pair) {
	p.Join(first, second, film)
	return p
}

// conduct is Bench.Conduct of faces that are no block: in one gas, with one contact factor.
func conduct(faces []Pressing, gas *GasState, contactFactor float64) (ranges RangesBlock) {
	for i := range faces {
		faces[i].close()
		ranges.add(0, &faces[i])
	}
	touch(faces)
	for i := range faces {
		faces[i].join(gas, contactFactor)
	}
	return ranges
}

// anyCoatedBody draws one with or without a coat.
func anyCoatedBody(t *rapid.T) Body {
	body := anyJoint(t).Body
	if thickness := zeroOr(t, "coat", 1e-9, 1e-2); thickness > 0 {
		body.Coat = Coat{thickness, body.Conductivity * logarithmic(t, "K", 1e-3, 1000), logarithmic(t, "coat hardness", 0.01e9, 20e9)}
	}
	return body
}

// TestConductIsEvaluate holds the fast way to the plain one, over more than a card's
// faces can be. Rounding is all they may differ by: some dozen steps of 1e-16, and where a
// thin coat of K = 1e-3 is the difference of two numbers near 1, a thousand times that.
func TestConductIsEvaluate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shared := new(CoatCurves) // of bodies that differ, which costs time only
		var body []Body
		for range rapid.IntRange(1, 3).Draw(t, "bodies") {
			body = append(body, anyCoatedBody(t))
			if rapid.Bool().Draw(t, "shared") {
				body[len(body)-1].Curves = shared
			}
		}
		var faces []Pressing
		for range rapid.IntRange(1, 5).Draw(t, "faces") {
			any := rapid.SampledFrom(body)
			first, second := any.Draw(t, "first"), any.Draw(t, "second")
			faces = append(faces, anyPressing(t, &first, &second))
		}
		gas, factor := anyJoint(t).Gas, logarithmic(t, "factor", 0.2, 5)
		ranges := conduct(faces, &gas, factor)
		var want RangesBlock
		for i := range faces {
			f := &faces[i]
			var one Evaluation
			Evaluate(f.Pair, &gas, &f.Face, f.Force, factor, &one)
			for name, of := range map[string][2]float64{"conductance": {one.Conductance, f.Conductance}, "local pressure": {one.LocalPressure, f.LocalPressure}} {
				if !(math.Abs(of[1]-of[0]) <= 2e-13*of[0]) {
					t.Fatalf("%s of face %d: %v, plainly %v", name, i, of[1], of[0])
				}
			}
			want.PressureBelow[0] = max(want.PressureBelow[0], event(one.PressureBelowRange))
			want.PressureAbove[0] = max(want.PressureAbove[0], event(one.PressureAboveRange))
			want.OverYield[0] = max(want.OverYield[0], event(one.OverYield))
		}
		if ranges != want {
			t.Fatalf("ranges %v, plainly %v", ranges, want)
		}
	})
}
