package contact

import (
	"fmt"
	"math"

	"clampodds/reports/validation"
)

// The handbook tables, every row of them. None says how flat or how hard the
// specimens were, and most not how rough: each row is set beside a few surfaces, so
// that the reader sees what the unsaid is worth.

// surface is what is assumed of specimens.
type surface struct {
	label     string
	roughness float64 // rms per face, m
	crown     float64 // over 25 mm, m
}

var (
	ground  = surface{"flat, 0.8 um rms per face", 0.8e-6, 0}
	milled  = surface{"flat, 1.6 um rms per face", 1.6e-6, 0}
	crowned = surface{"0.8 um rms per face, 10 um of crown over 25 mm", 0.8e-6, 10e-6}
)

// As in the material table.
var (
	copperBody = Body{Conductivity: 391, Modulus: 117e9, Poisson: 0.34, Hardness: 883e6}
	steelBody  = Body{Conductivity: 16.2, Modulus: 193e9, Poisson: 0.29, Hardness: 1.92e9}
)

// of is the conductance (W/m2K) of two bodies with such surfaces.
func (s surface) of(first, second Body, gas GasState, pressure float64) float64 {
	first.Roughness, second.Roughness = s.roughness, s.roughness
	const width = 0.025
	return evaluate(mustPair(first, second, 0), gas, Face{Length: 1, Width: width, Crown: s.crown}, pressure*width, 1).Coefficient
}

// beside is a row of a table in W/m2K (or, where resistance is set, in 1e-4 m2K/W)
// set beside a surface. A noWorse of 0 expects agreement.
func beside(row validation.Case, s surface, conductance float64, resistance bool, noWorse float64) validation.Case {
	row.Name += ": " + s.label
	row.Unit, row.Obtained = "W/m2K", conductance
	if resistance {
		row.Unit, row.Obtained = "1e-4 m2K/W", 1e4/conductance
	}
	if row.High == 0 {
		// No more than a judgement: these tables state no scatter.
		row.Factor, row.Reason = 1.25, "own judgement: the source states no scatter"
	} else if noWorse == 0 {
		row.Reason = "finish and flatness are assumed, the source states none"
	}
	if noWorse == 0 {
		return row
	}
	row.NoWorse = noWorse
	expected := max(row.Expected, row.High)
	switch conducts := (row.Obtained > expected) != resistance; {
	case conducts && s.crown == 0:
		row.Differs = "a flat face conducts better than the specimens, whose flatness is not stated and decides at such a pressure"
	case conducts:
		row.Differs = "the specimens conducted even less than with this crown; their flatness is not stated"
	case s.crown > 0:
		row.Differs = "this crown is more than the specimens had; their flatness is not stated"
	default:
		row.Differs = "the specimens conducted better than this finish, hardness and slope let a face; the source does not state theirs. The cautious side"
	}
	return row
}

// absent are rows that the tool cannot compute.
func absent(source, why string, names ...string) (cases []validation.Case) {
	for _, name := range names {
		cases = append(cases, validation.Case{Name: name, Source: source, Standing: validation.Published, Absent: why})
	}
	return cases
}

func vacuumTableCases() []validation.Case {
	const source = "Incropera and DeWitt, table 3.1(a)"
	vacuum := mustGas(Vacuum, 300, 0)
	var cases []validation.Case
	for _, m := range []struct {
		name      string
		body      Body
		low, high [2]float64 // 1e-4 m2K/W at 100 and 10 000 kN/m2
		noWorse   [2][3]float64
	}{
		{"stainless steel", steelBody, [2]float64{6, 0.7}, [2]float64{25, 4.0}, [2][3]float64{{2.9, 4, 4.8}, {0, 0, 2.7}}},
		{"copper", copperBody, [2]float64{1, 0.1}, [2]float64{10, 0.5}, [2][3]float64{{0, 0, 0}, {6.2, 4.4, 0}}},
		{"aluminium", aluminiumBody(), [2]float64{1.5, 0.2}, [2]float64{5.0, 0.4}, [2][3]float64{{0, 1.45, 1.8}, {3.4, 2.5, 1.3}}},
	} {
		for i, pressure := range []float64{1e5, 1e7} {
			for j, s := range []surface{ground, milled, crowned} {
				cases = append(cases, beside(validation.Case{
					Name: fmt.Sprintf("%s in vacuum, %g kN/m2", m.name, pressure/1e3), Source: source, Standing: validation.Published, Low: m.low[i], High: m.high[i],
				}, s, s.of(m.body, m.body, vacuum, pressure), true, m.noWorse[i][j]))
			}
		}
	}
	magnesium := absent(source, "magnesium is not in the material table", "magnesium in vacuum, 100 kN/m2", "magnesium in vacuum, 10000 kN/m2")
	for i, r := range [][2]float64{{1.5, 3.5}, {0.2, 0.4}} {
		magnesium[i].Low, magnesium[i].High, magnesium[i].Unit = r[0], r[1], "1e-4 m2K/W"
	}
	return append(cases, magnesium...)
}

func fluidTableCases() []validation.Case {
	const source = "Fried 1969 in Cengel, table 3-1; the same in Incropera and DeWitt, table 3.1(b)"
	const joint = "aluminium, 10 um roughness, 0.1 MPa, in "
	// A peak-to-valley height is four to six times the rms (common practice, no source).
	peaks := surface{"10 um read as peak-to-valley, 2 um rms per face", 2.0e-6, 0}
	rms := surface{"10 um read as rms of the joint, 7.1 um per face", 7.1e-6, 0}
	var cases []validation.Case
	for _, c := range []struct {
		gas      Gas
		expected float64
		noWorse  [2]float64
	}{{Air, 3640, [2]float64{0, 2.8}}, {Helium, 9520, [2]float64{1.4, 2.3}}} {
		for i, s := range []surface{peaks, rms} {
			row := validation.Case{Name: joint + c.gas.String(), Source: source, Standing: validation.Published, Expected: c.expected}
			cases = append(cases, beside(row, s, s.of(aluminiumBody(), aluminiumBody(), mustGas(c.gas, 300, 101325), 1e5), false, c.noWorse[i]))
		}
	}
	cases[1].Differs = "the source does not say how roughness was measured; read as rms the gap is wider than the specimens' and the model conducts less"
	cases[2].Differs = "no gap and no jump distance fit air and helium of this table together: helium conducts 2.6 times as much as air there, 3.4 times here"
	cases[3].Differs = cases[1].Differs
	other := absent(source, "the tool knows air, helium, nitrogen and vacuum", joint+"hydrogen", joint+"silicone oil", joint+"glycerine")
	for i, h := range []float64{13900, 19000, 37700} {
		other[i].Expected, other[i].Unit = h, "W/m2K"
	}
	return append(cases, other...)
}

func interfaceTableCases() []validation.Case {
	const source = "Lienhard and Lienhard, A Heat Transfer Textbook, table 2.1 (attribution from memory), 1 to 10 atm"
	air, vacuum := mustGas(Air, 300, 101325), mustGas(Vacuum, 300, 0)
	var cases []validation.Case
	for _, m := range []struct {
		name      string
		body      Body
		gas       GasState
		low, high float64
		noWorse   [2][2]float64 // at 1 and 10 atm: flat, crowned
	}{
		{"copper/copper", copperBody, air, 10000, 25000, [2][2]float64{{1.3, 1.6}, {2.2, 0}}},
		{"aluminium/aluminium", aluminiumBody(), air, 2200, 12000, [2][2]float64{{0, 0}, {1.5, 0}}},
		{"stainless/stainless steel", steelBody, air, 2000, 3700, [2][2]float64{{0, 0}, {1.3, 0}}},
		{"stainless/stainless steel, evacuated", steelBody, vacuum, 200, 1100, [2][2]float64{{2, 2.4}, {0, 0}}},
	} {
		for i, pressure := range []float64{1.01325e5, 1.01325e6} {
			for j, s := range []surface{milled, crowned} {
				row := validation.Case{Name: fmt.Sprintf("%s at %g atm", m.name, pressure/1.01325e5), Source: source, Standing: validation.Published, Low: m.low, High: m.high}
				cases = append(cases, beside(row, s, s.of(m.body, m.body, m.gas, pressure), false, m.noWorse[i][j]))
			}
		}
	}
	low := validation.Case{Name: "aluminium/aluminium, evacuated, low pressure; 1 atm here", Source: source, Standing: validation.FromMemory, Low: 100, High: 400}
	cases = append(cases, beside(low, milled, milled.of(aluminiumBody(), aluminiumBody(), vacuum, 1.01325e5), false, 4))
	cases[len(cases)-1].Differs = "the source does not say how low its pressure was"
	other := absent(source, "not in the material table", "iron/aluminium (70 atm, from memory)", "graphite/metals", "ceramic/metals", "ceramic/ceramic")
	for i, r := range [][2]float64{{45000, 45000}, {3000, 6000}, {1500, 8500}, {500, 3000}} {
		other[i].Low, other[i].High, other[i].Unit = r[0], r[1], "W/m2K"
		if i == 1 || i == 2 {
			other[i].Standing = validation.FromMemory
		}
	}
	return append(cases, other...)
}

func surfaceTableCases() []validation.Case {
	const source = "Cengel, Heat Transfer, table 3-2"
	air, hot, vacuum := mustGas(Air, 300, 101325), mustGas(Air, 423, 101325), mustGas(Vacuum, 300, 0)
	var cases []validation.Case
	for _, c := range []struct {
		name           string
		first, second  Body
		gas            GasState
		roughness      float64    // um per face; of a range the middle
		pressure       [2]float64 // MPa; of a range the geometric middle is computed
		expected       float64
		flat, crowning float64 // noWorse
	}{
		{"304 stainless ground 1.14 um, 4 to 7 MPa", steelBody, steelBody, air, 1.14, [2]float64{4, 7}, 1900, 6.1, 1.95},
		{"aluminium ground 2.54 um, 150 C, 1.2 to 2.5 MPa", aluminiumBody(), aluminiumBody(), hot, 2.54, [2]float64{1.2, 2.5}, 11400, 1.9, 1.6},
		{"copper ground 1.27 um, 1.2 to 20 MPa", copperBody, copperBody, air, 1.27, [2]float64{1.2, 20}, 143000, 1.9, 6.5},
		{"copper milled 3.81 um, 1 to 5 MPa", copperBody, copperBody, air, 3.81, [2]float64{1, 5}, 55500, 0, 4},
		{"copper milled 0.25 um in vacuum, 0.17 to 7 MPa", copperBody, copperBody, vacuum, 0.25, [2]float64{0.17, 7}, 11400, 12, 0},
		{"stainless on aluminium 20 to 30 um, 10 MPa", steelBody, aluminiumBody(), air, 25, [2]float64{10, 10}, 2900, 2.1, 1.5},
		{"stainless on aluminium 20 to 30 um, 20 MPa", steelBody, aluminiumBody(), air, 25, [2]float64{20, 20}, 3600, 3.2, 0},
		{"stainless on aluminium 1 to 2 um, 10 MPa", steelBody, aluminiumBody(), air, 1.5, [2]float64{10, 10}, 16400, 1.7, 3.7},
		{"stainless on aluminium 1 to 2 um, 20 MPa", steelBody, aluminiumBody(), air, 1.5, [2]float64{20, 20}, 20800, 2.4, 3},
		{"aluminium on copper ground 1.17 to 1.4 um, 5 MPa", aluminiumBody(), copperBody, air, 1.3, [2]float64{5, 5}, 42000, 3.8, 2.7},
		{"aluminium on copper ground 1.17 to 1.4 um, 15 MPa", aluminiumBody(), copperBody, air, 1.3, [2]float64{15, 15}, 56000, 8, 1.5},
		{"aluminium on copper milled 4.4 to 4.5 um, 10 MPa", aluminiumBody(), copperBody, air, 4.45, [2]float64{10, 10}, 12000, 14, 2.1},
		{"aluminium on copper milled 4.4 to 4.5 um, 20 to 35 MPa", aluminiumBody(), copperBody, air, 4.45, [2]float64{20, 35}, 22000, 19, 6.5},
	} {
		pressure := math.Sqrt(c.pressure[0]*c.pressure[1]) * 1e6
		for i, noWorse := range []float64{c.flat, c.crowning} {
			s := surface{"flat", c.roughness * 1e-6, 0}
			if i == 1 {
				s.label, s.crown = "10 um of crown over 25 mm", 10e-6
			}
			row := validation.Case{Name: c.name, Source: source, Standing: validation.Published, Expected: c.expected}
			cases = append(cases, beside(row, s, s.of(c.first, c.second, c.gas, pressure), false, noWorse))
		}
	}
	other := absent(source, "the alloy is not in the material table", "416 stainless ground 2.54 um, 90 to 200 C, 0.17 to 2.5 MPa",
		"steel Ct-30 on aluminium ground 1.4 to 2.0 um, 10 MPa", "steel Ct-30 on aluminium ground 1.4 to 2.0 um, 15 to 35 MPa",
		"steel Ct-30 on aluminium milled 4.5 to 7.2 um, 10 MPa", "steel Ct-30 on aluminium milled 4.5 to 7.2 um, 30 MPa")
	for i, h := range []float64{3800, 50000, 59000, 4800, 8300} {
		other[i].Expected, other[i].Unit = h, "W/m2K"
	}
	return append(cases, other...)
}
