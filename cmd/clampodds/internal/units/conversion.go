package units

// Conversion returns the conversion of numbers in a unit to SI values of q. All
// units are linear, some with a zero of their own. Errors are those of Parse.
func Conversion(unit string, q Quantity) (func(x float64) float64, error) {
	zero, err := Parse("0 "+unit, q)
	if err != nil {
		return nil, err
	}
	one, err := Parse("1 "+unit, q)
	if err != nil {
		return nil, err
	}
	return func(x float64) float64 { return zero.SI + x*(one.SI-zero.SI) }, nil
}
