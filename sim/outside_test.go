package sim

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
	"clampodds/reports/validation"
)

const supplement1 = "JCGM 101:2008 (GUM Supplement 1), "

// propagate samples a formula of independent (or given correlated) inputs.
func propagate(t *testing.T, samples int64, bin float64, corr []Correlation, value func(x []float64) float64, dists ...dist.Distribution) Quantity {
	t.Helper()
	var vars []Variable
	for i, d := range dists {
		vars = append(vars, variable(fmt.Sprint("X", i+1), d))
	}
	inputs, err := NewInputs(vars, corr, 1)
	if err != nil {
		t.Fatal(err)
	}
	return execute(t, Run{
		Scenarios: []Scenario{{Name: "s", Inputs: inputs, Model: formula{bin, value}}},
		Sampler:   Random{}, Seed: 101, Samples: samples, Confidence: 0.95,
	}).Scenarios[0].Quantities[0]
}

// standardDeviation is that of a quantity's values.
func standardDeviation(q Quantity) float64 {
	_, deviation := q.Histogram.MeanStdDev()
	return deviation
}

// shortestInterval returns the shortest interval between bins that holds the
// share of the values (JCGM 101, 7.7.4).
func shortestInterval(h *Histogram, share float64) (low, high float64) {
	var bins []Bin
	for b := range h.Bins() {
		bins = append(bins, b)
	}
	low, high = math.Inf(-1), math.Inf(1)
	inside, first := int64(0), 0
	for _, b := range bins {
		inside += b.Count
		for float64(inside-bins[first].Count) >= share*float64(h.Finite()) {
			inside -= bins[first].Count
			first++
		}
		if float64(inside) >= share*float64(h.Finite()) && b.High-bins[first].Low < high-low {
			low, high = bins[first].Low, b.High
		}
	}
	return low, high
}

func fourErrors(samples int64) string {
	return fmt.Sprintf("4 standard errors at %.0e samples: one false alarm in 16 000", float64(samples))
}

// Tolerances of random checks: 4 standard errors, of a mean sd/sqrt(n), of a
// standard deviation about sd/sqrt(2n) (less for short tails), of a percentile
// sqrt(p(1-p)/n)/density.
func TestOutsideSamplingChain(t *testing.T) {
	if testing.Short() {
		t.Skip("millions of rows")
	}
	var cases []validation.Case
	cases = append(cases, additiveModel(t)...)
	cases = append(cases, massCalibration(t)...)
	cases = append(cases, comparisonLoss(t)...)
	cases = append(cases, gaugeBlock(t)...)
	cases = append(cases, slotMisfit(t))
	validation.Check(t, "Sampling chain (GUM Supplement 1)", cases)
}

// additiveModel is example 9.2: the sum of four inputs.
func additiveModel(t *testing.T) []validation.Case {
	const n = 1_000_000
	unit := uniform(-math.Sqrt(3), math.Sqrt(3))
	wide := uniform(-10*math.Sqrt(3), 10*math.Sqrt(3))
	var cases []validation.Case
	for _, c := range []struct {
		name          string
		inputs        []dist.Distribution
		u, upper      float64
		density       float64 // of the sum at the upper end, about
		standingUpper validation.Standing
	}{
		{"9.2.2, four normal", []dist.Distribution{normal(0, 1), normal(0, 1), normal(0, 1), normal(0, 1)}, 2, 3.919927969, 0.029, validation.Computed},
		{"9.2.3, four rectangular", []dist.Distribution{unit, unit, unit, unit}, 2, 3.879406741347821, 0.029, validation.Computed},
		{"9.2.4, one dominant rectangular", []dist.Distribution{unit, unit, unit, wide}, math.Sqrt(103), 17.0158140999, 0.015, validation.Computed},
	} {
		q := propagate(t, n, 1e-4, nil, sum, c.inputs...)
		high, low := q.Percentile(0.975).Value, q.Percentile(0.025).Value
		endError := 4 * math.Sqrt(0.975*0.025/n) / c.density
		cases = append(cases,
			validation.Case{
				Name: "example " + c.name + ": y", Source: supplement1 + "example 9.2", Standing: validation.FromMemory,
				Expected: 0, Obtained: q.Mean().Value, Absolute: 4 * c.u / 1e3, Reason: fourErrors(n),
			},
			validation.Case{
				Name: "example " + c.name + ": u", Source: supplement1 + "example 9.2; exact root of the summed variances", Standing: validation.Computed,
				Expected: c.u, Obtained: standardDeviation(q), Relative: 4 / math.Sqrt(2*n), Reason: fourErrors(n),
			},
			validation.Case{
				Name: "example " + c.name + ": upper end of 95 %", Source: supplement1 + "example 9.2 (rounds to it); exact", Standing: c.standingUpper,
				Expected: c.upper, Obtained: high, Absolute: endError, Reason: fourErrors(n),
			},
			validation.Case{
				Name: "example " + c.name + ": lower end of 95 %", Source: supplement1 + "example 9.2 (rounds to it); exact", Standing: c.standingUpper,
				Expected: -c.upper, Obtained: low, Absolute: endError, Reason: fourErrors(n),
			})
	}
	return cases
}

// massCalibration is example 9.3, in mg and kg/m³.
func massCalibration(t *testing.T) []validation.Case {
	const n = 1_000_000
	model := func(x []float64) float64 {
		mass, deviation, air, weight, reference := x[0], x[1], x[2], x[3], x[4]
		return (mass+deviation)*(1+(air-1.2)*(1/weight-1/reference)) - 100_000
	}
	q := propagate(t, n, 1e-5, nil, model, normal(100_000, 0.050), normal(1.234, 0.020),
		uniform(1.10, 1.30), uniform(7000, 9000), uniform(7950, 8050))
	low, high := shortestInterval(q.Histogram, 0.95)
	return []validation.Case{
		{
			Name: "example 9.3 mass calibration: y", Source: supplement1 + "example 9.3", Standing: validation.FromMemory, Unit: "mg",
			Expected: 1.2340, Obtained: q.Mean().Value, Absolute: 4*0.0755/1e3 + 5e-5, Reason: fourErrors(n) + ", and the last digit printed",
		},
		{
			Name: "example 9.3 mass calibration: u", Source: supplement1 + "example 9.3 (0.0754); exact variance", Standing: validation.Computed, Unit: "mg",
			Expected: 0.0754797400, Obtained: standardDeviation(q), Relative: 4 / math.Sqrt(2*n), Reason: fourErrors(n),
		},
		{
			Name: "example 9.3 mass calibration: width of the shortest 95 %", Source: supplement1 + "example 9.3", Standing: validation.FromMemory, Unit: "mg",
			Expected: 0.2991, Obtained: high - low, Absolute: 0.002, Reason: "the shortest interval has a flat minimum",
		},
	}
}

// comparisonLoss is example 9.4, in units of 1e-6.
func comparisonLoss(t *testing.T) []validation.Case {
	const n = 1_000_000
	var cases []validation.Case
	for _, c := range []struct {
		correlation, x1 float64
		low, high       float64 // shortest 95 %, published
	}{
		{0, 0, 0, 150},
		{0, 0.010, 0, 367},
		{0, 0.050, 1590, 3543},
		{0.9, 0, 0, 185},
		{0.9, 0.010, 13, 398},
		{0.9, 0.050, 1628, 3555},
	} {
		const u = 0.005
		var corr []Correlation
		if c.correlation != 0 {
			corr = []Correlation{{"X1", "X2", rankCorrelation(c.correlation)}}
		}
		q := propagate(t, n, 0.01, corr, func(x []float64) float64 { return 1e6 * (x[0]*x[0] + x[1]*x[1]) }, normal(c.x1, u), normal(0, u))
		mean := 1e6 * (c.x1*c.x1 + 2*u*u)
		deviation := 1e6 * math.Sqrt(4*u*u*c.x1*c.x1+4*u*u*u*u*(1+c.correlation*c.correlation))
		low, high := shortestInterval(q.Histogram, 0.95)
		name := fmt.Sprintf("example 9.4 comparison loss, r = %g, x1 = %g: ", c.correlation, c.x1)
		cases = append(cases,
			validation.Case{
				Name: name + "y", Source: supplement1 + "example 9.4; exact", Standing: validation.Computed, Unit: "1e-6",
				Expected: mean, Obtained: q.Mean().Value, Absolute: 4 * deviation / 1e3, Reason: fourErrors(n),
			},
			validation.Case{
				Name: name + "u (linearised 0 at x1 = 0)", Source: supplement1 + "example 9.4; exact", Standing: validation.Computed, Unit: "1e-6",
				// Kurtosis up to 15 (a squared normal): se = u sqrt((k-1)/4n).
				Expected: deviation, Obtained: standardDeviation(q), Relative: 4 * math.Sqrt((15.-1)/4/n), Reason: fourErrors(n),
			},
			validation.Case{
				Name: name + "width of the shortest 95 %", Source: supplement1 + "example 9.4, table 7", Standing: validation.FromMemory, Unit: "1e-6",
				Expected: c.high - c.low, Obtained: high - low, Relative: 0.01, Reason: "the source sampled too; the shortest interval has a flat minimum",
			})
		if c.x1 == 0 && c.correlation == 0 {
			cases = append(cases, validation.Case{
				Name: name + "upper end of the shortest 95 %", Source: "exact: -2u² ln 0.05", Standing: validation.Computed, Unit: "1e-6",
				Expected: 149.7866, Obtained: high, Absolute: 4*math.Sqrt(0.95*0.05/n)/(0.05/50) + 0.05, Reason: fourErrors(n) + ", and the bins next to 0",
			})
		}
	}
	return cases
}

// gaugeBlock is example 9.5, in nm and °C.
func gaugeBlock(t *testing.T) []validation.Case {
	const n = 1_000_000
	student := func(dof, location, scale float64) dist.Distribution {
		return must(dist.NewStudentT(dof, location, scale))
	}
	model := func(x []float64) float64 {
		length, difference, random, systematic := x[0], x[1], x[2], x[3]
		expansion, mean, cyclic, expansionDifference, temperatureDifference := x[4], x[5], x[6], x[7], x[8]
		return length + difference + random + systematic -
			length*(expansionDifference*(mean+cyclic)+expansion*temperatureDifference) - 50_000_000
	}
	q := propagate(t, n, 0.01, nil, model,
		student(18, 50_000_623, 25), student(24, 215, 6), student(5, 0, 4), student(8, 0, 7),
		uniform(9.5e-6, 13.5e-6), normal(-0.1, 0.2), must(dist.NewArcsine(-0.5, 0.5)),
		must(dist.NewCurvilinearTrapezoid(-1e-6, 1e-6, 0.1e-6)), must(dist.NewCurvilinearTrapezoid(-0.050, 0.050, 0.025)))
	source := supplement1 + "example 9.5"
	// The density at the 99 % ends is about that of a normal, 4e-4 per nm.
	endError := 4*math.Sqrt(2*0.995*0.005/n)/4e-4 + 0.5
	reason := fourErrors(n) + ", those of the source's 1e6, and its last digit"
	return []validation.Case{
		{Name: "example 9.5 gauge block: y", Source: source, Standing: validation.Published, Unit: "nm", Expected: 838, Obtained: q.Mean().Value, Absolute: 4*36/math.Sqrt(n) + 0.5, Reason: fourErrors(n) + ", and the last digit printed"},
		{Name: "example 9.5 gauge block: u", Source: source, Standing: validation.Published, Unit: "nm", Expected: 36, Obtained: standardDeviation(q), Absolute: 4*36/math.Sqrt(2*n) + 0.5, Reason: fourErrors(n) + ", and the last digit printed"},
		{Name: "example 9.5 gauge block: lower end of 99 %", Source: source, Standing: validation.Published, Unit: "nm", Expected: 745, Obtained: q.Percentile(0.005).Value, Absolute: endError, Reason: reason},
		{Name: "example 9.5 gauge block: upper end of 99 %", Source: source, Standing: validation.Published, Unit: "nm", Expected: 932, Obtained: q.Percentile(0.995).Value, Absolute: endError, Reason: reason},
	}
}

// misfit is a model of one event: the gap left in the slot exceeds the range
// of the clamp.
type misfit struct{}

func (misfit) Outputs() []Output { return []Output{{Name: "misfit", Unit: "1"}} }

func (misfit) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		y[0][r] = 0
		if x[0][r]-x[1][r]-x[2][r] > 0.50e-3 {
			y[0][r] = 1
		}
	}
}

func slotMisfit(t *testing.T) validation.Case {
	const n = 4_000_000
	millimetres := func(mean, tolerance float64) dist.Distribution { return normal(mean*1e-3, tolerance*1e-3/3) }
	inputs := newInputs(t, 1, variable("slot", millimetres(8.00, 0.10)),
		variable("flange", millimetres(1.60, 0.05)), variable("clamp", millimetres(6.00, 0.05)))
	e := execute(t, Run{
		Scenarios: []Scenario{{Name: "s", Inputs: inputs, Model: misfit{}}},
		Sampler:   Random{}, Seed: 101, Samples: n, Confidence: 0.95,
	}).Scenarios[0].Events[0].PerRow()
	p := dist.NormalSurvival(math.Sqrt(6))
	return validation.Case{
		Name:   "slot 8.00±0.10, flange 1.60±0.05, clamp 6.00±0.05 mm (3 sigma): P(gap > 0.50 mm)",
		Source: "Φ(-√6), a sum of normals", Standing: validation.Computed,
		Expected: p, Obtained: e.Value, Absolute: 4 * math.Sqrt(p*(1-p)/n), Reason: fourErrors(n),
	}
}

func TestOutsideCorrelation(t *testing.T) {
	var cases []validation.Case
	for _, c := range []struct{ rank, normal float64 }{
		{0.1, .1046719125}, {0.3, .3128689301}, {0.5, .5176380902}, {0.7, .7167358991}, {0.9, .9079809995}, {-0.5, -.5176380902},
	} {
		cases = append(cases, validation.Case{
			Name:   fmt.Sprintf("normal correlation for the rank correlation %g", c.rank),
			Source: "2 sin(πρ/6): Liu & Der Kiureghian, Prob. Eng. Mech. 1 (1986) 105", Standing: validation.Computed,
			Expected: c.normal, Obtained: normalCorrelation(c.rank), Absolute: 1e-10, Reason: "ten digits given",
		})
	}
	symmetric := func(n int, entries ...float64) *mat.SymDense { return mat.NewSymDense(n, entries) }
	paper := nearestCorrelation(symmetric(3, 1, 1, 0, 1, 1, 1, 0, 1, 1), 0)
	tridiagonal := nearestCorrelation(symmetric(4, 2, -1, 0, 0, -1, 2, -1, 0, 0, -1, 2, -1, 0, 0, -1, 2), 0)
	far := nearestCorrelation(symmetric(3, 1, .9, .7, .9, 1, -.9, .7, -.9, 1), 0)
	const higham = "Higham, IMA J. Numer. Anal. 22 (2002) 329"
	entry := func(name, source string, standing validation.Standing, want, got, tolerance float64, reason string) {
		cases = append(cases, validation.Case{
			Name: name, Source: source, Standing: standing, Expected: want, Obtained: got, Absolute: tolerance, Reason: reason,
		})
	}
	eight, four := "eight digits given", "four digits given"
	entry("nearest to [1 1 0; 1 1 1; 0 1 1], entry 1,2", higham, validation.FromMemory, .76068985, paper.At(0, 1), 1e-8, eight)
	entry("nearest to [1 1 0; 1 1 1; 0 1 1], entry 1,3", higham, validation.FromMemory, .15729811, paper.At(0, 2), 1e-8, eight)
	entry("nearest to tridiag(-1,2,-1), entry 1,2", higham, validation.FromMemory, -.8084, tridiagonal.At(0, 1), 5e-5, four)
	entry("nearest to tridiag(-1,2,-1), entry 1,3", higham, validation.FromMemory, .1916, tridiagonal.At(0, 2), 5e-5, four)
	entry("nearest to tridiag(-1,2,-1), entry 1,4", higham, validation.FromMemory, .1068, tridiagonal.At(0, 3), 5e-5, four)
	entry("nearest to tridiag(-1,2,-1), entry 2,3", higham, validation.FromMemory, -.6562, tridiagonal.At(1, 2), 5e-5, four)
	entry("nearest to 0.9, 0.7, -0.9, entry 1,2", "alternating projections, own computation in another language", validation.Computed, .5536, far.At(0, 1), 5e-5, four)
	entry("nearest to 0.9, 0.7, -0.9, entry 1,3", "alternating projections, own computation in another language", validation.Computed, .3871, far.At(0, 2), 5e-5, four)
	validation.Check(t, "Correlated inputs", cases)
}
