package strata

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
)

// inner is a stratified sample of the varying inputs, rowGroups sets one after
// another, and the points in the space of the unknown ones at which all its rows
// are evaluated.
type inner struct {
	*sample
	unknown []int
	// scores of the points: scores[j][m] is that of unknown input j at point m.
	scores [][]float64
	// x holds the values of the rows; the columns of the unknown inputs are not
	// used. inRow is the stratum of each row of a set, perGroup the number of rows
	// of each stratum in a set.
	x        [][]float64
	inRow    []int
	perGroup []int64
}

func newInner(s *sample, unknown []int, b basis) (*inner, error) {
	share, err := s.profile()
	if err != nil {
		return nil, err
	}
	in := &inner{sample: s, unknown: unknown, scores: batch.Columns(len(unknown), b.points())}
	names := make([]string, len(unknown))
	for j, v := range unknown {
		names[j] = s.plan().Variables()[v].Name
	}
	sim.LatinHypercube{}.Fill(in.scores, names, s.Seed, 0)
	for _, column := range in.scores {
		for m, u := range column {
			column[m] = dist.NormalQuantile(u)
		}
	}
	in.allocate(share)
	in.draw()
	return in, nil
}

func (in *inner) points() int { return len(in.scores[0]) }
func (in *inner) rows() int   { return rowGroups * len(in.inRow) }

// allocate gives half the rows of a set to the strata alike, since each point has
// its limit elsewhere, and half in proportion to W sqrt(p).
func (in *inner) allocate(share []float64) {
	perGroup := max(fewestGroupRows, int(in.Most)/in.points()/rowGroups)
	best := make([]float64, len(in.strata))
	for h, s := range in.strata {
		best[h] = s.probability * math.Sqrt(share[h])
	}
	sum := max(floats.Sum(best), math.SmallestNonzeroFloat64)
	for h := range in.strata {
		n := 0.5 * float64(perGroup) * (best[h]/sum + 1/float64(len(in.strata)))
		in.perGroup = append(in.perGroup, max(1, int64(math.Round(n))))
		in.inRow = append(in.inRow, slices.Repeat([]int{h}, int(in.perGroup[h]))...)
	}
}

// draw fills the values of the rows.
func (in *inner) draw() {
	variables := in.plan().Variables()
	z := batch.Columns(len(variables), in.rows())
	per := len(in.inRow)
	for g := range rowGroups {
		for i, v := range variables {
			stream := sim.NewStream(in.Seed, "strata/inner", uint64(g), v.Name)
			for r := g * per; r < (g+1)*per; r++ {
				z[i][r] = dist.NormalQuantile(stream.Uniform())
			}
		}
		stream := sim.NewStream(in.Seed, "strata/inner", uint64(g), along)
		for r, h := range in.inRow {
			in.direction.move(z, g*per+r, in.strata[h].score(stream.Uniform()))
		}
	}
	in.x = batch.Columns(len(variables), in.rows())
	in.plan().FromNormal(z, in.x)
}

// evaluate returns the estimate Σ W k/n of each set of rows at each point:
// probabilities[m][g].
func (in *inner) evaluate(ctx context.Context, q sim.Requirement) ([][]float64, error) {
	output := slices.IndexFunc(in.scenario.Model.Outputs(), func(o sim.Output) bool { return o.Name == q.Output })
	values := in.values()
	probabilities := batch.Columns(in.points(), rowGroups)
	type columns struct{ x, y [][]float64 }
	scratch := func() columns {
		c := columns{slices.Clone(in.x), batch.Columns(len(in.scenario.Model.Outputs()), in.rows())}
		for _, v := range in.unknown { // these are its own
			c.x[v] = make([]float64, in.rows())
		}
		return c
	}
	err := batch.EachWith(ctx, in.Workers, in.points(), scratch, func(c columns, m int) error {
		for _, v := range in.unknown {
			for r := range c.x[v] {
				c.x[v][r] = values[v][m]
			}
		}
		in.scenario.Model.Evaluate(c.x, c.y)
		in.count(q, c.y[output], probabilities[m])
		return nil
	})
	return probabilities, err
}

// values are those of the unknown inputs at the points, by variable.
func (in *inner) values() [][]float64 {
	z := batch.Columns(len(in.plan().Variables()), in.points())
	for j, v := range in.unknown {
		copy(z[v], in.scores[j])
	}
	in.plan().FromNormal(z, z)
	return z
}

func (in *inner) count(q sim.Requirement, y, probability []float64) {
	per := len(in.inRow)
	for r, value := range y {
		if q.Exceeded(value) {
			h := in.inRow[r%per]
			probability[r/per] += in.strata[h].probability / float64(in.perGroup[h])
		}
	}
}
