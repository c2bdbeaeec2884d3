package flags

import (
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"clampodds/cmd/clampodds/internal/units"
)

const decimalComma = "decimal-comma"

// DecimalCommas lets the numbers of all flags have a decimal comma, as the table beside them may. The flag of Workbook is one
// of them.
func DecimalCommas(f *pflag.FlagSet) {
	f.VisitAll(func(flag *pflag.Flag) {
		if flag.Value.Type() == "float64" {
			flag.Value = &commaNumber{Value: flag.Value}
		}
	})
}

// commaNumber is one with a point, or with a comma where nothing else can be meant. Of any other the text waits until all
// flags are read: the one that says what a comma is may stand behind it.
type commaNumber struct {
	pflag.Value
	waiting string
}

func (n *commaNumber) Set(text string) error {
	n.waiting = ""
	err := n.Value.Set(units.DecimalPoint(text))
	if err != nil && strings.Count(text, ",") == 1 {
		n.waiting, err = text, nil
	}
	return err
}

// SettleCommas reads the numbers that wait.
func SettleCommas(f *pflag.FlagSet) (err error) {
	f.VisitAll(func(flag *pflag.Flag) {
		n, ok := flag.Value.(*commaNumber)
		if !ok || n.waiting == "" || err != nil {
			return
		}
		point := strings.Replace(n.waiting, ",", ".", 1)
		switch problem := n.Value.Set(point); {
		case problem != nil:
			err = fmt.Errorf("--%s %s: must be a number", flag.Name, n.waiting)
		case f.Lookup(decimalComma).Value.String() != "true":
			err = fmt.Errorf("--%s %s: %s, or thousands? --%s reads it as %s; thousands are not separated", flag.Name, n.waiting, point, decimalComma, point)
		}
	})
	return err
}
