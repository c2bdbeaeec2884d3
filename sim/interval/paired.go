package interval

import (
	"fmt"
	"math"
)

// Paired counts trials run twice on the same draws, before and after a change.
// The counts may be real: dependent trials are scaled to their effective number.
type Paired struct {
	OnlyNew float64 // b: fails only after the change
	OnlyOld float64 // c: fails only before the change
	Total   float64 // n: all trials
}

// Difference returns (b-c)/n, the change of the failure probability.
func (p Paired) Difference() float64 { return (p.OnlyNew - p.OnlyOld) / p.Total }

// must panics unless the counts are possible.
func (p Paired) must() {
	if !(p.OnlyNew >= 0 && p.OnlyOld >= 0 && p.OnlyNew+p.OnlyOld <= p.Total && p.Total > 0 && p.Total < 1e100) {
		panic(fmt.Sprintf("interval: impossible counts %+v", p))
	}
}

// McNemar holds the tests of "no change" on the discordant pairs.
type McNemar struct {
	Z     float64 // (b-c)/sqrt(b+c); 0 without discordant pairs
	Exact float64 // two-sided exact p-value
	MidP  float64 // two-sided mid-P value
}

// McNemar tests that the change makes no difference. No significant difference
// is never a proof of no difference: judge a change with Judge.
//
// Exact is 2 P(Bin(b+c, 1/2) <= min(b, c)), at most 1; MidP takes one point
// probability off. Source: McNemar, Psychometrika 12 (1947) 153; Fagerland,
// Lydersen, Laake, BMC Med. Res. Methodol. 13 (2013) 91.
func (p Paired) McNemar() McNemar {
	p.must()
	discordant := p.OnlyNew + p.OnlyOld
	if discordant == 0 {
		return McNemar{Exact: 1, MidP: 1}
	}
	// P(Bin(m, 1/2) <= k) = I_½(m-k, k+1), for real counts too.
	k := min(p.OnlyNew, p.OnlyOld)
	upTo, _ := betaTails(discordant-k, k+1, 0.5, 0.5)
	below := 0.0
	if k > 0 {
		below, _ = betaTails(discordant-k+1, k, 0.5, 0.5)
	}
	return McNemar{
		Z:     (p.OnlyNew - p.OnlyOld) / math.Sqrt(discordant),
		Exact: math.Min(1, 2*upTo),
		MidP:  math.Min(1, upTo+below),
	}
}
