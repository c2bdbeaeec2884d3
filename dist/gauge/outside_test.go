package gauge

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/reports/validation"
)

// dimension is a critical dimension of 20 parts, read twice by 3 operators.
const dimension = `
21 20 20 20 19 21
24 23 24 24 23 24
20 21 19 21 20 22
27 27 28 26 27 28
19 18 19 18 18 21
23 21 24 21 23 22
22 21 22 24 22 20
19 17 18 20 19 18
24 23 25 23 24 24
25 23 26 25 24 25
21 20 20 20 21 20
18 19 17 19 18 19
23 25 25 25 25 25
24 24 23 25 24 25
29 30 30 28 31 30
26 26 25 26 25 27
20 20 19 20 20 20
19 21 19 19 21 23
25 26 25 24 25 25
19 19 18 17 19 17`

// diameters of 5 machines (the parts here), 5 by each of 2 operators.
const diameters = `
.125 .127 .125 .126 .128 .124 .128 .127 .126 .129
.118 .122 .120 .124 .119 .116 .125 .119 .125 .120
.123 .125 .125 .124 .126 .122 .121 .124 .126 .125
.126 .128 .126 .127 .129 .126 .129 .125 .130 .124
.118 .129 .127 .120 .121 .125 .123 .114 .124 .117`

// cloth is the breaking strength on 4 machines (the parts here), read twice by 3 operators.
const cloth = `
113 112 111 112 109 111
113 118 110 111 112 115
111 111 111 109 114 112
113 119 114 112 111 112`

func TestOutsideGaugeStudy(t *testing.T) {
	cases := append(analysisCases(t), componentCases(t)...)
	validation.Check(t, "Gauge study", append(cases, decisionCases()...))
}

func analysisCases(t *testing.T) (cases []validation.Case) {
	for _, c := range []struct {
		name, source, data string
		standing           validation.Standing
		repeats            int
		squares            [4]float64 // parts, operators, interaction, repeatability
		absolute           [4]float64
	}{
		{
			"20 parts, 3 operators, 2 repeats", "Montgomery, Design and Analysis of Experiments, 8th ed. 2012, example 13.1", dimension, validation.FromMemory, 2,
			[4]float64{1185.425, 2.617, 27.050, 59.500}, [4]float64{5.1e-4, 5.1e-4, 5.1e-4, 5.1e-4},
		},
		{
			"5 machines, 2 operators, 5 repeats", "NIST/SEMATECH e-Handbook 3.2.3.2, two-way crossed", diameters, validation.FromMemory, 5,
			[4]float64{.000303, .00000392, .0000147, .000346}, [4]float64{5.1e-7, 5.1e-9, 5.1e-8, 5.1e-7},
		},
	} {
		s := analysed(t, study(t, c.data, c.repeats), With)
		for i, want := range c.squares {
			cases = append(cases, validation.Case{
				Name: fmt.Sprintf("sum of squares, %s, %s", s.With[i].Source, c.name), Source: c.source, Standing: c.standing,
				Expected: want, Obtained: s.With[i].SumSquares, Absolute: c.absolute[i], Reason: "half a unit of the last decimal printed",
			})
		}
	}
	const strength = "Montgomery and Runger, Applied Statistics and Probability for Engineers, 3rd ed. 2003, example S14-1"
	s := analysed(t, study(t, cloth, 2), With)
	for i, want := range []float64{5.94, 3.75} {
		row := s.With[2+i]
		cases = append(cases, validation.Case{
			Name: fmt.Sprintf("mean square, %s, 4 machines, 3 operators, 2 repeats", row.Source), Source: strength, Standing: validation.Published,
			Expected: want, Obtained: row.MeanSquare, Absolute: 5.1e-3, Reason: "half a unit of the second decimal",
		})
	}
	cases = append(cases, validation.Case{
		Name: "F of the interaction, 4 machines, 3 operators, 2 repeats", Source: strength, Standing: validation.Published,
		Expected: 1.584, Obtained: s.With[2].F, Absolute: 2e-3, Reason: "quotient of mean squares rounded to two decimals",
	})
	return cases
}

func componentCases(t *testing.T) (cases []validation.Case) {
	const source = "Montgomery, Design and Analysis of Experiments, 8th ed. 2012, example 13.1"
	add := func(name string, want, got, absolute float64) {
		cases = append(cases, validation.Case{
			Name: name, Source: source, Standing: validation.FromMemory, Expected: want, Obtained: got, Absolute: absolute, Reason: "half a unit of the last decimal printed",
		})
	}
	with, without := analysed(t, study(t, dimension, 2), With), analysed(t, study(t, dimension, 2), ByTest)
	require.False(t, without.Kept, "p of the interaction is 0.86")
	add("F of the parts, with interaction", 87.65, with.With[0].F, 5.1e-3)
	add("F of the operators, with interaction", 1.84, with.With[1].F, 5.1e-3)
	add("F of the interaction", 0.72, with.With[2].F, 5.1e-3)
	add("variance of the parts, with interaction", 10.28, with.Between.Variance, 5.1e-3)
	add("variance of the operators, with interaction", 0.0149, with.Variance(Operator), 5.1e-5)
	add("variance of the repeatability, with interaction", 0.992, with.Variance(Repeatability), 5.1e-4)
	add("F of the parts, without interaction", 70.64, without.Without[0].F, 5.1e-3)
	add("F of the operators, without interaction", 1.48, without.Without[1].F, 5.1e-3)
	add("variance of the parts, without interaction", 10.2513, without.Between.Variance, 5.1e-5)
	add("variance of the operators, without interaction", 0.0106, without.Variance(Operator), 5.1e-5)
	add("variance of the repeatability, without interaction", 0.88316, without.Variance(Repeatability), 5.1e-6)
	repeatability := with.Components[0].Interval
	for _, c := range []struct {
		name      string
		want, got float64
	}{{"lower", 59.5 / 83.2977, repeatability.Low}, {"upper", 59.5 / 40.4817, repeatability.High}} {
		cases = append(cases, validation.Case{
			Name: c.name + " end of the variance of the repeatability, 95 %", Source: "59.5 over chi-square of 60 degrees of freedom, 40.48 and 83.30 in any table", Standing: validation.Computed,
			Expected: c.want, Obtained: c.got, Relative: 2e-6, Reason: "six digits of the quantile",
		})
	}
	return cases
}

func decisionCases() []validation.Case {
	return []validation.Case{
		{
			Name: "parts on the limit that are accepted with g = 1.65, uncertainty known", Source: "ISO 14253-1:2017, default conformance probability 95 %", Standing: validation.FromMemory,
			Expected: 0.05, Obtained: dist.NormalSurvival(GuardFactor), Absolute: 6e-4, Reason: "1.65 is 1.6449 rounded",
		},
		{
			Name: "readings below the limit, part and error normal", Source: "normal of the standard deviation 0.05", Standing: validation.Computed,
			Expected: dist.NormalCDF(-3), Obtained: ReadsBelow(normal(1, 0.04), 0.85, 0.03), Relative: 1e-10, Reason: "closed form against a quadrature",
		},
	}
}

func normal(mean, sd float64) dist.Distribution {
	n, err := dist.NewNormal(mean, sd)
	if err != nil {
		panic(err)
	}
	return n
}
