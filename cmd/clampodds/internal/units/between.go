package units

// Between converts numbers from one unit to another of the same quantity.
func Between(from, to string) (func(x float64) float64, error) {
	quantity := QuantityOf(to)
	own, err := Conversion(to, quantity)
	if err != nil {
		return nil, err
	}
	other, err := Conversion(from, quantity)
	if err != nil || own(0) == other(0) && own(1) == other(1) {
		return func(x float64) float64 { return x }, err // the same unit spelt another way
	}
	return func(x float64) float64 { return (other(x) - own(0)) / (own(1) - own(0)) }, nil
}

// QuantityOf is what a known unit measures, in the words of package
func QuantityOf(unit string) Quantity {
	if _, err := Parse("1 "+unit, Temperature); err == nil {
		return Temperature
	}
	return Quantity(unit)
}
