package gauge

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist/readings"
)

const asExported = "# remark\nscrew;operator;repeat;torque [N*m]\n1;A;1;0.70\n1;B;1;0.71\n\n2;A;1;0.68\n2;B;1;0.69\n"

func TestReadFindsItsColumns(t *testing.T) {
	f, err := Read([]byte(asExported), Options{})
	require.NoError(t, err)
	assert.Equal(t, "torque", f.Column)
	assert.Equal(t, "N*m", f.Unit)
	assert.Equal(t, []Reading{{"1", "A", 0.70, 3}, {"1", "B", 0.71, 4}, {"2", "A", 0.68, 6}, {"2", "B", 0.69, 7}}, f.Readings)

	f, err = Read([]byte("no,who,mm\na,x,1\na,x,2\n"), Options{Part: "no", Operator: "who", Reading: "3"})
	require.NoError(t, err)
	assert.Equal(t, []Reading{{"a", "x", 1, 2}, {"a", "x", 2, 3}}, f.Readings)

	f, err = Read([]byte("part\tthickness\n1\t2,98\n"), Options{Format: readings.Options{DecimalComma: true}})
	require.NoError(t, err)
	assert.Equal(t, []Reading{{"1", "", 2.98, 2}}, f.Readings)
}

func TestReadRefuses(t *testing.T) {
	for want, text := range map[string]string{
		"the file is empty":                               "",
		"no column of parts among number, mm":             "number,mm\n1,2\n",
		"2 columns may hold the readings (width, height)": "part,width,height\n1,2,3\n",
		"0 columns may hold the readings ()":              "part,operator\n1,2\n",
		"lines 2, 4: a reading beyond the gauge":          "part,mm\n1,<2\n1,3\n2,>4\n",
		`line 3, column 2 (mm): "n.d."`:                   "part,mm\n1,2\n1,n.d.\n",
		"the group is empty":                              "part,mm\n1,2\n,3\n",
		`line 3, column 2 (operator)`:                     "part,operator,mm\n1,A,2\n1,,3\n",
	} {
		_, err := Read([]byte(text), Options{})
		assert.ErrorContains(t, err, want)
	}
	_, err := Read([]byte(asExported), Options{Operator: "nobody", Reading: "torque"})
	assert.ErrorContains(t, err, `no column "nobody"`)
}
