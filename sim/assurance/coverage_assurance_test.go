//go:build coverage

package assurance

import (
	"math/rand/v2"
	"testing"
)

// The numbers of TestReadingsDecide over more cases, 4000 tests each: standard error 0.006.
func TestReadingsDecideEverywhere(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 4))
	for _, c := range []struct {
		n         int
		k, target float64
	}{
		{8, 3, 3e-2}, {8, 3.6, 1e-2}, {12, 3, 1e-2}, {12, 3.4, 1e-2}, {12, 4.2, 1e-3}, {20, 3.8, 1e-3},
		{30, 2.6, 1e-2}, {30, 3.5, 1e-3}, {30, 4.5, 1e-4}, {100, 2.5, 1e-2}, {100, 3.3, 1e-3},
	} {
		checkDecisions(t, r, c.n, c.k, c.target, 4000)
	}
}
