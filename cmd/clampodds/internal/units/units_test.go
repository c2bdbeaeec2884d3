package units

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"clampodds/reports/validation"
	_ "clampodds/testdata/fixedseed"
)

// Tolerance for conversions: two or three roundings of float64.
const rounding = 1e-15

// A decimal comma is a point where it can be nothing else.
func TestDecimalPoint(t *testing.T) {
	for text, want := range map[string]string{
		"0,55 N·m ± 15 %": "0.55 N·m ± 15 %", "10,00 +0,1/-0,05 mm": "10.00 +0.1/-0.05 mm", "0,125 mm": "0.125 mm", "1,5e-3": "1.5e-3",
		"1,250 mm": "1,250 mm", "1.250,5 mm": "1.250,5 mm", "1,250,000": "1,250,000", "7.2 mm": "7.2 mm", "76, 84": "76, 84", "0,1 %": "0.1 %",
	} {
		assert.Equal(t, want, DecimalPoint(text))
	}
}

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text string
		want Quantity
		si   float64
	}{
		{"0.70 N*m", "N*m", 0.70},
		{"0.70 N·m", "N*m", 0.70},
		{"0.70 Nm", "N*m", 0.70},
		{"0.70 N.m", "N*m", 0.70},
		{"70 cNm", "N*m", 0.70},
		{"700 mN m", "N*m", 0.70},
		{"7 kgf*cm", "N*m", 7 * 9.80665 * 0.01},
		{"6 in*lbf", "N*m", 6 * 0.0254 * 4.4482216152605},
		{"6 in·lbf", "N*m", 6 * 0.0254 * 4.4482216152605},
		{"6 in lbf", "N*m", 6 * 0.0254 * 4.4482216152605},
		{"6 in-lbf", "N*m", 6 * 0.0254 * 4.4482216152605},
		{"6 in-lbs", "N*m", 6 * 0.0254 * 4.4482216152605},
		{"6 In.-Lbs", "N*m", 6 * 0.0254 * 4.4482216152605},
		{"6 in·lb", "N*m", 6 * 0.0254 * 4.4482216152605},
		{"6 lb-in", "N*m", 6 * 0.0254 * 4.4482216152605},
		{"6 inch pounds", "N*m", 6 * 0.0254 * 4.4482216152605},
		{"0.5 ft-lb", "N*m", 6 * 0.0254 * 4.4482216152605},
		{"96 oz-in", "N*m", 6 * 0.0254 * 4.4482216152605},
		{"70 Ncm", "N*m", 0.70},
		{"6lbf*in", "N*m", 6 * 0.0254 * 4.4482216152605},
		{"1 ft·lbf", "N*m", 0.3048 * 4.4482216152605},
		{"96 ozf*in", "N*m", 6 * 0.0254 * 4.4482216152605},
		{"25 um", "m", 25e-6},
		{"25 µm", "m", 25e-6},
		{"25 μm", "m", 25e-6},
		{"35 um", "m", 35e-6},
		{".025 mm", "m", 25e-6},
		{"1 mil", "m", 25.4e-6},
		{"1 thou", "m", 25.4e-6},
		{"9 km", "m", 9000},
		{"30 kft", "m", 9144},
		{"30000 ft", "m", 9144},
		{"−5 um", "m", -5e-6},
		{"1.5e2 MPa", "Pa", 1.5e8},
		{"70 GPa", "Pa", 70e9},
		{"150 N/mm2", "Pa", 150e6},
		{"150 N/mm²", "Pa", 150e6},
		{"1 ksi", "Pa", 4.4482216152605 / 0.0254 / 0.0254 * 1e3},
		{"1 lbf/in^2", "Pa", 4.4482216152605 / 0.0254 / 0.0254},
		{"307 hPa", "Pa", 30700},
		{"167 W/mK", "W/mK", 167},
		{"167 W/m·K", "W/mK", 167},
		{"167 W/(m*K)", "W/mK", 167},
		{"167 W m-1 K-1", "W/mK", 167},
		{"167 W/m/K", "W/mK", 167},
		{"1.67 W/(cm*K)", "W/mK", 167},
		{"5 kW/m2K", "W/m2K", 5000},
		{"0.31 K/W", "K/W", 0.31},
		{"0.31 degC/W", "K/W", 0.31},
		{"0.31 C/W", "K/W", 0.31}, {"2.0 C / W", "K/W", 2},
		{"2 degC·in/W", "K*m/W", 2 * 0.0254},
		{"7.7 mm2K/W", "m2K/W", 7.7e-6},
		{"1 cm²·K/W", "m2K/W", 1e-4},
		{"45 deg", "rad", math.Pi / 4},
		{"45°", "rad", math.Pi / 4},
		{"2 mrad", "rad", 2e-3},
		{"12 %", "1", 0.12},
		{"12%", "1", 0.12},
		{"0.14", "1", 0.14},
		{"5 um/mm", "1", 5e-3},
		{"15 gn", "m/s2", 15 * 9.80665},
		{"15 g0", "m/s2", 15 * 9.80665},
		{"15 m/s^2", "m/s2", 15},
		{"0.9 lb", "kg", 0.9 * 0.45359237},
		{"400 g", "kg", 0.4},
		{"23.6 ppm/K", "1/K", 23.6e-6},
		{"23.6e-6 1/K", "1/K", 23.6e-6},
		{"23.6e-6/K", "1/K", 23.6e-6},
		{"13.1 ppm/degF", "1/K", 13.1e-6 * 1.8},
		{"5.03 mm2", "m2", 5.03e-6},
		{"85 degC", "K", 358.15},
		{"85 °C", "K", 358.15},
		{"185 degF", "K", 358.15},
		{"358.15 K", "K", 358.15},
		{"-55 degC", "K", 218.15},
		{"5 K", "dK", 5},
		{"5 dK", "dK", 5},
		{"5 delta degC", "dK", 5},
		{"5 Δ°C", "dK", 5},
		{"9 delta degF", "dK", 5},
		{"500 mK", "dK", 0.5},
		{"1 Btu/(h*ft*degF)", "W/mK", 1055.05585262 / 3600 / 0.3048 * 1.8},
	} {
		v, err := Parse(" "+c.text+" ", c.want)
		if assert.NoError(t, err, c.text) {
			assert.InEpsilon(t, c.si, v.SI, rounding, c.text)
			assert.Equal(t, c.text, v.Typed)
		}
	}
}

func TestPowersOfTenAreExact(t *testing.T) {
	for _, c := range []struct {
		text string
		si   float64
	}{{"25 um", 25e-6}, {"35 um", 35e-6}, {"0.035 mm", 35e-6}, {"2.1 um", 2.1e-6}, {"3.3 nm", 3.3e-9}} {
		v, err := Parse(c.text, "m")
		require.NoError(t, err)
		assert.True(t, v.SI == c.si, c.text) // the nearest float64, not a neighbour
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct {
		text string
		want Quantity
		err  string
	}{
		{"", "m", `no number is found at the start (a quantity is a number and a unit, "1 mm")`},
		{"um", "m", `no number is found at the start (a quantity is a number and a unit, "1 mm")`},
		{"NaN um", "m", `no number is found at the start (a quantity is a number and a unit, "1 mm")`},
		{"Inf um", "m", `no number is found at the start (a quantity is a number and a unit, "1 mm")`},
		{"0,70 N*m", "N*m", "a comma stands in the number (the decimal sign is a point, and thousands are not separated)"},
		{"1,000 mm", "m", "a comma stands in the number (the decimal sign is a point, and thousands are not separated)"},
		{"1.2.3 mm", "m", "the number cannot be read"},
		{"0.70", "N*m", `the unit is missing (for instance "0.70 N*m")`},
		{"0.70 mm", "N*m", "mm is no unit of torque (for instance N*m)"},
		{"6 in*lb2", "N*m", "in*lb2 is no unit of torque (for instance N*m)"},
		{"7 kg*cm", "N*m", "kg*cm is no unit of torque (did you mean kgf*cm?)"},
		{"6 lb*in2", "N*m", "lb*in2 is no unit of torque (for instance N*m)"},
		{"15 g", "m/s2", "g is no unit of acceleration (did you mean gn?)"},
		{"70 GPA", "Pa", `the unit "GPA" is not known`},
		{"5 W/C", "W/K", `the unit "C" is not known (degrees Celsius are degC)`},
		{"85 C", "K", `the unit "C" is not known (degrees Celsius are degC)`},
		{"5 degC", "dK", `degC is a temperature, expected a temperature difference (write "5 K")`},
		{"5 °F", "dK", `°F is a temperature, expected a temperature difference (write "5 delta degF")`},
		{"5 dK", "K", "dK is a temperature difference, expected a temperature (temperatures are in degC, degF or K)"},
		{"5 K*m/m", "K", "K*m/m is a temperature difference, expected a temperature (temperatures are in degC, degF or K)"},
		{"-300 degC", "K", "the temperature is below absolute zero"},
		{"1e400 m", "m", "the number is too large"},
		{"1e308 km", "m", "the number is too large"},
		{"1 %", "m", "% is no unit of length (for instance mm)"},
		{"0.14 m", "1", "m is no unit of a pure number (write the number alone)"},
		{"5 N*", "N", "a unit is missing behind *"},
		{"5 *N", "N", `"*N" is no unit`},
		{"5 W/", "W", "a unit is missing behind /"},
		{"5 W/(m*K", "W/mK", "a bracket of the unit is not closed"},
		{"5 W/m)", "W/mK", `the unit "W/m)" has a bracket too many`},
		{"5 m^", "m", "a power is missing behind ^"},
		{"5 m9", "m", "a power of a unit is 1 to 4"},
		{"5 m22", "m2", "a power of a unit is 1 to 4"},
	} {
		_, err := Parse(c.text, c.want)
		assert.EqualError(t, err, c.err, c.text)
	}
}

func TestQuantityThatIsNoUnitPanics(t *testing.T) {
	assert.Panics(t, func() { _, _ = Parse("1 m", "furlong") })
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		si    float64
		q     Quantity
		like  string
		print string
	}{
		{0.7, "N*m", "", "0.7 N·m"},
		{0.7, "N*m", "0.70 N*m", "0.7 N·m"},
		{0.7, "N*m", "70 cNm", "70 cN·m"},
		{0.7, "N*m", "6 in*lbf", "6.1955 in·lbf"},
		{0.7, "N*m", "in*lbf", "6.1955 in·lbf"},
		{1272, "N", "6 in*lbf", "285.96 lbf"},
		{1272, "N", "0.7 N*m", "1272 N"},
		{25e-6, "m", "", "25 µm"},
		{25e-6, "m", "0.025 mm", "0.025 mm"},
		{25.4e-6, "m", "1 in", "0.001 in"},
		{25.4e-6, "m", "6 in*lbf", "1 mil"},
		{1e-3, "m", "", "1 mm"},
		{math.Nextafter(1, 0), "m", "", "1 m"}, // not 1000 mm
		{0.13, "m", "", "130 mm"},
		{9000, "m", "", "9 km"},
		{2e-9, "m", "", "2 nm"},
		{0, "m", "", "0 mm"},
		{358.15, "K", "", "85 °C"},
		{358.15, "K", "300 K", "358.15 K"},
		{358.15, "K", "185 degF", "185 °F"},
		{358.15, "K", "6 in*lbf", "185 °F"},
		{5, "dK", "", "5 K"},
		{5, "dK", "9 delta degF", "9 Δ°F"},
		{5, "dK", "85 degC", "5 K"},
		{1.5e6, "Pa", "", "1.5 MPa"},
		{68.9e9, "Pa", "", "68.9 GPa"},
		{0.31, "K/W", "", "0.31 K/W"},
		{7.7e-6, "m2K/W", "", "7.7 mm²·K/W"},
		{167, "W/mK", "", "167 W/(m·K)"},
		{math.Pi / 4, "rad", "", "45 deg"},
		{0.4, "kg", "", "400 g"},
		{23.6e-6, "1/K", "", "23.6 ppm/K"},
		{0.12, "1", "", "0.12"},
		{0.12, "1", "12 %", "12 %"},
		{1e-9, "1", "", "1e-09"},
		{3, "m3", "", "3 m³"},
		{math.Inf(1), "K", "", "+Inf °C"},
	} {
		assert.Equal(t, c.print, Format(c.si, c.q, c.like), "%g %s like %q", c.si, c.q, c.like)
	}
}

func TestFormatReadsBack(t *testing.T) {
	quantities := []Quantity{"1", "K", "dK", "m", "m2", "N*m", "N", "Pa", "W", "K/W", "W/K", "m2K/W", "W/mK", "W/m2K", "rad", "kg", "m/s2", "1/K"}
	likes := []string{"", "1 in*lbf", "1 Ncm", "1 mm", "1 degF", "2 ft", "1 %", "3 delta degC", "4 mrad", "5 gn", "nonsense"}
	rapid.Check(t, func(t *rapid.T) {
		q := rapid.SampledFrom(quantities).Draw(t, "quantity")
		like := rapid.SampledFrom(likes).Draw(t, "like")
		si := math.Exp(rapid.Float64Range(-16, 16).Draw(t, "ln"))
		text := Format(si, q, like)
		v, err := Parse(text, q)
		require.NoError(t, err, text)
		// Five digits: half a unit of the fifth is at most 5e-5 of the value. A
		// temperature loses what the zero of its scale adds.
		tolerance := 5.1e-5 * si
		if q == Temperature {
			tolerance += 5.1e-5 * 460
		}
		require.InDelta(t, si, v.SI, tolerance, text)
	})
}

func TestOutsideUnits(t *testing.T) {
	const source = "NIST SP 811, 2008, appendix B.9"
	var cases []validation.Case
	for _, c := range []struct {
		text string
		want Quantity
		si   float64
	}{
		{"1 in*lbf", "N*m", 1.129848e-1},
		{"1 ft*lbf", "N*m", 1.355818},
		{"1 in*ozf", "N*m", 7.061552e-3},
		{"1 kgf*m", "N*m", 9.80665},
		{"1 psi", "Pa", 6.894757e3},
		{"1 ksi", "Pa", 6.894757e6},
		{"1 lb", "kg", 4.535924e-1},
		{"1 mil", "m", 2.54e-5},
		{"1 Btu/(h*ft*degF)", "W/mK", 1.730735},
	} {
		v, err := Parse(c.text, c.want)
		require.NoError(t, err)
		cases = append(cases, validation.Case{
			Name: c.text, Source: source, Standing: validation.FromMemory, Unit: string(c.want),
			Expected: c.si, Obtained: v.SI, Relative: 5e-7, Reason: "the table prints seven digits",
		})
	}
	validation.Check(t, "Units", cases)
}
