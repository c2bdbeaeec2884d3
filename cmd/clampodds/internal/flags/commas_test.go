package flags

import (
	"testing"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// 1,250 is 1.25 with the flag, wherever it stands, and else asked for by its name.
func TestThreeDigitsBehindAComma(t *testing.T) {
	parsed := func(args ...string) (low float64, err error) {
		var sheet string
		var comma bool
		f := pflag.NewFlagSet("", pflag.ContinueOnError)
		Workbook(f, &sheet, &comma)
		f.Float64Var(&low, "low", 0, "")
		DecimalCommas(f)
		if err = f.Parse(args); err == nil {
			err = SettleCommas(f)
		}
		return low, err
	}
	for _, args := range [][]string{{"--low", "1,250", "--decimal-comma"}, {"--decimal-comma", "--low=1,250"}, {"--low", "1,25"}} {
		low, err := parsed(args...)
		require.NoError(t, err)
		assert.Equal(t, 1.25, low, args)
	}
	_, err := parsed("--low", "1,250")
	assert.EqualError(t, err, "--low 1,250: 1.250, or thousands? --decimal-comma reads it as 1.250; thousands are not separated")
	_, err = parsed("--low", "1,25x", "--decimal-comma")
	assert.ErrorContains(t, err, "must be a number")
	_, err = parsed("--low", "1,250,000", "--decimal-comma")
	assert.ErrorContains(t, err, "invalid argument")
}
