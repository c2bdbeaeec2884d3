package interval

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Computed from the definition by an independent program (SciPy 1.10.1); the
// published ones among them are in the outside checks.
func TestToleranceSizes(t *testing.T) {
	for _, row := range []struct {
		coverage, confidence float64
		sizes                []int64
	}{
		{0.90, 0.90, []int64{22, 38, 52, 65, 78, 91, 104, 116, 128, 140}},
		{0.90, 0.95, []int64{29, 46, 61, 76, 89, 103, 116, 129, 142, 154}},
		{0.95, 0.90, []int64{45, 77, 105, 132, 158, 184, 209, 234, 258, 282}},
		{0.95, 0.95, []int64{59, 93, 124, 153, 181, 208, 234, 260, 286, 311}},
		{0.95, 0.99, []int64{90, 130, 165, 198, 229, 259, 288, 316, 344, 371}},
		{0.99, 0.95, []int64{299, 473, 628, 773, 913, 1049, 1182, 1312, 1441, 1568}},
		{0.99, 0.99, []int64{459, 662, 838, 1001, 1157, 1307, 1453, 1596, 1736, 1874}},
		{0.9973, 0.95, []int64{1109, 1756, 2330, 2870, 3388, 3891, 4384, 4867, 5343, 5814}},
		{0.999, 0.95, []int64{2995, 4742, 6294, 7752, 9151, 10511, 11840, 13146, 14432, 15702}},
		{0.9999, 0.95, []int64{29956, 47437, 62956}},
	} {
		for i, want := range row.sizes {
			assert.Equal(t, want, ToleranceSize(row.coverage, row.confidence, i+1), "%v/%v m=%d", row.coverage, row.confidence, i+1)
		}
	}
}

func TestZeroEventSizes(t *testing.T) {
	for p, want := range map[float64]int64{
		0.05: 59, 0.01: 299, 1e-3: 2995, 1e-4: 29956, 1e-5: 299572, 1e-6: 2995731, 1e-7: 29957322,
	} {
		assert.Equal(t, want, ZeroEventSize(p, 0.95), "p = %g", p)
		assert.LessOrEqual(t, UpperBoundZero(float64(want), 0.95), p)
		assert.Greater(t, UpperBoundZero(float64(want-1), 0.95), p)
	}
}

func TestInvalidSizesPanic(t *testing.T) {
	assert.Panics(t, func() { ToleranceSize(0.95, 0.95, 0) })
	assert.Panics(t, func() { ToleranceSize(1, 0.95, 1) })
	assert.Panics(t, func() { ZeroEventSize(0, 0.95) })
}
