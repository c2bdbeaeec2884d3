//go:build coverage

package rig

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim/calibrate"
)

// fewer are some rows of the demo's table, by their numbers; its comments and its header stay.
func fewer(t testing.TB, rows ...int) string {
	text, err := os.ReadFile(folder + "rig.csv")
	require.NoError(t, err)
	lines := strings.SplitAfter(string(text), "\n")
	list := lines[:3:3]
	for _, row := range rows {
		list = append(list, lines[3+row])
	}
	return strings.Join(list, "")
}

// slipsIn looks for slips in a table.
func slipsIn(t testing.TB, s *study.Study, x *Table) []calibrate.Slip {
	c, err := x.Calibrate(s, []string{"contact.factor"})
	require.NoError(t, err)
	c.Problem.Confidence, c.Problem.Draws = 0.95, 260
	slips, _, err := c.Problem.Slips(t.Context())
	require.NoError(t, err)
	return slips
}

// mistyped is a table with a column of a row changed.
func mistyped(x *Table, list func(*Table) *[]Quantity, column, row int, change func(float64) float64) *Table {
	y := *x
	own := list(&y)
	*own = slices.Clone(*own)
	q := &(*own)[column]
	q.Values = slices.Clone(q.Values)
	q.Values[row] = change(q.Values[row])
	return &y
}

// TestSlipsKeepTheirRate reads the demo's cards anew, all that scatters drawn, and counts tables that are told to have a slip: 1 in
// 100 at most, with 3 standard errors. SLIP_TABLES in place of 300. The table is the one in DEVELOPERS.md.
func TestSlipsKeepTheirRate(t *testing.T) {
	tables := 300
	if n, err := strconv.Atoi(os.Getenv("SLIP_TABLES")); err == nil {
		tables = n
	}
	all := []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}
	s := demo(t).Averaged()
	for _, c := range []struct {
		name              string
		rows              []int
		leave             []string
		noise, step, wear float64
	}{
		{"12 rows of 3 cards, both edges", all, nil, 0.3, 0.1, 0},
		{"the same to 0.5 K", all, nil, 0.3, 0.5, 0},
		{"the same to 1 K", all, nil, 0.3, 1, 0},
		{"noise 0.6 K", all, nil, 0.6, 0.1, 0},
		{"faces that wear", all, nil, 0.3, 0.1, 1.5},
		{"4 rows of 2 cards", []int{0, 1, 4, 5}, nil, 0.3, 0.1, 0},
		{"one edge", all, []string{"right"}, 0.3, 0.1, 0},
		{"one edge, 4 rows of 2 cards", []int{0, 1, 4, 5}, []string{"right"}, 0.3, 0.1, 0},
		{"one card", all, []string{"card"}, 0.3, 0.1, 0},
		{"no wall", all, []string{"wall"}, 0.3, 0.1, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			columns := map[string]string{}
			for _, key := range c.leave {
				columns[key] = ""
			}
			x := parsed(t, fewer(t, c.rows...), Options{Noise: "0.3 K", Columns: columns})
			m := &simulator{study: s, table: x, noise: c.noise, step: c.step, wear: c.wear, random: rand.New(rand.NewPCG(1, 2))}
			wrong := 0
			for range tables {
				if len(slipsIn(t, s, m.read(t))) > 0 {
					wrong++
				}
			}
			most := 0.01*float64(tables) + 3*math.Sqrt(0.01*0.99*float64(tables))
			assert.LessOrEqual(t, float64(wrong), most)
			t.Logf("%d of %d tables", wrong, tables)
			power := tables / 20
			if os.Getenv("SLIP_POWER") == "0" {
				return
			}
			var seen, named [6]int
			edges := func(x *Table) *[]Quantity { return &x.Read }
			conditions := func(x *Table) *[]Quantity { return &x.Set }
			for k, change := range []func(float64) float64{
				func(x float64) float64 { return x + 2 }, func(x float64) float64 { return x - 2 },
				func(x float64) float64 { return x + 3 }, func(x float64) float64 { return x + 5 }, func(x float64) float64 { return x + 54 },
				func(x float64) float64 { return 1.2 * x },
			} {
				for range power {
					y := m.read(t)
					row, list, column := m.random.IntN(len(c.rows)), edges, m.random.IntN(len(x.Read))
					want := []int{row*len(x.Read) + column}
					if k == 5 {
						list, column, want = conditions, 1, nil
						for i := range x.Read {
							want = append(want, row*len(x.Read)+i)
						}
					}
					slips := slipsIn(t, s, mistyped(y, list, column, row, change))
					if len(slips) > 0 {
						seen[k]++
						if slices.Equal(slips[0].Observations, want) {
							named[k]++
						}
					}
				}
			}
			t.Logf("| %s | %.1f | %d of %d tables | +2 -2 +3 +5 +54 K, power 1.2: seen %v, named rightly %v of %d", c.name, 100*float64(wrong)/float64(tables), wrong, tables, seen, named, power)
		})
	}
}
