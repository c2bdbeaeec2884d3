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
	// x holds the values of the rows, by design; the columns of the unknown inputs
	// are not used. inRow is the stratum of each row of a set, perGroup the number of
	// rows of each stratum in a set.
	x        [][][]float64
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
	in.spread(b.index)
	in.allocate(share)
	in.draw()
	return in, nil
}

func (in *inner) points() int { return len(in.scores[0]) }
func (in *inner) rows() int   { return rowGroups * len(in.inRow) }

// names are those of the unknown inputs.
func (in *inner) names() (names []string) {
	for _, v := range in.unknown {
		names = append(names, in.plan().Variables()[v].Name)
	}
	return names
}

// evaluations is the number of rows evaluated, small samples included.
func (in *inner) evaluations() int64 {
	return in.done + int64(len(in.designs())*in.points()*in.rows())
}

// The scores along the index between which the points are spread evenly: from below the
// median to well beyond the upper quantile that is asked for, since the probability is
// seen where it is large. A surface is fitted, so that the points need not follow the
// distribution of the unknown inputs.
const lowestAlong, beyondQuantile = -0.75, 1.1

// spread moves the points along the index of the unknown inputs. A change of a
// probability may have its quantile on either side.
func (in *inner) spread(index []float64) {
	toward := direction{weight: index}
	for j := range index {
		toward.variable = append(toward.variable, j)
	}
	highest := dist.NormalQuantile(in.Confidence) + beyondQuantile
	lowest := lowestAlong
	if in.partner != nil {
		lowest = -highest
	}
	for m := range in.points() {
		// Even steps of the golden section, so that groups of points are spread alike.
		_, place := math.Modf((float64(m) + 0.5) * math.Phi)
		toward.move(in.scores, m, lowest+place*(highest-lowest))
	}
}

// allocate gives half the rows of a set to the strata alike, since each point has
// its limit elsewhere, and half in proportion to W sqrt(p).
func (in *inner) allocate(share []float64) {
	perGroup := max(fewestGroupRows, int(in.Most/int64(in.points()*rowGroups)))
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

// draw fills the values of the rows: scores by the variables' names, so that designs
// share those of the variables they share.
func (in *inner) draw() {
	lead := in.independent(in.plan())
	per := len(in.inRow)
	for g := range rowGroups {
		stream := sim.NewStream(in.Seed, "strata/inner", uint64(g), along)
		for r, h := range in.inRow {
			in.direction.move(lead, g*per+r, in.strata[h].score(stream.Uniform()))
		}
	}
	for _, d := range in.designs() {
		z := lead
		if d.Plan != in.plan() {
			z = in.independent(d.Plan)
			for i, v := range in.plan().Variables() { // moved along the direction
				if at := variableAt(d.Plan, v.Name); at >= 0 {
					z[at] = lead[i]
				}
			}
		}
		x := batch.Columns(len(z), in.rows())
		d.Plan.FromNormal(z, x)
		in.x = append(in.x, x)
	}
}

// independent are independent scores of the rows for the variables of a plan.
func (in *inner) independent(plan *sim.Plan) [][]float64 {
	z, per := batch.Columns(len(plan.Variables()), in.rows()), len(in.inRow)
	for g := range rowGroups {
		for i, v := range plan.Variables() {
			stream := sim.NewStream(in.Seed, "strata/inner", uint64(g), v.Name)
			for r := g * per; r < (g+1)*per; r++ {
				z[i][r] = dist.NormalQuantile(stream.Uniform())
			}
		}
	}
	return z
}

// variableAt is the position of a variable in a plan, or -1.
func variableAt(plan *sim.Plan, name string) int {
	return slices.IndexFunc(plan.Variables(), func(v sim.Variable) bool { return v.Name == name })
}

// evaluate returns, by design, the estimate Σ W k/n of each set of rows at each
// point: probabilities[d][m][g].
func (in *inner) evaluate(ctx context.Context, q sim.Requirement) ([][][]float64, error) {
	var all [][][]float64
	for d, design := range in.designs() {
		probabilities, err := in.evaluateDesign(ctx, d, design, q)
		if err != nil {
			return nil, err
		}
		all = append(all, probabilities)
	}
	return all, nil
}

func (in *inner) evaluateDesign(ctx context.Context, d int, design sim.Scenario, q sim.Requirement) ([][]float64, error) {
	output := slices.IndexFunc(design.Model.Outputs(), func(o sim.Output) bool { return o.Name == q.Output })
	values := in.values(design.Plan)
	probabilities := batch.Columns(in.points(), rowGroups)
	type columns struct{ x, y [][]float64 }
	scratch := func() columns {
		c := columns{slices.Clone(in.x[d]), batch.Columns(len(design.Model.Outputs()), in.rows())}
		for v := range values { // these are its own
			c.x[v] = make([]float64, in.rows())
		}
		return c
	}
	err := batch.EachWith(ctx, in.Workers, in.points(), scratch, func(c columns, m int) error {
		for v, value := range values {
			for r := range c.x[v] {
				c.x[v][r] = value[m]
			}
		}
		design.Model.Evaluate(c.x, c.y)
		in.count(q, c.y[output], probabilities[m])
		return nil
	})
	return probabilities, err
}

// values are those of the unknown inputs at the points, by their position in a plan
// that has them.
func (in *inner) values(plan *sim.Plan) map[int][]float64 {
	z := batch.Columns(len(plan.Variables()), in.points())
	position := make([]int, len(in.unknown))
	for j, v := range in.unknown {
		position[j] = variableAt(plan, in.plan().Variables()[v].Name)
		copy(z[position[j]], in.scores[j])
	}
	plan.FromNormal(z, z)
	values := map[int][]float64{}
	for _, at := range position {
		values[at] = z[at]
	}
	return values
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
