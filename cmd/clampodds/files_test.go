package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
)

const incoming = root + "/testdata/studies/incoming.xlsx"

func TestFitReadsASheet(t *testing.T) {
	got := invoke("fit", incoming, "--sheet", "flatness", "--column", "flatness", "--bootstrap", "0", "--family", "half-normal")
	require.Equal(t, exitDone, got.code, got.stderr)
	assert.Contains(t, got.stdout, "the file says of D25: plate cleaned, read again")
	assert.Contains(t, got.stdout, `{ shape = "half-normal", scale = "13.9881 um", readings = 48 }`)
	got = invoke("fit", incoming, "--column", "flatness")
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.stderr, `say which one; the sheets are "flatness", "gauge study"`)
}

func TestStudyReadsASheet(t *testing.T) {
	folder := t.TempDir()
	text, err := os.ReadFile(incoming)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "incoming.xlsx"), text, 0o600))
	base, err := filepath.Abs(demo)
	require.NoError(t, err)
	write := func(entry string) string {
		path := filepath.Join(folder, "study.toml")
		require.NoError(t, os.WriteFile(path, []byte("extends = "+strconv.Quote(base)+"\n[face.direct]\nflatness = "+entry+"\n"), 0o600))
		return path
	}
	got := invoke("check", write(`{ shape = "measured", file = "incoming.xlsx", sheet = "flatness", column = "flatness", unit = "um" }`), "--quiet", "--format", "csv")
	require.Equal(t, exitDone, got.code, got.stderr)
	assert.Contains(t, got.stdout, "nominal,11,,,,µm")
	got = invoke("check", write(`{ shape = "measured", file = "incoming.xlsx", sheet = "flatness", column = "read on", unit = "um" }`), "--quiet")
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.stderr, "cell E5")
}

func TestKnown(t *testing.T) {
	got := invoke("check", "--known", "--format", "json")
	require.Equal(t, exitDone, got.code, got.stderr)
	var k reports.Known
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &k))
	assert.Len(t, k.Keys, len(study.Keys()))
	for _, list := range []int{len(k.Threads), len(k.Materials), len(k.Finishes), len(k.Units)} {
		assert.NotZero(t, list)
	}
	for _, want := range []string{"M3.5", "No. 8-32 UNC", "7075-T6", "hard anodic film", "face.direct.flatness", "in-lbs"} {
		assert.Contains(t, invoke("check", "--known").stdout, want)
	}
	for _, wrong := range [][]string{{demo}, {"--validation"}, {"--condition", "hot day"}} {
		assert.Equal(t, exitUsage, invoke(append([]string{"check", "--known"}, wrong...)...).code, wrong)
	}
}
