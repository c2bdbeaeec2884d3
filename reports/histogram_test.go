package reports

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/sim"
)

func TestHistogramBinsAreInTheUnitForPeople(t *testing.T) {
	h := sim.NewHistogram(1e-4, 1)
	h.Add([]float64{350.10, 350.60, 350.60, 352.90, math.Inf(1)})
	celsius := Unit{"°C", func(si float64) float64 { return si - 273.15 }}
	bins := HistogramBins(h, celsius, 10)
	// 76.95, twice 77.45 and 79.75 °C in bins of 0.5 K.
	assert.InDeltaSlice(t, []float64{76.5, 77, 77.5, 78, 78.5, 79, 79.5, 80}, bins.Edges, 1e-12)
	assert.Equal(t, []float64{1, 2, 0, 0, 0, 0, 1}, bins.Counts)
}
