package strata

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/interval"
)

// estimate turns the probabilities at the points, by set of rows, into their
// distribution over the unknown inputs.
func (b basis) estimate(scores, probabilities [][]float64, o KnowledgeOptions) (*Unknown, error) {
	design := b.matrix(scores)
	weight := weights(probabilities)
	misfit, err := b.misfit(design, probabilities, weight)
	if err != nil {
		return nil, err
	}
	reading := b.reading(o.Seed)
	read := func(probability, weight []float64) (summary, error) {
		fit, err := b.fit(design, probability, weight)
		if err != nil {
			return summary{}, err
		}
		return reading.of(fit, misfit, o.Confidence), nil
	}
	mean := average(probabilities, func(int) bool { return true })
	all, err := read(mean, weight)
	if err != nil {
		return nil, err
	}
	byRows, err := jackknife(rowGroups, all, math.Log, func(g int) (summary, error) {
		return read(average(probabilities, func(other int) bool { return other != g }), weight)
	})
	if err != nil {
		return nil, err
	}
	byPoints, err := jackknife(pointGroups, all, math.Log, func(g int) (summary, error) {
		return read(mean, without(weight, g))
	})
	if err != nil {
		return nil, err
	}
	u := &Unknown{Spread: all.spread, Misfit: misfit}
	for i, e := range []*sim.Estimate{&u.Mixed, &u.Median, &u.Upper} {
		factor := math.Exp(interval.StudentTUpper((1-o.Confidence)/2, pointGroups-1) * scatter(byRows[i], byPoints[i]))
		*e = sim.Estimate{
			Value: all.values[i], Low: all.values[i] / factor, High: min(1, all.values[i]*factor),
			Level: o.Confidence, Achieved: o.Confidence, Method: "surface over the unknown inputs, jackknife over rows and points",
		}
	}
	if misfit > farFromSurface*u.Spread {
		u.Warnings = append(u.Warnings, sim.Warning{Code: SurfaceMisfit, Text: fmt.Sprintf(
			"the probability does not follow a smooth surface over the unknown inputs: %.2g beside a spread of %.2g normal scores is counted as further spread", misfit, u.Spread)})
	}
	return u, nil
}

// jackknife returns the pseudo-values of a summary on a scale, n scale(all) -
// (n-1) scale(part), over its parts: each leaves one group of rows or points out.
func jackknife(groups int, all summary, scale func(float64) float64, without func(group int) (summary, error)) (pseudo [3][]float64, err error) {
	n := float64(groups)
	for g := range groups {
		part, err := without(g)
		if err != nil {
			return pseudo, err
		}
		for i := range pseudo {
			pseudo[i] = append(pseudo[i], n*scale(all.values[i])-(n-1)*scale(part.values[i]))
		}
	}
	return pseudo, nil
}

// reading is where surfaces are read: the terms at points of the space, and a
// normal score for the misfit.
type reading struct {
	terms *mat.Dense
	extra []float64
}

func (b basis) reading(seed uint64) reading {
	scores := batch.Columns(b.inputs()+1, min(mostReadings, readingsPerInput*(b.inputs()+1)))
	names := make([]string, len(scores))
	for j := range names {
		names[j] = fmt.Sprint(j)
	}
	sim.Halton{}.Fill(scores, names, seed, 0)
	for _, column := range scores {
		for r, u := range column {
			column[r] = dist.NormalQuantile(u)
		}
	}
	return reading{b.matrix(scores[:b.inputs()]), scores[b.inputs()]}
}

// summary holds the mean, the median and the upper quantile.
type summary struct {
	values [3]float64
	spread float64
}

func (r reading) of(s surface, misfit, confidence float64) summary {
	spread := stat.StdDev(r.heights(s, 0), nil)
	z := r.heights(s, misfit)
	slices.Sort(z)
	mean := 0.0
	for _, height := range z {
		mean += dist.NormalSurvival(height) / float64(len(z))
	}
	// The higher the score, the smaller the probability.
	at := func(p float64) float64 { return dist.NormalSurvival(stat.Quantile(p, stat.LinInterp, z, nil)) }
	return summary{[3]float64{mean, at(0.5), at(1 - confidence)}, spread}
}
