package contact

import (
	"fmt"
	"math"
	"strings"
)

// Gas is the gas that fills the gaps of a joint.
type Gas int

// The gases. The zero value is no gas kind at all and is refused.
const (
	Air Gas = iota + 1
	Helium
	Nitrogen
	Vacuum
)

var gasNames = [...]string{Air: "air", Helium: "helium", Nitrogen: "nitrogen", Vacuum: "vacuum"}

// String returns the name that ParseGas accepts.
func (g Gas) String() string {
	if g < Air || g > Vacuum {
		return fmt.Sprintf("Gas(%d)", int(g))
	}
	return gasNames[g]
}

// ParseGas returns the gas of the name air, helium, nitrogen or vacuum, in any
// case.
func ParseGas(name string) (Gas, error) {
	for g := Air; g <= Vacuum; g++ {
		if strings.EqualFold(strings.TrimSpace(name), gasNames[g]) {
			return g, nil
		}
	}
	return 0, fmt.Errorf("gas %q: want %s", name, strings.Join(gasNames[Air:], ", "))
}

// gasData are the properties of one gas.
type gasData struct {
	temperature  []float64 // K, rising
	conductivity []float64 // W/mK at those temperatures, about 1 atm
	gamma        float64   // ratio of specific heats
	prandtl      float64   // Prandtl number near 300 K
	meanFreePath float64   // Lambda0, m, at 288.15 K and 101325 Pa
	// accommodation is a clean engineering value on aluminium near 320 K, Song
	// and Yovanovich 1987 (from memory; they claim 25 %).
	accommodation float64
}

// gases is read only.
var gases = [...]gasData{
	Air: {
		// Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table A.4
		// (325 K: between their points, rounded).
		temperature:  []float64{200, 250, 300, 325, 350, 400, 450},
		conductivity: []float64{0.0181, 0.0223, 0.0263, 0.0282, 0.0300, 0.0338, 0.0373},
		// Mean free path: US Standard Atmosphere 1976.
		gamma: 1.40, prandtl: 0.707, meanFreePath: 66.33e-9, accommodation: 0.85,
	},
	Helium: {
		// CRC Handbook of Chemistry and Physics, thermal conductivity of gases.
		temperature:  []float64{200, 300, 400, 500},
		conductivity: []float64{0.1193, 0.1567, 0.1906, 0.2223},
		// From memory; the mean free path as in Yovanovich's gas tables.
		gamma: 5.0 / 3, prandtl: 0.66, meanFreePath: 186e-9, accommodation: 0.36,
	},
	Nitrogen: {
		temperature:  []float64{200, 300, 400, 500}, // CRC Handbook, as above
		conductivity: []float64{0.0187, 0.0260, 0.0323, 0.0383},
		// From memory; the mean free path is 0.989 of air's.
		gamma: 1.40, prandtl: 0.71, meanFreePath: 65.6e-9, accommodation: 0.83,
	},
	Vacuum: {},
}

// Accommodation returns the usual thermal accommodation coefficient of the gas
// on engineering aluminium: 0.85 air, 0.83 nitrogen, 0.36 helium (Song and
// Yovanovich 1987, from memory, 25 %). It is 0 for Vacuum, which needs none, and
// for an unknown gas.
func (g Gas) Accommodation() float64 {
	if g < Air || g > Vacuum {
		return 0
	}
	return gases[g].accommodation
}

// Range of the gas state that NewGasState accepts.
const (
	leastGasTemperature = 150.0 // K
	mostGasTemperature  = 600.0 // K
	leastGasPressure    = 1e-6  // Pa: below, the jump distance passes kilometres; say vacuum
	mostGasPressure     = 1e7   // Pa: above, the conductivity is no longer independent of pressure
)

// GasState is what the gaps of a joint need to know about the gas in them.
// Evaluate only reads it, so one value may serve all faces and goroutines.
type GasState struct {
	Conductivity float64 // k_g, W/mK; 0 in vacuum
	JumpDistance float64 // M, m: the temperature jump at both walls, as a length of gas
	// Radiation is the radiative coefficient across an open gap, W/m2K. It is
	// negligible beside any gas and keeps a face without load in vacuum from
	// being cut off altogether [own].
	Radiation float64
}

// Emissivity of bare machined metal, from memory (aluminium 0.05 to 0.15; an
// anodic film has 0.8 and is not counted, to the safe side).
const bareMetalEmissivity = 0.10

const stefanBoltzmann = 5.670374419e-8 // W/m2K4, CODATA 2018

// NewGasState returns the state of the gas at the joint's temperature (K, not
// that of the surrounding air), its pressure (Pa) and the accommodation
// coefficient (1), which is the same at both walls.
//
//	k_g   from the table of the gas, linear between its points and beyond its ends
//	M     = alpha beta Lambda, alpha = 2 (2 - a)/a, beta = 2 gamma/(Pr (gamma + 1)),
//	        Lambda = Lambda0 (T/288.15 K)(101325 Pa/p)      Yovanovich 1982
//	h_rad = 4 sigma T^3/(2/0.1 - 1), two bare metal walls, from memory
//
// Allowed: temperature 150 to 600 K, pressure 1e-6 to 1e7 Pa, accommodation
// above 0 up to 1. For Vacuum pressure and accommodation are not looked at.
func NewGasState(gas Gas, temperature, pressure, accommodation float64) (GasState, error) {
	if !(temperature >= leastGasTemperature && temperature <= mostGasTemperature) {
		return GasState{}, fmt.Errorf("gas temperature %g K: want %g to %g K", temperature, leastGasTemperature, mostGasTemperature)
	}
	state := GasState{
		Radiation: 4 * stefanBoltzmann * temperature * temperature * temperature / (2/bareMetalEmissivity - 1),
	}
	switch {
	case gas == Vacuum:
		return state, nil
	case gas < Air || gas > Vacuum:
		return GasState{}, fmt.Errorf("gas %v: want %s", gas, strings.Join(gasNames[Air:], ", "))
	case !(pressure >= leastGasPressure && pressure <= mostGasPressure):
		return GasState{}, fmt.Errorf("gas pressure %g Pa: want %g to %g Pa, or vacuum", pressure, leastGasPressure, mostGasPressure)
	case !(accommodation > 0 && accommodation <= 1):
		return GasState{}, fmt.Errorf("accommodation coefficient %g: want above 0, up to 1", accommodation)
	}
	data := &gases[gas]
	alpha := 2 * (2 - accommodation) / accommodation
	beta := 2 * data.gamma / (data.prandtl * (data.gamma + 1))
	meanFreePath := data.meanFreePath * (temperature / seaLevelTemperature) * (seaLevelPressure / pressure)
	state.Conductivity = interpolate(data.temperature, data.conductivity, temperature)
	state.JumpDistance = alpha * beta * meanFreePath
	return state, nil
}

// interpolate is the broken line through the points, its first and last leg
// drawn on beyond the ends. Inside the accepted temperatures no gas's line comes
// near zero (a test walks them).
func interpolate(x, y []float64, at float64) float64 {
	i := 1
	for i < len(x)-1 && at > x[i] {
		i++
	}
	return y[i-1] + (y[i]-y[i-1])*(at-x[i-1])/(x[i]-x[i-1])
}

// US Standard Atmosphere 1976, its constants.
const (
	seaLevelTemperature = 288.15   // K
	seaLevelPressure    = 101325.0 // Pa
	standardGravity     = 9.80665  // m/s2
	// 8314.32/28.96442 J/kgK (ISO 2533). The US standard's own 28.9644 makes it
	// 0.7 ppm more, a hundredth of the last digit of its tables.
	airGasConstant = 287.05287
	earthRadius    = 6356766.0 // m, effective, at 45 deg latitude
	leastAltitude  = -5000.0   // m, geopotential
	mostAltitude   = 84852.0   // m, geopotential
)

// layers of the atmosphere: where each begins (m, geopotential) and how its
// temperature changes upwards (K/m). US Standard Atmosphere 1976, table 4.
var layers = [...]struct{ base, lapse float64 }{
	{0, -0.0065},
	{11000, 0},
	{20000, 0.0010},
	{32000, 0.0028},
	{47000, 0},
	{51000, -0.0028},
	{71000, -0.0020},
}

// StandardPressure returns the pressure (Pa) of the US Standard Atmosphere 1976
// at a geopotential altitude (m), -5000 to 84852 m; anything else, NaN
// included, is an error.
//
// Within a layer of lapse rate b the temperature is T = T0 + b (H - H0) and
//
//	p = p0 (T0/T)^(g/(R b)),  or  p0 exp(-g (H - H0)/(R T0)) for b = 0.
func StandardPressure(geopotential float64) (float64, error) {
	if !(geopotential >= leastAltitude && geopotential <= mostAltitude) {
		return 0, fmt.Errorf("geopotential altitude %g m: want %g to %g m", geopotential, leastAltitude, mostAltitude)
	}
	temperature, pressure := seaLevelTemperature, seaLevelPressure
	for i, layer := range layers {
		top := geopotential
		if i+1 < len(layers) {
			top = min(top, layers[i+1].base)
		}
		rise := top - layer.base
		if layer.lapse == 0 {
			pressure *= math.Exp(-standardGravity * rise / (airGasConstant * temperature))
		} else {
			warmer := temperature + layer.lapse*rise
			pressure *= math.Pow(temperature/warmer, standardGravity/(airGasConstant*layer.lapse))
			temperature = warmer
		}
		if top == geopotential {
			break
		}
	}
	return pressure, nil
}

// Geopotential returns the geopotential altitude (m) of a geometric altitude
// (m above sea level, the altitude of a tape measure): H = r0 Z/(r0 + Z),
// r0 = 6356766 m. The pressure taken at the wrong one of the two is 0.2 % off at
// 10 km and 1 % at 20 km. An altimeter is graduated in geopotential metres.
func Geopotential(geometric float64) float64 {
	return earthRadius * geometric / (earthRadius + geometric)
}
