package flags

import (
	"errors"

	"github.com/spf13/pflag"

	"clampodds/dist/readings"
)

// Workbook adds the flags for how a table is written: the sheet of a workbook and the decimal comma.
func Workbook(f *pflag.FlagSet, sheet *string, comma *bool) {
	f.StringVar(sheet, "sheet", "", "`NAME` of the sheet of a workbook (default: the only one with cells)")
	f.BoolVar(comma, "decimal-comma", false, "2,48 is two and 48 hundredths")
}

// Readings adds those of Workbook and the flags for the unit of a column of readings and the separator.
func Readings(f *pflag.FlagSet, o *readings.Options) {
	Workbook(f, &o.Sheet, &o.DecimalComma)
	f.StringVar(&o.Unit, "unit", "", "unit of the readings (default: the one in the header or a row of units)")
	f.Var((*separator)(&o.Separator), "separator", "character between cells (default: found in the first line)")
}

// separator is a flag value: one character, or 0 for none.
type separator rune

func (s *separator) Type() string { return "string" }

func (s *separator) String() string {
	if *s == 0 {
		return ""
	}
	return string(*s)
}

func (s *separator) Set(text string) error {
	switch runes := []rune(text); len(runes) {
	case 0:
		*s = 0
	case 1:
		*s = separator(runes[0])
	default:
		return errors.New("must be one character")
	}
	return nil
}

// GaugeStudy adds the flag for a file with a gauge study.
func GaugeStudy(f *pflag.FlagSet, to *string) {
	f.StringVar(to, "gauge-study", "", "the same from a gauge study: `FILE` with what gauge --format json printed, or with the readings")
}
