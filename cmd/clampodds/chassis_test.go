package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const chassisExample = "../../testdata/studies/chassis.toml"

// twoSlots is the example cut to two of its slots, judged on average as written.
func twoSlots(t *testing.T, more string) string {
	t.Helper()
	card := absolute(t, "../../testdata/studies/chassis-power.toml")
	return write(t, "two-slots.toml", fmt.Sprintf(`extends = '%s'
condition = []
verdict.policy = "predictive"
chassis.slot = [{ name = "first", card = '%s', replace = { "clamp.pieces" = 3 } }, { name = "second", card = '%s', replace = { "clamp.pieces" = 3, "card.power" = "112 W" } }]
%s`, absolute(t, chassisExample), card, card, more))
}

// The same probability of a slot and of any card in every command that states it, and names with the slot.
func TestCommandsOnAChassis(t *testing.T) {
	long(t)
	study := twoSlots(t, "")
	moved := twoSlots(t, "card.frame_resistance = '0.25 K/W'\n")
	type estimate struct {
		Value float64 `json:"value"`
	}
	var run struct {
		Provenance struct {
			Samples int `json:"samples"`
			Chassis int `json:"chassis"`
			Cards   int `json:"cards_per_chassis"`
		} `json:"provenance"`
		Requirements []struct {
			Name    string   `json:"name"`
			PerCard estimate `json:"per_card"`
			Verdict string   `json:"verdict"`
		} `json:"requirements"`
	}
	decode := func(into any, args ...string) {
		got := invoke(append(args, "--quiet", "--format", "json")...)
		require.NotContains(t, []int{exitFailure, exitUsage}, got.code, "%s: %s", args, got.stderr)
		require.NoError(t, json.Unmarshal([]byte(got.stdout), into))
	}
	decode(&run, "run", study, "--samples", "2000")
	assert.Equal(t, 2000, run.Provenance.Samples)
	assert.Equal(t, 2000, run.Provenance.Chassis)
	assert.Equal(t, 2, run.Provenance.Cards)
	seen := map[string]float64{}
	for _, q := range run.Requirements {
		seen[q.Name] = q.PerCard.Value
	}
	assert.Len(t, seen, 6, "two limits in each slot, and of any card")
	assert.Greater(t, seen["second/spot"], 0.0)
	assert.GreaterOrEqual(t, seen["any/spot"], seen["second/spot"])

	var change struct {
		Requirements []struct {
			Name   string   `json:"name"`
			Before estimate `json:"before"`
		} `json:"requirements"`
	}
	decode(&change, "change", study, moved)
	require.NotEmpty(t, change.Requirements)
	for _, q := range change.Requirements {
		assert.Equal(t, seen[q.Name], q.Before.Value, "%s: the number of record", q.Name)
	}
	for _, args := range [][]string{
		{"check", study}, {"nominal", study}, {"tail", study}, {"tail", study, "--limit", "second/spot"}, {"drivers", study, "--limit", "second/spot", "--samples", "1000"},
		{"compare", study, moved, "--samples", "2000"}, {"loosen", study, "--input", "screw.torque", "--limit", "second/spot"}, {"audit", study, "--limit", "second/spot"},
		{"torque", study, "--from", "0.6 N*m", "--to", "0.8 N*m"},
	} {
		got := invoke(append(args, "--quiet")...)
		assert.NotContains(t, []int{exitFailure, exitUsage}, got.code, "%s: %s", args, got.stderr)
		assert.Contains(t, got.stdout, "Six-slot chassis", args)
	}
	got := invoke("tail", study, "--quiet")
	assert.Contains(t, got.stdout, "excess over the limit, any card: hottest spot of the edges above 0 K")
	assert.Contains(t, got.stdout, "per chassis")
}

func TestDrawsAndPartsOfAChassis(t *testing.T) {
	study, folder := twoSlots(t, ""), t.TempDir()
	csv := filepath.Join(folder, "cards.csv")
	args := []string{"run", study, "--samples", "1500", "--no-knowledge", "--no-conditions", "--quiet"}
	whole := invoke(append(args, "--draws", csv)...)
	require.NotContains(t, []int{exitFailure, exitUsage}, whole.code, whole.stderr)
	text, err := os.ReadFile(csv)
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")
	assert.Len(t, lines, 1501, "a line is a chassis")
	columns := strings.Split(lines[0], ",")
	for _, name := range []string{"screw.torque/first/left", "screw.torque/second/right", "screw.thread_friction", "card.power/first", "first/edge.spot [K]", "second/wall.temperature [K]", "any/edge.spot [dK]", "chassis/heat [W]"} {
		assert.Contains(t, columns, name)
	}
	assert.NotContains(t, columns, "card.power/second", "it is constant there")

	var parts []string
	for _, part := range []string{"1/2", "2/2"} {
		file := filepath.Join(folder, part[:1]+".json")
		got := invoke(append(args, "--part", part, "-o", file)...)
		require.Equal(t, exitDone, got.code, got.stderr)
		parts = append(parts, file)
	}
	merged := invoke(append([]string{"merge", study, "--no-knowledge", "--quiet"}, parts...)...)
	assert.Equal(t, whole.stdout, merged.stdout, "parts add up to the same bytes")
}

func TestWhatAChassisRefuses(t *testing.T) {
	study := twoSlots(t, "")
	torques := write(t, "torques.toml", fmt.Sprintf("chassis.slot = [{ name = 'a', card = '%[1]s' }, { name = 'b', card = '%[1]s', replace = { 'screw.torque' = '0.6 N*m' } }]\n", absolute(t, "../../testdata/studies/chassis-power.toml")))
	rig := "../../testdata/studies/rig.csv"
	for _, c := range []struct {
		says string
		args []string
	}{
		{"a rig holds a card", []string{"calibrate", study, rig}},
		{"not the same in all slots", []string{"torque", torques}},
		{"not the same in all slots", []string{"audit", torques}},
		{"one is the study of a chassis", []string{"change", study, frozen, "--margin", "0.1"}},
		{"one is the study of a chassis", []string{"compare", study, frozen}},
		{"sets no limit", []string{"tail", study, "--limit", "third/spot"}},
	} {
		got := invoke(append(c.args, "--quiet")...)
		assert.Equal(t, exitUsage, got.code, "%s: %s", c.args, got.stderr)
		assert.Contains(t, got.stderr, c.says, c.args)
	}
}
