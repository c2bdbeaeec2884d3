package contact

import (
	"fmt"
	"math"
)

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
