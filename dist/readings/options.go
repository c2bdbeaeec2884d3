package readings

// Options say how to read a file. The zero value reads the only column of a
// comma-, semicolon- or tab-separated file as plain numbers.
type Options struct {
	// Sheet is the name of the sheet of a workbook. Empty: its only one with cells.
	Sheet string
	// Column is the header of the column, with or without the unit that stands
	// there, or its number from 1. Empty: the file has one column.
	Column string
	// Group is the header or the number of a column that says which lot, tool,
	// supplier or operator a reading belongs to. Empty: none.
	Group string
	// Unit is the unit of the cells. Empty: the one in the header, "torque [N*m]",
	// "torque (N*m)" or, where Convert knows it, "torque / N*m", "torque in N*m" or "torque, N*m"; or in a row of
	// units below it. Where both are given they have to mean the same.
	Unit string
	// Separator is the character between cells. 0: whichever of tab, semicolon,
	// comma and bar the first line has most of.
	Separator rune
	// DecimalComma says that 2,48 is two and 48 hundredths.
	DecimalComma bool
	// Convert returns the function that turns a number in the given unit (empty
	// where the file and Unit give none) into the value wanted, or an error for a
	// unit that will not do. nil: numbers stay as they are, any unit will do.
	Convert func(unit string) (func(number float64) float64, error)
}

func (o Options) conversion(unit string) (func(float64) float64, error) {
	if o.Convert == nil {
		return func(x float64) float64 { return x }, nil
	}
	return o.Convert(unit)
}
