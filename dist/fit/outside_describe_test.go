package fit

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist/readings"
	"clampodds/reports/validation"
)

// digitsOfPi returns the first n digits, from Machin's formula of 1706:
// pi = 16 arctan(1/5) - 4 arctan(1/239), in whole numbers with 10 digits to spare.
func digitsOfPi(n int) []float64 {
	one := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n+10)), nil)
	arctan := func(inverse int64) *big.Int {
		square := big.NewInt(-inverse * inverse)
		power := new(big.Int).Quo(one, big.NewInt(inverse))
		sum, term := new(big.Int), new(big.Int)
		for k := int64(1); power.Sign() != 0; k += 2 {
			sum.Add(sum, term.Quo(power, big.NewInt(k)))
			power.Quo(power, square)
		}
		return sum
	}
	pi := new(big.Int).Mul(arctan(5), big.NewInt(16))
	pi.Sub(pi, new(big.Int).Mul(arctan(239), big.NewInt(4)))
	var digits []float64
	for _, d := range pi.String()[:n] {
		digits = append(digits, float64(d-'0'))
	}
	return digits
}

// piDigits is the certified set: 5000 digits of pi, save that it has a 3 where pi
// has an 8, at the 956th decimal.
func piDigits() []float64 {
	digits := digitsOfPi(5000)
	digits[956] = 3
	return digits
}

// alternating is 1001 values: the middle, then low and high in turn.
func alternating(middle, low, high float64) []float64 {
	values := []float64{middle}
	for range 500 {
		values = append(values, low, high)
	}
	return values
}

func univariate(t *testing.T) []validation.Case {
	read := func(file string) []float64 { return column(t, file, readings.Options{}).Values }
	var cases []validation.Case
	for _, set := range []struct {
		name                       string
		values                     []float64
		n                          int
		mean, sd, autocorrelation  float64
		sdRelative, autocorrelated float64
	}{
		{"Lew", read("lew.csv"), 200, -177.435, 277.332168044316, -.307304800605679, 4e-15, 4e-15},
		{"Lottery", read("lottery.csv"), 218, 518.958715596330, 291.699727470969, -.120948622967393, 4e-15, 4e-15},
		{"Michelso", read("michelso.csv"), 100, 299.8524, .0790105478190518, .535199668621283, 1e-13, 1e-13},
		{"Mavro", read("mavro.csv"), 50, 2.001856, .000429123454003053, .937989183438248, 1e-12, 1e-12},
		{"PiDigits", piDigits(), 5000, 4.5348, 2.86733906028871, -.00355099287237972, 4e-15, 1e-13},
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 3, 10000002, 1, -.5, 1e-15, 1e-15},
		{"NumAcc2", alternating(1.2, 1.1, 1.3), 1001, 1.2, .1, -.999, 1e-14, 1e-14},
		{"NumAcc3", alternating(1000000.2, 1000000.1, 1000000.3), 1001, 1000000.2, .1, -.999, 1e-9, 1e-9},
		{"NumAcc4", alternating(10000000.2, 10000000.1, 10000000.3), 1001, 10000000.2, .1, -.999, 1e-8, 1e-8},
	} {
		assert.Len(t, set.values, set.n, set.name)
		d := describe(t, set.values)
		source := strd + "univariate summary statistics, " + set.name
		reason := "15 digits are certified; a reading in double precision is off by 1e-16 of itself, which is more of the spread, and products that cancel lose as many"
		cases = append(cases,
			validation.Case{
				Name: set.name + ": mean", Source: source, Standing: validation.Published,
				Expected: set.mean, Obtained: d.Mean, Relative: 4e-15, Reason: "15 digits are certified",
			},
			validation.Case{
				Name: set.name + ": standard deviation", Source: source, Standing: validation.Published,
				Expected: set.sd, Obtained: d.StdDev, Relative: set.sdRelative, Reason: reason,
			},
			validation.Case{
				Name: set.name + ": autocorrelation", Source: source, Standing: validation.Published,
				Expected: set.autocorrelation, Obtained: d.Autocorrelation, Relative: set.autocorrelated, Reason: reason,
			})
	}
	return cases
}

func variance(t *testing.T) []validation.Case {
	var cases []validation.Case
	add := func(name, source string, standing validation.Standing, want, got, relative float64, reason string) {
		cases = append(cases, validation.Case{Name: name, Source: source, Standing: standing, Expected: want, Obtained: got, Relative: relative, Reason: reason})
	}
	for _, set := range []struct {
		file, name, column            string
		between, within, f, reference float64
	}{
		{"sirstv.csv", "SiRstv", "resistivity", 1.27865654e-2, 1.0831828e-2, 1.18046237440255, 1e-12},
		{"atmwtag.csv", "AtmWtAg", "atomic weight", 3.638341875e-9, 2.28155932971014e-10, 15.9467335677930, 1e-8},
	} {
		table := column(t, set.file, readings.Options{Column: set.column, Group: "instrument"})
		l, err := NewLots(table.ByGroup(), 0.95)
		require.NoError(t, err)
		source := strd + "analysis of variance, " + set.name
		reason := "15 digits are certified; readings with many constant leading digits lose as many"
		add(set.name+": mean square between", source, validation.Published, set.between, l.MeanSquareBetween, set.reference, reason)
		add(set.name+": mean square within", source, validation.Published, set.within, l.MeanSquareWithin, set.reference, reason)
		add(set.name+": F", source, validation.Published, set.f, l.F, set.reference, reason)
	}
	// The variance component of SiRstv from its certified mean squares.
	table := column(t, "sirstv.csv", readings.Options{Column: "resistivity", Group: "instrument"})
	l, err := NewLots(table.ByGroup(), 0.95)
	require.NoError(t, err)
	add("SiRstv: variance between", strd+"SiRstv, (MSB-MSW)/5", validation.Computed, 3.9094748e-4, l.Between*l.Between, 1e-7, "eight digits")
	unequal := [][]float64{
		{10.02, 10.05, 9.98, 10.01}, {10.11, 10.09, 10.13}, {9.93, 9.95, 9.90, 9.97, 9.92}, {10.04, 10.07, 10.06, 10.00}, {9.88, 9.86},
	}
	l, err = NewLots(unequal, 0.95)
	require.NoError(t, err)
	add("five unequal lots: F", inR+"anova(lm())", validation.Computed, 34.9493006993, l.F, 1e-11, "twelve digits")
	add("five unequal lots: p", inR+"anova(lm()); "+scipy+" f_oneway", validation.Computed, 7.685598207352125e-07, l.P, 1e-10, "an F tail, twelve digits given")
	return cases
}

// Beyond what double precision does to a reading as it is read, nothing is lost:
// the description of the numbers as read is that of exact arithmetic on them.
func TestDescriptionKeepsTheDigitsOfTheReadings(t *testing.T) {
	for name, values := range map[string][]float64{
		"Mavro":    column(t, "mavro.csv", readings.Options{}).Values,
		"Michelso": column(t, "michelso.csv", readings.Options{}).Values,
		"NumAcc2":  alternating(1.2, 1.1, 1.3),
		"NumAcc3":  alternating(1000000.2, 1000000.1, 1000000.3),
		"NumAcc4":  alternating(10000000.2, 10000000.1, 10000000.3),
	} {
		mean, variance, autocorrelation := exactly(values)
		d := describe(t, values)
		// sums of 1001 terms, each rounded to 1e-16
		assert.InEpsilon(t, mean, d.Mean, 1e-14, name)
		assert.InEpsilon(t, variance, d.StdDev*d.StdDev, 1e-13, name)
		// and here the mean's own rounding times the outermost deviations
		assert.InEpsilon(t, autocorrelation, d.Autocorrelation, 1e-9, name)
	}
}

// exactly is the mean, the variance (n-1) and the autocorrelation in rational
// numbers.
func exactly(values []float64) (mean, variance, autocorrelation float64) {
	n := int64(len(values))
	sum := new(big.Rat)
	for _, x := range values {
		sum.Add(sum, new(big.Rat).SetFloat64(x))
	}
	centre := new(big.Rat).Quo(sum, big.NewRat(n, 1))
	squares, products, before := new(big.Rat), new(big.Rat), new(big.Rat)
	for i, x := range values {
		d := new(big.Rat).SetFloat64(x)
		d.Sub(d, centre)
		squares.Add(squares, new(big.Rat).Mul(d, d))
		if i > 0 {
			products.Add(products, new(big.Rat).Mul(d, before))
		}
		before = d
	}
	mean, _ = centre.Float64()
	variance, _ = new(big.Rat).Quo(squares, big.NewRat(n-1, 1)).Float64()
	autocorrelation, _ = products.Quo(products, squares).Float64()
	return mean, variance, autocorrelation
}
