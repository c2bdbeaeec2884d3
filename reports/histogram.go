package reports

import (
	"clampodds/reports/figure"
	"clampodds/sim"
)

// HistogramBins merges the fine bins of a simulated quantity into at most n >= 2
// bins for a figure, in the unit for people. Values that are not finite are left
// out. Nothing is changed.
func HistogramBins(h *sim.Histogram, u Unit, n int) figure.Bins {
	var middles, counts []float64
	for b := range h.Bins() {
		middles, counts = append(middles, u.Of(b.Middle())), append(counts, float64(b.Count))
	}
	return figure.Rebin(middles, counts, n)
}
