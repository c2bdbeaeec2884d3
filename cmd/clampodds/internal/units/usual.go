package units

import "slices"

// UsualUnits are ways to write the units of one quantity.
type UsualUnits struct {
	Quantity Quantity
	Name     string // in words
	Units    []string
}

// usual units, in the order of the steps of the model; a test parses each.
var usual = []UsualUnits{
	{Quantity: "N*m", Units: []string{"N*m", "Nm", "N·m", "cNm", "kgf*cm", "in*lbf", "in-lbs", "ft*lbf", "oz-in"}},
	{Quantity: "N", Units: []string{"N", "kN", "kgf", "lbf"}},
	{Quantity: "m", Units: []string{"mm", "um", "µm", "m", "in", "mil", "thou", "uin", "ft", "kft", "km"}},
	{Quantity: "m2", Units: []string{"mm2", "mm²", "m2", "in2"}},
	{Quantity: "Pa", Units: []string{"MPa", "GPa", "N/mm2", "kPa", "hPa", "bar", "atm", "psi", "ksi"}},
	{Quantity: Temperature, Units: []string{"degC", "°C", "K", "degF", "°F"}},
	{Quantity: TemperatureDifference, Units: []string{"K", "delta degC", "Δ°C", "delta degF"}},
	{Quantity: "W", Units: []string{"W", "mW", "kW", "Btu/h"}},
	{Quantity: "K/W", Units: []string{"K/W", "degC/W", "mK/W"}},
	{Quantity: "m2K/W", Units: []string{"mm2*K/W", "m2*K/W"}},
	{Quantity: "W/mK", Units: []string{"W/mK", "W/(m*K)", "Btu/(h*ft*degF)"}},
	{Quantity: "W/m2K", Units: []string{"W/m2K", "W/(m2*K)"}},
	{Quantity: "rad", Units: []string{"deg", "°", "rad", "mrad"}},
	{Quantity: "kg", Units: []string{"g", "kg", "lb", "oz"}},
	{Quantity: "m/s2", Units: []string{"gn", "g0", "m/s2"}},
	{Quantity: "s", Units: []string{"h", "s"}},
	{Quantity: "1/K", Units: []string{"ppm/K", "1/K", "um/(m*K)"}},
	{Quantity: Number, Units: []string{"none", "%", "ppm"}},
}

// Usual lists the quantities with ways to write their units.
func Usual() []UsualUnits {
	list := slices.Clone(usual)
	for i := range list {
		list[i].Name = name(list[i].Quantity)
	}
	return list
}
