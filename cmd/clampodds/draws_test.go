package main

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/reports"
)

// columnOf reads a column of a Parquet file.
func columnOf(t *testing.T, f *parquet.File, name string) (values []float64) {
	t.Helper()
	at, ok := f.Schema().Lookup(name)
	require.True(t, ok, name)
	for _, group := range f.RowGroups() {
		pages := group.ColumnChunks()[at.ColumnIndex].Pages()
		for {
			page, err := pages.ReadPage()
			if err != nil {
				break
			}
			read := make([]parquet.Value, page.NumValues())
			n, _ := page.Values().ReadValues(read)
			for _, v := range read[:n] {
				if v.Kind() == parquet.Int64 {
					values = append(values, float64(v.Int64()))
				} else {
					values = append(values, v.Double())
				}
			}
		}
		require.NoError(t, pages.Close())
	}
	return values
}

// The Parquet file holds the numbers of the CSV file, over several groups of rows and a last block that is
// shorter; from it alone, and what it says of itself, follow the counts of each limit that run prints.
func TestDrawsAsParquet(t *testing.T) {
	long(t)
	study, folder := fewInputs(t, "condition = []\nlimits.edge = { max = '80 degC' }\n"), t.TempDir()
	table, columns := filepath.Join(folder, "draws.csv"), filepath.Join(folder, "draws.parquet")
	run := []string{"run", study, "--samples", "20000", "--seed", "5", "--no-knowledge", "--quiet", "--format", "json", "--draws"}
	want := invoke(append(run, columns)...)
	require.NotContains(t, []int{exitFailure, exitUsage}, want.code, want.stderr)
	require.Equal(t, want, invoke(append(run, table)...))

	opened, err := os.Open(columns)
	require.NoError(t, err)
	defer opened.Close()
	info, err := opened.Stat()
	require.NoError(t, err)
	f, err := parquet.OpenFile(opened, info.Size())
	require.NoError(t, err)
	assert.Len(t, f.RowGroups(), 2)
	text, ok := f.Lookup("clampodds")
	require.True(t, ok)
	var about question.DrawnAs
	require.NoError(t, json.Unmarshal([]byte(text), &about))
	assert.Equal(t, question.DrawnSchema, about.Schema)
	assert.Equal(t, uint64(5), about.Provenance.Seed)
	assert.Equal(t, "two-face", about.Layout.Family)
	assert.NotEmpty(t, about.Provenance.Digest)
	assert.NotEmpty(t, about.Constants)

	read, err := os.Open(table)
	require.NoError(t, err)
	defer read.Close()
	rows, err := csv.NewReader(read).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, int(f.NumRows())+1)
	for i, head := range rows[0] {
		name, _, _ := strings.Cut(head, " [")
		for r, value := range columnOf(t, f, name) {
			x, err := strconv.ParseFloat(rows[r+1][i], 64)
			require.NoError(t, err)
			if x != value {
				require.Equal(t, x, value, "%s, row %d", name, r)
			}
		}
	}
	chassis := columnOf(t, f, "chassis")
	for r, card := range columnOf(t, f, "card") {
		require.EqualValues(t, r, card)
		require.EqualValues(t, r/about.CardsPerChassis, chassis[r])
	}

	var result reports.Run
	require.NoError(t, json.Unmarshal([]byte(want.stdout), &result))
	seen := int64(0)
	for i, limit := range about.Limits {
		count := int64(0)
		for _, value := range columnOf(t, f, limit.Output) {
			if value > limit.Max || math.IsInf(value, 1) {
				count++
			}
		}
		require.Equal(t, limit.Name, result.Requirements[i].Name)
		if result.Requirements[i].Verdict == "no target" { // else it shows the number of record
			assert.Equal(t, result.Requirements[i].PerCard.Count, count, limit.Name)
			seen += count
		}
	}
	assert.Positive(t, seen, "a limit without a target that is exceeded")
}
