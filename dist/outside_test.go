package dist

import (
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/reports/validation"
)

func TestOutsideDistributions(t *testing.T) {
	student18, err := NewStudentT(18, 0, 1)
	require.NoError(t, err)
	chiSquare10, err := NewGamma(5, 2)
	require.NoError(t, err)
	weibull, err := NewWeibull(1.7, 4, 0)
	require.NoError(t, err)
	trapezoid, err := NewCurvilinearTrapezoid(-0.050, 0.050, 0.025)
	require.NoError(t, err)
	audited, err := NewTruncated(Normal{0.70, 0.035}, 0.60, 0.80)
	require.NoError(t, err)
	sorted, err := NewTruncated(Normal{0, 1}, 5, 6)
	require.NoError(t, err)
	lots, err := NewMixture([]float64{0.6, 0.3, 0.1}, []Distribution{Normal{0.70, 0.02}, Normal{0.74, 0.03}, Normal{0.60, 0.01}})
	require.NoError(t, err)

	const mpmath = "mpmath 1.3.0, 40 digits"
	const arithmetic = "rounding of float64"
	validation.Check(t, "Distributions", []validation.Case{
		{
			Name: "normal quantile at 0.975", Source: "SciPy 1.10.1", Standing: validation.Computed,
			Expected: 1.95996398454005, Obtained: NormalQuantile(0.975), Relative: 3e-15, Reason: "digits of the source",
		},
		{
			Name: "normal quantile at 0.999", Source: "SciPy 1.10.1", Standing: validation.Computed,
			Expected: 3.09023230616781, Obtained: NormalQuantile(0.999), Relative: 3e-15, Reason: "digits of the source",
		},
		{
			Name: "normal quantile at 1e-7", Source: "mpmath 1.3.0, 30 digits", Standing: validation.Computed,
			Expected: -5.1993375821928169316, Obtained: NormalQuantile(1e-7), Relative: 1e-15, Reason: arithmetic,
		},
		{
			Name: "normal quantile at 1e-300", Source: mpmath, Standing: validation.Computed,
			Expected: -37.047096299361199237, Obtained: NormalQuantile(1e-300), Relative: 1e-15, Reason: arithmetic,
		},
		{
			Name: "normal survival at 10 sd", Source: mpmath, Standing: validation.Computed,
			Expected: 7.619853024160526066e-24, Obtained: NormalSurvival(10), Relative: 3e-14, Reason: "rounding of 10/sqrt(2), times 10^2",
		},
		{
			Name: "Weibull shape 1.7, scale 4: quantile at 1e-17", Source: mpmath, Standing: validation.Computed,
			Expected: 3.9999999999999977741e-10, Obtained: weibull.Quantile(1e-17), Relative: 1e-14, Reason: arithmetic,
		},
		{
			Name: "Student-t, 18 degrees of freedom: 0.5 % point", Source: "table of the t distribution", Standing: validation.FromMemory,
			Expected: 2.878, Obtained: student18.UpperQuantile(0.005), Absolute: 0.0005, Reason: "digits of the table",
		},
		{
			Name: "Student-t, 18 degrees of freedom: upper quantile at 1e-15", Source: mpmath, Standing: validation.Computed,
			Expected: 24.9879811074658765, Obtained: student18.UpperQuantile(1e-15), Relative: 1e-9, Reason: "error of the quantile table",
		},
		{
			Name: "chi-square, 10 degrees of freedom (gamma 5, 2): 5 % point", Source: "table of the chi-square distribution", Standing: validation.FromMemory,
			Expected: 18.307, Obtained: chiSquare10.UpperQuantile(0.05), Absolute: 0.0005, Reason: "digits of the table",
		},
		{
			Name: "Gumbel reduced variate of the 100-year value", Source: "-ln(-ln 0.99), textbook value", Standing: validation.FromMemory,
			Expected: 4.60015, Obtained: Gumbel{0, 1}.Quantile(0.99), Absolute: 5e-6, Reason: "digits of the source",
		},
		{
			Name: "Rayleigh: sd/mean", Source: "sqrt(4/pi - 1), textbook value", Standing: validation.FromMemory,
			Expected: 0.5227, Obtained: Weibull{2, 1, 0}.StdDev() / Weibull{2, 1, 0}.Mean(), Absolute: 5e-5, Reason: "digits of the source",
		},
		{
			Name: "curvilinear trapezoid (-0.050, 0.050, 0.025): variance by integrating x^2 over the density of JCGM 101:2008, 6.4.3", Source: mpmath, Standing: validation.Computed,
			Expected: 0.00090277777777777777778, Obtained: trapezoid.StdDev() * trapezoid.StdDev(), Relative: 1e-14, Reason: arithmetic,
		},
		{
			Name: "curvilinear trapezoid (-0.050, 0.050, 0.025): CDF at -0.06 by integrating the same density", Source: mpmath, Standing: validation.Computed,
			Expected: 0.01611386921147414654, Obtained: trapezoid.CDF(-0.06), Relative: 1e-13, Reason: arithmetic,
		},
		{
			Name: "curvilinear trapezoid (-0.050, 0.050, 0.025): CDF at -0.01 by integrating the same density", Source: mpmath, Standing: validation.Computed,
			Expected: 0.39013877113318903086, Obtained: trapezoid.CDF(-0.01), Relative: 1e-13, Reason: arithmetic,
		},
		{
			Name: "normal 0.70, 0.035 cut at 0.60 and 0.80: sd of what is left", Source: mpmath, Standing: validation.Computed,
			Expected: 0.034317035612177514082, Obtained: audited.StdDev(), Relative: 1e-12, Reason: "quadrature",
		},
		{
			Name: "standard normal cut at 5 and 6: mean of what is left", Source: mpmath, Standing: validation.Computed,
			Expected: 5.1831470904771735185, Obtained: sorted.Mean(), Relative: 1e-13, Reason: "quadrature",
		},
		{
			Name: "standard normal cut at 5 and 6: median of what is left", Source: mpmath, Standing: validation.Computed,
			Expected: 5.1313717632839191851, Obtained: sorted.Quantile(0.5), Relative: 1e-14, Reason: arithmetic,
		},
		{
			Name: "mixture of three normal lots: upper quantile at 1e-12", Source: mpmath, Standing: validation.Computed,
			Expected: 0.94593871640435133385, Obtained: lots.UpperQuantile(1e-12), Relative: 1e-14, Reason: arithmetic,
		},
	})
}
