package acceptance

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"clampodds/reports/validation"
)

func byVariables(t require.TestingT, m Method, n int64, k float64) VariablesPlan {
	p, err := NewVariablesPlan(m, n, k)
	require.NoError(t, err)
	return p
}

func TestOutsideAcceptanceByVariables(t *testing.T) {
	validation.Check(t, "Acceptance by variables", append(tableCases(t), designCases(t)...))
}

// tableCases are plans of the standard's table: k is that with which the quality limit is accepted with 90 %
// (89 % with three parts).
func tableCases(t *testing.T) (cases []validation.Case) {
	const table = "MIL-STD-414 (1957), table B-1, standard deviation unknown, normal inspection, the table that ISO 3951:1989 took over"
	for _, row := range []struct {
		n        int64
		producer float64
		k        map[float64]float64 // by acceptable quality level, %
	}{
		{3, .11, map[float64]float64{2.5: 1.12, 4: .958, 6.5: .765, 10: .566}},
		{4, .10, map[float64]float64{1: 1.45, 1.5: 1.34, 2.5: 1.17, 4: 1.01, 6.5: .814, 10: .617}},
		{5, .10, map[float64]float64{.65: 1.65, 1: 1.53, 1.5: 1.40, 2.5: 1.24, 4: 1.07, 6.5: .874, 10: .675}},
		{7, .10, map[float64]float64{.25: 2.00, .40: 1.88, .65: 1.75, 1: 1.62, 1.5: 1.50, 2.5: 1.33, 4: 1.15, 6.5: .955, 10: .755}},
		{10, .10, map[float64]float64{.15: 2.24, .25: 2.11, .40: 1.98, .65: 1.84, 1: 1.72, 1.5: 1.58, 2.5: 1.41, 4: 1.23, 6.5: 1.03, 10: .828}},
	} {
		for _, quality := range []float64{.15, .25, .40, .65, 1, 1.5, 2.5, 4, 6.5, 10} {
			k, listed := row.k[quality]
			if !listed {
				continue
			}
			accepted := byVariables(t, SMethod, row.n, k).Probability(QualityOf(quality/100, ReadingError{}))
			cases = append(cases, validation.Case{
				Name:   fmt.Sprintf("producer's risk at the quality limit of %g %%, s method, n = %d, k %g", quality, row.n, k),
				Source: table, Standing: validation.Published, Expected: row.producer, Obtained: 1 - accepted, Absolute: .005,
				Reason: "whole per cent printed; k has three digits, which moves it by up to .003",
			})
		}
	}
	return cases
}

// designCases are plans from two points of the operating characteristic.
func designCases(t *testing.T) (cases []validation.Case) {
	const bottles = "Montgomery, Introduction to Statistical Quality Control, 6th ed. 2009, example 16.1"
	for _, c := range []struct {
		plan     VariablesPlan
		quality  float64
		accepted float64
	}{
		{byVariables(t, SMethod, 40, 1.9), .01, .95}, {byVariables(t, SMethod, 40, 1.9), .06, .10},
		{byVariables(t, SigmaMethod, 15, 1.9), .01, .95}, {byVariables(t, SigmaMethod, 15, 1.9), .06, .10},
	} {
		cases = append(cases, validation.Case{
			Name:   fmt.Sprintf("acceptance of %g %%, %s method, n = %d, k %.4g", 100*c.quality, c.plan.method, c.plan.sample, c.plan.k),
			Source: bottles, Standing: validation.FromMemory, Expected: c.accepted, Obtained: c.plan.Probability(QualityOf(c.quality, ReadingError{})), Absolute: .01,
			Reason: "n and k were read off a nomograph",
		})
	}
	known := SigmaMethod
	for _, c := range []struct {
		name      string
		n         int64
		error     ReadingError
		distance  float64
		published float64
	}{
		// n* = n (1 + γ²): the error of the readings is made up by more of them.
		{"10 readings without error", 10, ReadingError{}, 2.3263478740408408, .90},
		{"18 readings, error of the readings √0.8 of the parts' spread", 18, ReadingError{Single: .8944271909999159}, 2.3263478740408408, .90},
	} {
		k := c.distance - 1.2815515655446004/math.Sqrt(10)
		cases = append(cases, validation.Case{
			Name: "σ method, acceptance of 1 %, " + c.name, Source: "ISO 3951-1:2013, measurement variability: n (1 + γ²) readings in place of n", Standing: validation.FromMemory,
			Expected: c.published, Obtained: byVariables(t, known, c.n, k).Probability(QualityOf(.01, c.error)), Absolute: 1e-9,
			Reason: "closed form",
		})
	}
	return cases
}

// Known and unknown standard deviation agree in a large sample, in which that of the sample is
// known as well: k moves by k²/2n of its variance.
func TestMethodsAgreeInLargeSamples(t *testing.T) {
	const n = 100_000
	q := QualityOf(.02, ReadingError{})
	k := q.constant(SigmaMethod, n, .5)
	assert.InDelta(t, .5, byVariables(t, SMethod, n, k).Probability(q), .005)
	for _, probability := range []float64{.05, .5, .95} {
		// the sample's standard deviation adds k²/2 to the variance of the mean
		z := (q.constant(SigmaMethod, n, .5) - q.constant(SMethod, n, probability)) * math.Sqrt(n/(1+k*k/2))
		assert.InDelta(t, probability, math.Erfc(-z/math.Sqrt2)/2, .005)
	}
}

// A plan accepts what its constant was made for, and more errors of the readings accept fewer
// good lots.
func TestConstantInvertsProbability(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := LotQuality{
			Distance: rapid.Float64Range(-5, 6).Draw(t, "distance"),
			Error:    ReadingError{rapid.Float64Range(0, 2).Draw(t, "single"), rapid.Float64Range(0, 1).Draw(t, "shared")},
		}
		m := rapid.SampledFrom([]Method{SMethod, SigmaMethod}).Draw(t, "method")
		n := rapid.Int64Range(3, 500).Draw(t, "n")
		probability := rapid.Float64Range(.001, .999).Draw(t, "Pa")
		k := q.constant(m, n, probability)
		// 1e-9: the quadrature of the noncentral t, for k up to hundreds
		p := byVariables(t, m, n, k)
		assert.InDelta(t, probability, p.Probability(q), 1e-9, "%v", k)
		assert.InDelta(t, 1, p.Probability(q)+p.Refusal(q), 1e-12)
	})
}

// No smaller sample has a constant that keeps both risks.
func TestSmallestVariablesPlanIsSmallest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		error := ReadingError{rapid.Float64Range(0, .5).Draw(t, "single"), rapid.Float64Range(0, .1).Draw(t, "shared")}
		r := VariablesRisks{
			Method: rapid.SampledFrom([]Method{SMethod, SigmaMethod}).Draw(t, "method"),
			Good:   QualityOf(1e-4, error), Producer: .05,
			Poor: []LotQuality{QualityOf(rapid.Float64Range(.01, .5).Draw(t, "poor"), error), QualityOf(.3, ReadingError{})}, Consumer: .10,
		}
		p, err := SmallestVariablesPlan(r)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, p.Probability(r.Good), .95-1e-9)
		for _, q := range r.Poor {
			assert.LessOrEqual(t, p.Probability(q), .10+1e-9)
		}
		if n := p.Sample() - 1; n >= fewest {
			least, most := r.constants(n)
			assert.Greater(t, least, most, "%d readings keep both risks too", n)
		}
	})
}

// What all readings share, no number of them averages out.
func TestSharedErrorLimitsThePlan(t *testing.T) {
	r := VariablesRisks{Method: SMethod, Good: QualityOf(.01, ReadingError{}), Producer: .05, Poor: []LotQuality{QualityOf(.06, ReadingError{})}, Consumer: .10}
	r.Good.Error.Shared, r.Poor[0].Error.Shared = .1, .1
	more, err := SmallestVariablesPlan(r)
	require.NoError(t, err)
	assert.Greater(t, more.Sample(), int64(41))
	// 2.33 - 1.55 is 0.77 standard deviations: 2.93 times an error of 0.27 leaves nothing.
	r.Good.Error.Shared, r.Poor[0].Error.Shared = .27, .27
	_, err = SmallestVariablesPlan(r)
	assert.ErrorIs(t, err, ErrNoPlan)
}

func TestInvalidVariables(t *testing.T) {
	for _, c := range []struct {
		method Method
		n      int64
		k      float64
	}{{"t", 5, 1}, {SMethod, 2, 1}, {SMethod, 2_000_000, 1}, {SMethod, 5, math.NaN()}} {
		_, err := NewVariablesPlan(c.method, c.n, c.k)
		assert.Error(t, err, "%v", c)
	}
	good := VariablesRisks{Method: SMethod, Good: QualityOf(.01, ReadingError{}), Producer: .05, Poor: []LotQuality{QualityOf(.06, ReadingError{})}, Consumer: .10}
	for want, change := range map[string]func(r *VariablesRisks){
		"method":                          func(r *VariablesRisks) { r.Method = "" },
		"good lot: distance NaN":          func(r *VariablesRisks) { r.Good.Distance = math.NaN() },
		"good lot: reading error":         func(r *VariablesRisks) { r.Good.Error.Single = math.NaN() },
		"no poor lot":                     func(r *VariablesRisks) { r.Poor = nil },
		"poor lot: reading error":         func(r *VariablesRisks) { r.Poor = []LotQuality{{1, ReadingError{0, -1}}} },
		"poor lot: its mean is no nearer": func(r *VariablesRisks) { r.Poor = []LotQuality{{3, ReadingError{}}} },
		"producer's risk 0":               func(r *VariablesRisks) { r.Producer = 0 },
		"consumer's risk 0.96":            func(r *VariablesRisks) { r.Consumer = .96 },
	} {
		r := good
		change(&r)
		_, err := SmallestVariablesPlan(r)
		assert.ErrorContains(t, err, want)
	}
	assert.Panics(t, func() { byVariables(t, SMethod, 5, 1).Probability(LotQuality{Distance: math.Inf(1)}) })
	assert.InEpsilon(t, .01, QualityOf(.01, ReadingError{}).Defective(), 1e-12)
}
