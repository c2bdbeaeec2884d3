//go:build coverage

package card

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestPiecesAgainstTwoDimensions over its whole range, -v for the table. Inner pieces
// need a short base: Lp/H over cot(theta).
func TestPiecesOverTheirRange(t *testing.T) {
	for _, degrees := range []float64{30, 45, 60} {
		for _, length := range []float64{1.5, 2, 2.3, 3, 4} {
			c := trapezoids{length: length, angle: degrees * math.Pi / 180, divided: 16}
			if length*math.Tan(c.angle) < 1.05 {
				continue
			}
			for _, c.pieces = range []int{3, 5, 9} {
				for _, c.fall = range []float64{1, 1.2} {
					low, high := math.Inf(1), 0.0
					for _, c.base = range []float64{0.024, 0.25, 1, 2.4} {
						for _, c.ramp = range []float64{0.024, 0.25, 1, 2.4} {
							exact, off := c.extrapolated()
							assert.Less(t, off, 3e-3)
							ratio := c.lumped(t) / exact
							low, high = min(low, ratio), max(high, ratio)
							assert.InDelta(t, 1, ratio, trapezoidTolerance, "%+v", c)
						}
					}
					t.Logf("theta %g, Lp/H %g, %d pieces, fall %g: lumped over exact %.4f to %.4f", degrees, length, c.pieces, c.fall, low, high)
				}
			}
		}
	}
}
