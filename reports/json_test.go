package reports

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type inner struct {
	Interval
	Text string `json:"text"`
}

type everything struct {
	inner
	*Warning
	Number  float64        `json:"number"`
	Count   uint64         `json:"count"`
	Yes     bool           `json:"yes"`
	Left    *float64       `json:"left,omitempty"`
	Right   *float64       `json:"right"`
	Zero    float64        `json:"zero,omitempty"`
	None    []int          `json:"none"`
	Empty   []inner        `json:"empty,omitempty"`
	Rows    [][]float64    `json:"rows"`
	List    []*inner       `json:"list"`
	Any     any            `json:"any"`
	Named   map[string]int `json:"named"`
	Shown   Unit           `json:"-"`
	private float64
}

// The reference is encoding/json of the standard library, which differs in what it refuses only.
func TestWriteJSONIsThatOfTheLibrary(t *testing.T) {
	half := 0.5
	full := everything{
		inner: inner{Interval{Low: -1, High: 1e-300}, "<a & \"b\">\n µ"}, Number: 1.0 / 3, Count: math.MaxUint64, Yes: true, Left: &half, Rows: [][]float64{{1, 2}, {}, nil},
		List: []*inner{{Text: "x"}, nil}, Any: inner{Text: "any"}, Named: map[string]int{"b": 2, "a": 1}, Shown: Unit{Of: math.Abs}, private: 3,
	}
	for _, v := range []any{full, &full, everything{Warning: &Warning{Code: "c", Text: "t"}, Empty: []inner{}}, map[string]string{"a": "<"}, []int{}} {
		var got, want bytes.Buffer
		require.NoError(t, WriteJSON(&got, v))
		e := json.NewEncoder(&want)
		e.SetIndent("", "  ")
		e.SetEscapeHTML(false)
		require.NoError(t, e.Encode(v))
		assert.Equal(t, want.String(), got.String())
	}
}

func TestNoNumberIsNull(t *testing.T) {
	var b bytes.Buffer
	nan := math.NaN()
	require.NoError(t, WriteJSON(&b, []any{math.Inf(1), &nan, Interval{Low: math.Inf(-1), High: 2}, [][]float64{{nan}}, struct {
		X float64 `json:"x,omitempty"`
	}{nan}}))
	assert.JSONEq(t, `[null, null, {"low": null, "high": 2}, [[null]], {"x": null}]`, b.String())
	assert.Error(t, WriteJSON(&b, map[string]float64{"a": nan}), "no result has numbers in a map")
}
