package sim

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"clampodds/sim/interval"
	"clampodds/sim/result"
)

// clusterSums are sums over independent clusters of dependent values: of k, the
// number counted in a cluster, and m, the number of its values.
type clusterSums struct {
	clusters    int64
	count       uint64 // Σ k
	square      uint64 // Σ k²
	cross       uint64 // Σ k m
	size        uint64 // Σ m
	sizeSquares uint64 // Σ m²
	// together is the number of values, a group, that may all go together at
	// worst; replicates says that a cluster is a block of many groups.
	together   int
	replicates bool
}

const (
	// fewClusters is the effective number of groups with events below which
	// their scatter says too little.
	fewClusters = 10
	// fewPerBlock is the same for the mean number of events in a block.
	fewPerBlock = 5
	// mostEffective keeps effective sizes within what the exact intervals are
	// made for; lower than the truth is on the safe side.
	mostEffective = 1e11
)

// independent reports that every value is a cluster of its own.
func (c clusterSums) independent() bool { return !c.replicates && c.together == 1 }

func (c clusterSums) methodSuffix() string {
	if c.independent() {
		return ""
	}
	return ", effective sample size"
}

// rarer returns the sums of what is rarer, counted or not counted: both have
// the same scatter.
func (c clusterSums) rarer() clusterSums {
	if c.count <= c.size-c.count {
		return c
	}
	r := c
	r.count = c.size - c.count
	r.square = c.sizeSquares - 2*c.cross + c.square
	r.cross = c.sizeSquares - c.cross
	return r
}

// effective returns the number of independent values with the same variance of
// the share Σk/Σm: the number of values over the design effect, corrected for
// the degrees of freedom, clusters - 1, by the square of the ratio of normal to
// Student quantiles (Korn & Graubard 1998).
//
// With too few events to see how they go together the group counts as one.
func (c clusterSums) effective(level float64) (float64, []Warning) {
	n := float64(c.size)
	if c.independent() {
		return n, nil
	}
	r := c.rarer()
	worst := float64(c.together)
	if c.clusters < 2 || r.count == 0 {
		return n / worst, nil
	}
	effect := r.designEffect()
	var warnings []Warning
	switch {
	case r.few():
		effect = math.Max(effect, worst)
		if worst > 1 {
			warnings = append(warnings, result.Warn(FewClusters, "%d events are too few to see how they go together; all cards of a group are taken to go together", r.count))
		}
	case !c.replicates:
		effect = math.Max(effect, 1)
	}
	return effectiveSize(n, effect, c.clusters, level), warnings
}

// effectiveSize divides n by a design effect estimated from clusters and
// corrects it for their degrees of freedom.
func effectiveSize(n, effect float64, clusters int64, level float64) float64 {
	tail := (1 - level) / 2
	ratio := mathext.NormalQuantile(tail) / interval.StudentTUpper(tail, float64(clusters-1))
	return math.Min(n/effect*ratio*ratio, mostEffective)
}

// few reports that the events are too few to see how they go together.
func (c clusterSums) few() bool {
	if c.replicates {
		return float64(c.count) < fewPerBlock*float64(c.clusters)
	}
	// (Σk)²/Σk² is at most the number of clusters with events.
	return float64(c.count)/float64(c.square)*float64(c.count) < fewClusters
}

// designEffect is the variance of the share over that of independent values.
// The share is a ratio: its variance is C/(C-1) Σ(k - share m)²/(Σm)², C the
// number of clusters (Cochran, Sampling Techniques, 3rd ed. 1977, sec. 9A.2).
func (c clusterSums) designEffect() float64 {
	clusters, size := float64(c.clusters), float64(c.size)
	share := float64(c.count) / size
	residuals := float64(c.square) - 2*share*float64(c.cross) + share*share*float64(c.sizeSquares)
	// Counts are whole: a spread below one count in all clusters cannot be seen.
	residuals = math.Max(residuals, 1)
	variance := clusters / (clusters - 1) * residuals / (size * size)
	return variance / (share * (1 - share) / size)
}

// effective returns the effective number of rows for the difference of two
// probabilities, by the same rules.
func (t pairTally) effective(l layout) float64 {
	n, clusters := float64(l.rows), float64(l.clusters())
	if l.clusterRows() == 1 {
		return n
	}
	worst := float64(l.rowsPerGroup)
	discordant := float64(t.onlyFirst + t.onlyOther)
	if clusters < 2 || discordant == 0 {
		return n / worst
	}
	difference := float64(t.onlyOther) - float64(t.onlyFirst)
	residuals := math.Max(float64(t.differenceSquares)-difference*difference/clusters, 1)
	effect := clusters / (clusters - 1) * residuals / (discordant - difference*difference/n)
	few := discordant < fewClusters*worst
	if l.replicates {
		few = discordant < fewPerBlock*clusters
	}
	switch {
	case few:
		effect = math.Max(effect, worst)
	case !l.replicates:
		effect = math.Max(effect, 1)
	}
	return effectiveSize(n, effect, l.clusters(), l.confidence)
}
