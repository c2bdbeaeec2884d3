package force

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// named looks a thread of the table up.
func named(t testing.TB, name string) *Thread {
	t.Helper()
	thread, err := ThreadNamed(name)
	require.NoError(t, err)
	return thread
}

func TestThreadNamedTakesTheUsualSpellings(t *testing.T) {
	spellings := map[string][]string{
		"M3":            {"M3", "m3", " M3 ", "M3x0.5", "M3 x 0.50", "M3×0,5"},
		"M2.5":          {"m2.5", "M2,5", "M2.5x0.45"},
		"M3.5":          {"M3.5", "m3,5", "M3.5 x 0.6"},
		"No. 8-32 UNC":  {"#8-32", "8-32", "# 8 - 32 unc"},
		"M6":            {"M6", "M6 x 1.0", "M6x1"},
		"M8":            {"M8", "M8x1.25"},
		"M8x1":          {"m8X1", "M8 x 1.0"},
		"M12x1.25":      {"M12 x 1.25"},
		"No. 4-40 UNC":  {"No. 4-40 UNC", "#4-40 UNC", "4-40", "no 4-40", "No.4-40", "#4-40unc"},
		"No. 10-32 UNF": {"10-32", "#10-32 UNF"},
		"1/4-20 UNC":    {"1/4-20", `1/4"-20 UNC`, "1/4-20 UNC-2B", "1/4-20-3A"},
		// Classes of tolerance as ASME B1.1 and ISO 965-1 write them (from memory).
		"No. 6-32 UNC": {"6-32 UNC-2A", "#6-32 UNC - 3B", "6-32 unc 2a"},
		"M4":           {"M4-6g", "M4 x 0.7 - 6H", "M4-4g6g"},
	}
	for want, names := range spellings {
		for _, name := range names {
			assert.Equal(t, want, named(t, name).Designation, name)
		}
	}
	for _, name := range ThreadNames() {
		assert.Equal(t, name, named(t, name).Designation)
	}
}

func TestThreadNamedListsNearNames(t *testing.T) {
	for name, want := range map[string]string{
		"M10x1":       "nearest: M10x1.25;",
		"#10-32UNC":   "nearest: No. 10-32 UNF;",
		"6-40":        "nearest: No. 6-32 UNC;",
		"1/4-24":      "nearest: 1/4-20 UNC, 1/4-28 UNF;",
		"6-32 UNC-4A": "nearest: No. 6-32 UNC;",
		"M7":          "nearest: M2.5, M3, M3.5, M4,",
		"":            "nearest: M2.5, M3, M3.5, M4,",
	} {
		_, err := ThreadNamed(name)
		assert.ErrorContains(t, err, want, name)
	}
}

func TestThreadNamedReturnsACopy(t *testing.T) {
	named(t, "M3").Pitch = 1
	assert.NotEqual(t, 1.0, named(t, "M3").Pitch)
}

// ISO 965-1 limits, mm: major min, pitch min, nut pitch max, nut minor max. The
// screw's are printed in ASME B1.13M tables; the nut's are from memory.
func TestMetricLimitsOfSize(t *testing.T) {
	for name, want := range map[string][4]float64{
		"M2.5": {2.380, 2.117, 2.303, 2.138},
		"M3":   {2.874, 2.580, 2.775, 2.599},
		"M3.5": {3.354, 3.004, 3.222, 3.010}, // all from memory
		"M4":   {3.838, 3.433, 3.663, 3.422},
		"M5":   {4.826, 4.361, 4.605, 4.334},
		"M6":   {5.794, 5.212, 5.500, 5.153},
		"M8":   {7.760, 7.042, 7.348, 6.912},
		"M8x1": {7.794, 7.212, 7.500, 7.153},
		"M10":  {9.732, 8.862, 9.206, 8.676},
	} {
		assertLimits(t, named(t, name), want, millimetre, 0.001) // printed to 0.001 mm, rounded twice
	}
}

// ASME B1.1 limits, inch, the same four. Pitch and minor diameters of the coarse 2B
// threads are printed in published tables; the others are from memory.
func TestUnifiedLimitsOfSize(t *testing.T) {
	for name, want := range map[string][4]float64{
		"4-40":   {0.1061, 0.0925, 0.0991, 0.0939},
		"6-32":   {0.1312, 0.1141, 0.1214, 0.1140},
		"8-32":   {0.1571, 0.1399, 0.1475, 0.1390},
		"10-24":  {0.1818, 0.1586, 0.1672, 0.1560},
		"10-32":  {0.1831, 0.1658, 0.1736, 0.1640},
		"1/4-20": {0.2408, 0.2127, 0.2224, 0.2070},
		"1/4-28": {0.2425, 0.2225, 0.2311, 0.2200},
	} {
		// The minor diameter is printed to 0.001 in from No. 5 up, the others to 0.0001 in.
		assertLimits(t, named(t, name), want, inch, 0.0006)
		assertLimits(t, named(t, name), [4]float64{want[0], want[1], want[2], named(t, name).NutMinorMax / inch}, inch, 0.00011)
	}
}

func assertLimits(t *testing.T, thread *Thread, want [4]float64, unit, tolerance float64) {
	t.Helper()
	got := []float64{thread.ScrewMajorMin, thread.ScrewPitchMin, thread.NutPitchMax, thread.NutMinorMax}
	for i := range got {
		assert.InDelta(t, want[i], got[i]/unit, tolerance, "%s limit %d", thread.Designation, i)
	}
}

func TestOwnDataAgreesWithTheTable(t *testing.T) {
	for _, want := range threads[:12] { // the metric ones
		got, err := NewThread(want.Pitch, want.PitchDiameter, want.StressArea)
		require.NoError(t, err)
		assert.InEpsilon(t, want.MajorDiameter, got.MajorDiameter, 1e-14)
		assert.InEpsilon(t, want.MinorDiameter, got.MinorDiameter, 1e-14)
		assert.InEpsilon(t, want.NutMinorDiameter, got.NutMinorDiameter, 1e-14)
		// The standard rounds tolerances to preferred numbers, 6 % apart.
		for _, ratio := range []float64{got.NutShearArea() / want.NutShearArea(), got.ScrewShearArea() / want.ScrewShearArea()} {
			assert.Greater(t, ratio, 0.97, want.Designation)
			assert.Less(t, ratio, 1.015, want.Designation)
		}
		// d_s = (d2 + d3)/2 by definition; rounding only.
		assert.InEpsilon(t, (want.PitchDiameter+want.MinorDiameter)/2, want.StressDiameter(), 1e-14)
	}
}

func TestNewThreadRefuses(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		pitch, diameter, area float64
		field                 string
	}{
		{0, 2.675e-3, 5e-6, "pitch 0"},
		{0.5, 2.675, 5, "pitch 0.5"}, // millimetres for metres
		{nan, 2.675e-3, 5e-6, "pitch NaN"},
		{0.5e-3, 0.9e-3, 5e-6, "pitch diameter"},
		{0.5e-3, 2.675, 5e-6, "pitch diameter"},
		{0.5e-3, nan, 5e-6, "pitch diameter"},
		{0.5e-3, 2.675e-3, 5.03, "stress area"},
		{0.5e-3, 2.675e-3, 1e-6, "stress area"},
		{0.5e-3, 2.675e-3, nan, "stress area"},
	} {
		_, err := NewThread(c.pitch, c.diameter, c.area)
		assert.ErrorContains(t, err, c.field)
	}
}
