package interval

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/reports/validation"
)

func TestOutsideIntervals(t *testing.T) {
	cases := proportionCases()
	cases = append(cases, rankCases(t)...)
	cases = append(cases, toleranceCases()...)
	cases = append(cases, pairedCases()...)
	cases = append(cases, twoStageCases()...)
	cases = append(cases, weightedCases()...)
	validation.Check(t, "Intervals", cases)
}

const (
	fourDecimals = "half a unit of the fourth decimal printed"
	sixDigits    = "half a unit of the sixth digit printed"
)

func ends(name, source string, standing validation.Standing, absolute float64, low, high, gotLow, gotHigh float64) []validation.Case {
	c := validation.Case{Source: source, Standing: standing, Absolute: absolute, Reason: "half a unit of the last digit printed"}
	lower, upper := c, c
	lower.Name, lower.Expected, lower.Obtained = name+", low", low, gotLow
	upper.Name, upper.Expected, upper.Obtained = name+", high", high, gotHigh
	return []validation.Case{lower, upper}
}

func proportionCases() []validation.Case {
	const (
		exact = "Clopper & Pearson 1934; table of Newcombe 1998, recomputed"
		scipy = "beta quantiles, SciPy 1.10.1"
		brown = "worked example 13 of 16 in the literature on score intervals"
	)
	var cases []validation.Case
	add := func(k, n float64, source string, standing validation.Standing, absolute, low, high float64) {
		gotLow, gotHigh := ClopperPearson(k, n, 0.95)
		cases = append(cases, ends(fmt.Sprintf("exact 95 %%, %g of %g", k, n), source, standing, absolute, low, high, gotLow, gotHigh)...)
	}
	add(13, 16, brown, validation.Published, 5e-5, .5435, .9595)
	add(81, 263, exact, validation.FromMemory, 5e-5, .2527, .3676)
	add(15, 148, exact, validation.FromMemory, 5e-5, .0578, .1617)
	add(0, 20, exact, validation.FromMemory, 5e-5, 0, .1684)
	add(1, 29, exact, validation.FromMemory, 5e-5, .0009, .1776)
	add(3, 1000, scipy, validation.Computed, 5e-9, .000619100, .00874202)
	add(7, 1e6, scipy, validation.Computed, 5e-11, 2.81437e-6, 1.44226e-5)
	add(100, 1e6, scipy, validation.Computed, 5e-10, 8.13647e-5, 1.21625e-4)

	for _, c := range []struct{ n, want float64 }{
		{59, 0.049507610}, {100, 0.029513050}, {1000, 0.0029912495}, {1e6, 2.99572779e-6}, {3e7, 9.98577374e-8},
	} {
		cases = append(cases, validation.Case{
			Name:   fmt.Sprintf("no event in %g, one-sided 95 %% upper", c.n),
			Source: "1 - 0.05^(1/n); first order is the rule of three, Hanley & Lippman-Hand 1983", Standing: validation.Computed,
			Expected: c.want, Obtained: UpperBoundZero(c.n, 0.95), Relative: 2e-8, Reason: "half a unit of the eighth digit printed",
		})
	}
	for k, want := range []float64{.0029912, .0047350, .0062823, .0077352, .0091300, .0104841} {
		cases = append(cases, validation.Case{
			Name: fmt.Sprintf("exact one-sided 95 %% upper, %d of 1000", k), Source: scipy, Standing: validation.Computed,
			Expected: want, Obtained: ProportionWithTail(float64(k), 1000, 0.05), Absolute: 5e-8, Reason: "half a unit of the last digit",
		})
	}
	return cases
}

func rankCases(t *testing.T) []validation.Case {
	var cases []validation.Case
	for _, c := range []struct {
		n        int64
		p        float64
		l, u     int64
		coverage float64
	}{
		{20, .5, 6, 15, .958610535},
		{100, .5, 40, 61, .964799800},
		{100, .9, 84, 96, .955690107},
		{100, .95, 90, 100, .982607061},
		{1000, .95, 936, 964, .958095268},
		{1000, .99, 983, 997, .976094763},
		{10000, .95, 9457, 9543, .951528055},
		{10000, .99, 9880, 9920, .955754683},
		{10000, .999, 9983, 9997, .975457462},
		{1e5, .999, 99880, 99920, .954789057},
		{1e6, .9999, 999880, 999920, .954692253},
	} {
		r := OrderStatisticRanks(c.n, c.p, 0.95)
		assert.Equal(t, [2]int64{c.l, c.u}, [2]int64{r.Lower, r.Upper}, "n = %d, p = %g", c.n, c.p)
		cases = append(cases, validation.Case{
			Name:   fmt.Sprintf("coverage of order statistics %d and %d of %d for the %g quantile", c.l, c.u, c.n, c.p),
			Source: "David & Nagaraja, Order Statistics, 3rd ed. 2003, sec. 7.1; binomial sums, SciPy 1.10.1", Standing: validation.Computed,
			Expected: c.coverage, Obtained: r.Coverage, Absolute: 5.1e-10, Reason: "half a unit of the ninth decimal",
		})
	}
	return cases
}

func toleranceCases() []validation.Case {
	var cases []validation.Case
	for _, c := range []struct {
		coverage float64
		m        int
		want     float64
	}{
		{.95, 1, 59},
		{.95, 2, 93},
		{.95, 3, 124},
		{.95, 4, 153},
		{.95, 5, 181},
		{.99, 1, 299},
		{.99, 2, 473},
		{.99, 3, 628},
		{.99, 6, 1049},
	} {
		cases = append(cases, validation.Case{
			Name:   fmt.Sprintf("sample whose %d. largest covers %g with confidence 0.95", c.m, c.coverage),
			Source: "Wilks, Ann. Math. Statist. 12 (1941) 91; tables in use for order-statistic tolerance limits", Standing: validation.Published,
			Expected: c.want, Obtained: float64(ToleranceSize(c.coverage, 0.95, c.m)), Absolute: 0.1, Reason: "a whole number",
		})
	}
	const handbook = "NIST/SEMATECH e-Handbook 7.2.6.3, N = 43, P = 0.90, C = 0.99"
	add := func(name, source string, standing validation.Standing, want, got, absolute float64, reason string) {
		cases = append(cases, validation.Case{
			Name: name, Source: source, Standing: standing, Expected: want, Obtained: got, Absolute: absolute, Reason: reason,
		})
	}
	add("one-sided factor, noncentral t", handbook, validation.FromMemory, 1.8740, NormalToleranceOneSided(43, .90, .99), 1e-4,
		"the exact value 1.87395 is a tie in the fourth decimal")
	add("two-sided factor, exact", "the equations of ISO 16269-6, quadrature", validation.Computed, 2.22283, NormalToleranceTwoSided(43, .90, .99), 5e-6, sixDigits)
	for _, c := range []struct {
		n    int
		want float64
	}{{10, 2.911}, {20, 2.396}, {30, 2.220}} {
		add(fmt.Sprintf("one-sided factor 95/95, n = %d", c.n), "classical tables of one-sided tolerance factors", validation.FromMemory,
			c.want, NormalToleranceOneSided(c.n, .95, .95), 5.1e-4, "half a unit of the third decimal")
	}
	const mean, s = 2.503333333, .05122736011
	for _, c := range []struct{ limit, want float64 }{{2.30, 6.674412e-3}, {2.25, 9.047588e-4}, {2.20, 8.484156e-5}} {
		cases = append(cases, validation.Case{
			Name:     fmt.Sprintf("95 %% upper bound of P(X < %g), twelve readings of mean 2.50333 and s 0.0512274", c.limit),
			Source:   "noncentral t, R 4.2.2, and an independent quadrature",
			Standing: validation.Computed, Expected: c.want, Obtained: NormalTailUpper(12, (mean-c.limit)/s, .95), Relative: 1e-6,
			Reason: "seven digits printed, mean and s given to ten",
		})
	}
	for _, c := range []struct{ t, delta, freedom, want float64 }{
		{3, 1, 10, .9470508616928332}, {5, 4.5, 2, .4545349381590674}, {-1, 1, 5, .03080735326075021}, {12, 9.5, 24, .8847461270902368}, {20, 14, 9, .8764738945807497},
	} {
		cases = append(cases, validation.Case{
			Name:   fmt.Sprintf("noncentral t: P(T <= %g), noncentrality %g, %g degrees of freedom", c.t, c.delta, c.freedom),
			Source: "its integral over the distribution of s, mpmath 1.3.0 with 25 digits", Standing: validation.Computed,
			Expected: c.want, Obtained: NoncentralT(c.t, c.delta, c.freedom), Relative: 1e-12, Reason: "sixteen digits printed; the quadrature's own rounding",
		})
	}
	return cases
}

func pairedCases() []validation.Case {
	const (
		tangoSource = "Tango, Statist. Med. 17 (1998) 891"
		example     = "worked example of Cavo et al. 2012 in the literature on paired proportions"
		solved      = tangoSource + ", solved independently (SciPy 1.10.1)"
	)
	var cases []validation.Case
	for _, c := range []struct {
		p                   Paired
		source              string
		standing            validation.Standing
		low, high, absolute float64
	}{
		{Paired{6, 16, 161}, example, validation.Published, -.1240, -.0054, 5e-5},
		{Paired{6, 16, 161}, solved, validation.Computed, -.124023, -.005433, 5.1e-7},
		{Paired{1, 7, 21}, solved, validation.Computed, -.517232, -.026003, 5.1e-7},
		{Paired{5, 0, 41}, solved, validation.Computed, .025836, .255442, 5.1e-7},
		{Paired{40, 20, 160}, solved, validation.Computed, .030865, .218064, 5.1e-7},
		{Paired{0, 0, 1e6}, "Tango's equation without discordant pairs: ±z²/(n+z²)", validation.Computed, -3.841444e-6, 3.841444e-6, 5.1e-13},
		{Paired{60, 40, 100_000}, solved, validation.Computed, 4.082e-6, 4.0330e-4, 5.1e-9},
	} {
		low, high := c.p.Tango(0.95)
		name := fmt.Sprintf("score interval 95 %%, %g only new, %g only old of %g", c.p.OnlyNew, c.p.OnlyOld, c.p.Total)
		cases = append(cases, ends(name, c.source, c.standing, c.absolute, c.low, c.high, low, high)...)
	}
	low, _ := Paired{3, 0, 3}.Tango(0.95)
	add := func(name, source string, standing validation.Standing, want, got, absolute float64) {
		cases = append(cases, validation.Case{
			Name: name, Source: source, Standing: standing, Expected: want, Obtained: got, Absolute: absolute,
			Reason: "half a unit of the last digit printed",
		})
	}
	add("score interval 95 %, 3 only new of 3, low", "published example of "+tangoSource, validation.Published, -.1230, low, 5e-5)
	big := Paired{6, 16, 161}.McNemar()
	add("McNemar exact, 6 and 16", example, validation.Published, .052479, big.Exact, 5e-7)
	add("McNemar mid-P, 6 and 16", example, validation.Published, .034690, big.MidP, 5e-7)
	add("McNemar z, 6 and 16", example, validation.Published, -2.132, big.Z, 5e-4)
	for _, c := range []struct {
		p           Paired
		exact, midP float64
	}{{Paired{1, 7, 21}, .0703125, .0390625}, {Paired{5, 0, 41}, .0625, .03125}} {
		m := c.p.McNemar()
		name := fmt.Sprintf("McNemar, %g and %g", c.p.OnlyNew, c.p.OnlyOld)
		add(name+", exact", "binomial sums, exact fractions", validation.Computed, c.exact, m.Exact, 1e-13)
		add(name+", mid-P", "binomial sums, exact fractions", validation.Computed, c.midP, m.MidP, 1e-13)
	}
	add("McNemar exact, 60 and 40", "binomial sums, SciPy 1.10.1", validation.Computed, .0569, Paired{60, 40, 100_000}.McNemar().Exact, 5e-5)
	return cases
}

// Smallest n without a discordant pair whose score bound passes the margin.
func TestScoreBoundWithoutDiscordantPairs(t *testing.T) {
	for margin, n := range map[float64]float64{1e-2: 268, 1e-3: 2703, 1e-4: 27_053, 1e-5: 270_552} {
		upper := func(n float64) float64 {
			_, high := Paired{0, 0, n}.Tango(0.90) // 95 % on one side
			return high
		}
		assert.LessOrEqual(t, upper(n), margin)
		assert.Greater(t, upper(n-1), margin)
	}
}

func twoStageCases() []validation.Case {
	var cases []validation.Case
	for _, c := range []struct {
		name      string
		want, got float64
	}{
		{"numerical tolerance of u = 0.35, two digits", 0.005, NumericalTolerance(0.35, 2)},
		{"numerical tolerance of u = 0.35, one digit", 0.05, NumericalTolerance(0.35, 1)},
		{"trials per block, p = 0.95", 1e4, float64(BlockSize(0.95))},
		{"trials per block, p = 0.999", 1e5, float64(BlockSize(0.999))},
	} {
		cases = append(cases, validation.Case{
			Name: c.name, Source: "JCGM 101:2008, 7.9.2 and 7.9.4", Standing: validation.FromMemory,
			Expected: c.want, Obtained: c.got, Relative: 1e-12, Reason: "a decimal number",
		})
	}
	return cases
}
