package outside

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func obtained(low, high, x float64) Check { return Check{Low: low, High: high, Obtained: &x} }

func TestRatioAndMiss(t *testing.T) {
	for _, c := range []struct {
		check       Check
		ratio, miss float64
	}{
		{obtained(10, 10, 25), 2.5, 2.5},
		{obtained(10, 10, 5), 0.5, 2},
		{obtained(0.2, 0.5, 0.36), 1, 1},
		{obtained(0.2, 0.5, 1), 2, 2},
		{obtained(0.2, 0.5, 0.1), 0.5, 2},
		{obtained(-2, -2, -1), 0.5, 2},
		{obtained(0, 0, 1e-17), math.NaN(), math.Inf(1)},
		{obtained(1, 1, -1), math.NaN(), math.Inf(1)},
		{Check{Low: 1, High: 1}, math.NaN(), math.Inf(1)},
	} {
		if math.IsNaN(c.ratio) {
			assert.True(t, math.IsNaN(c.check.Ratio()))
		} else {
			assert.InDelta(t, c.ratio, c.check.Ratio(), 1e-15)
		}
		assert.Equal(t, c.miss, c.check.Miss())
	}
}

func TestTheTableIsReadAsWritten(t *testing.T) {
	table := Table{Schema: Schema}
	table.Put(Section{Name: "first", Checks: []Check{{Name: "old"}}})
	table.Put(Section{Name: "second", Checks: []Check{{Name: "h < 5 & k", Agreement: NotComputed, Why: "no such gas"}}})
	table.Put(Section{Name: "first", Checks: []Check{{Name: "new", Agreement: Differs}, {Name: "newer", Agreement: Agrees}}})
	text, err := table.Encode()
	require.NoError(t, err)
	assert.Contains(t, string(text), "h < 5 & k")
	read, err := Read(text)
	require.NoError(t, err)
	assert.Equal(t, table, read)
	assert.Equal(t, 1, read.Section("first").Count(Differs))
	assert.Nil(t, read.Section("third"))
	_, err = Read([]byte(`{"schema": "other/1"}`))
	assert.EqualError(t, err, `outside checks: schema "other/1", want "clampodds.validation/1"`)
	_, err = Read([]byte(`{`))
	assert.ErrorContains(t, err, "outside checks: ")
}
