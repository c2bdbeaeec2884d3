package main

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/question"
)

// inParts counts a run in parts, the last first, and returns their files.
func inParts(t *testing.T, parts int, run ...string) (names []string) {
	t.Helper()
	folder := t.TempDir()
	for i := parts; i >= 1; i-- {
		name := filepath.Join(folder, fmt.Sprintf("part-%d.json", i))
		got := invoke(append(run, "--quiet", "--part", fmt.Sprintf("%d/%d", i, parts), "-o", name)...)
		require.Equal(t, exitDone, got.code, got.stderr)
		assert.Contains(t, got.stdout, fmt.Sprintf("%s: part %d of %d, ", name, i, parts))
		names = append(names, name)
	}
	return names
}

// Parts that are merged give the same bytes, and the same exit code, as one run: in tables and in JSON, with
// conditions and knowledge, without, under a condition, with a plan whose blocks are replicates; and with the
// numbers of record that another task has found.
func TestMergedPartsAreTheRun(t *testing.T) {
	study := fewInputs(t, "")
	for _, c := range []struct {
		parts int
		flags []string
		more  []string // that do not go with the parts
	}{
		{1, []string{"--samples", "6000", "--no-conditions"}, []string{"--no-knowledge"}},
		{3, []string{"--samples", "9000", "--seed", "0"}, nil},
		{16, []string{"--samples", "17000", "--condition", "aged"}, []string{"--no-knowledge"}},
		{16, []string{"--samples", "6000", "--plan", "scrambled-halton"}, []string{"--no-knowledge"}},
	} {
		run := append([]string{"run", study}, c.flags...)
		names := inParts(t, c.parts, run...)
		for _, form := range []string{"table", "json"} {
			more := append(slices.Clone(c.more), "--quiet", "--format", form)
			want := invoke(append(run, more...)...)
			require.NotContains(t, []int{exitFailure, exitUsage}, want.code, want.stderr)
			assert.Equal(t, want, invoke(append(append([]string{"merge", study}, names...), more...)...), "%v in %d parts", c.flags, c.parts)
		}
	}
}

// The numbers of record of a run of any size are those that a merge needs.
func TestMergeTakesTheNumbersOfRecordOfOthers(t *testing.T) {
	study, records := fewInputs(t, ""), filepath.Join(t.TempDir(), "records")
	more := []string{"--quiet", "--records", records}
	_, stderr, code := said(t, append([]string{"run", study, "--samples", "600"}, more...)...)
	require.NotContains(t, []int{exitFailure, exitUsage}, code, stderr)
	found := filesOf(t, records)
	require.Len(t, found, 1)
	names := inParts(t, 3, "run", study, "--samples", "9000")
	want, _, _ := said(t, "run", study, "--samples", "9000", "--quiet")
	merged, _, _ := said(t, append(append([]string{"merge", study}, names...), more...)...)
	assert.Equal(t, want, merged)
	assert.Equal(t, found, filesOf(t, records), "none was found anew")
}

// What does not add up to one run is refused, by the name of the file.
func TestPartsThatDoNotFitAreRefused(t *testing.T) {
	study := fewInputs(t, "")
	run := []string{"run", study, "--samples", "6000"}
	names := inParts(t, 3, run...) // 3, 2, 1
	plain := inParts(t, 3, append(run, "--no-conditions")...)
	hot := inParts(t, 3, append(run, "--condition", "aged")...)
	seed := inParts(t, 3, append(run, "--seed", "9")...)
	other := inParts(t, 3, "run", fewInputs(t, "title = \"another\"\n"), "--samples", "6000")
	two := inParts(t, 2, run...)
	edited := func(name string, change func(p *question.Part)) string {
		text, err := os.ReadFile(names[0])
		require.NoError(t, err)
		part, err := question.ReadPart(text)
		require.NoError(t, err)
		change(part)
		text, err = json.Marshal(part)
		require.NoError(t, err)
		return write(t, name, string(text))
	}
	damaged := edited("damaged.json", func(p *question.Part) { p.Counted[1].Data[0] ^= 1 })
	half := edited("half.json", func(p *question.Part) { p.Counted = p.Counted[:1] })
	blocks := edited("blocks.json", func(p *question.Part) { p.Counted[1].Blocks++ })
	text, err := os.ReadFile(names[0])
	require.NoError(t, err)
	form := write(t, "form.json", strings.Replace(string(text), question.PartSchema, "clampodds.part/2", 1))
	version := edited("version.json", func(p *question.Part) { p.Run.Version = "0.0.9" })
	build := edited("build.json", func(p *question.Part) { p.Run.Build = "revision 1" })
	unfinished := edited("unfinished.json", func(p *question.Part) { p.Counted[0].End-- })
	for want, parts := range map[string][]string{
		"missing of 3 parts: 2":                               {names[0], names[2]},
		"are both part 2 of 3":                                {names[0], names[1], names[1], names[2]},
		seed[1] + ": it is of another run: seed \"9\", not":   {names[0], seed[1], names[2]},
		other[1] + ": it is of another run: study or its dat": {names[0], other[1], names[2]},
		two[1] + " is part 1 of 2, " + names[0]:               {names[0], two[1]},
		damaged + ": it is damaged":                           {damaged, names[1], names[2]},
		half + ": it is damaged: counts of 1 runs":            {half, names[1], names[2]},
		blocks + ": it is of another run: blocks":             {blocks, names[1], names[2]},
		form + ": schema \"clampodds.part/2\": must be":       {names[1], form},
		plain[1] + ": it is of another run: cards under con":  {names[0], plain[1], names[2]},
		names[1] + ": it is of another run: cards under con":  {plain[0], names[1], plain[2]},
		hot[1] + ": it is of another run: condition \"aged\"": {names[0], hot[1], names[2]},
		version + ": it is of another run: version":           {names[1], version, names[2]},
		build + ": it is of another run: build":               {names[1], build, names[2]},
		unfinished + ": counts":                               {unfinished, names[1], names[2]},
		study + ": it is no part of a run":                    {study},
		"nowhere.json":                                        {"nowhere.json"},
	} {
		got := invoke(append([]string{"merge", study, "--quiet"}, parts...)...)
		assert.Equal(t, exitUsage, got.code, "%s: %s", want, got.stderr)
		assert.Contains(t, got.stderr, want)
		assert.Empty(t, got.stdout)
	}
	for want, flags := range map[string][]string{
		"-o FILE is missing":            {"--part", "1/3"},
		"N/M expected":                  {"--part", "3", "-o", "x"},
		"N from 1 to M":                 {"--part", "4/3", "-o", "x"},
		"no SLURM_ARRAY_TASK_ID":        {"--part", "/3", "-o", "x"},
		"which part?":                   {"-o", "x"},
		"--until goes with neither":     {"--until", "spot=5%", "--part", "1/3", "-o", "x"},
		"--draws goes with neither":     {"--draws", "d", "--checkpoint", "x"},
		"--checkpoint-every":            {"--checkpoint", "x", "--checkpoint-every", "0s"},
		"exists already":                {"--part", "3/3", "-o", names[0]},
		"is not written over":           {"--part", "3/3", "--force", "-o", study},
		study + " is read by this comm": {"--checkpoint", study},
		damaged + ": it is damaged":     {"--checkpoint", damaged},
		names[0] + ": it is of anothe":  {"--seed", "5", "--checkpoint", names[0]},
		names[1] + ": it is of anothe":  {"--no-conditions", "--checkpoint", names[1]},
		names[0] + ": it is part 3 of":  {"--checkpoint", names[0]},
	} {
		got := invoke(append(run, flags...)...)
		assert.Equal(t, exitUsage, got.code, "%s: %s", want, got.stderr)
		assert.Contains(t, got.stderr, want)
	}
}

// The part is that of the task of an array job; an array that repeats some tasks has to name the number of
// parts.
func TestPartOfAnArrayJob(t *testing.T) {
	full := map[string]string{"SLURM_ARRAY_TASK_ID": "5", "SLURM_ARRAY_TASK_COUNT": "16", "SLURM_ARRAY_TASK_MIN": "1", "SLURM_ARRAY_TASK_MAX": "16"}
	again := map[string]string{"SLURM_ARRAY_TASK_ID": "5", "SLURM_ARRAY_TASK_COUNT": "1", "SLURM_ARRAY_TASK_MIN": "5", "SLURM_ARRAY_TASK_MAX": "5"}
	for _, c := range []struct {
		part        string
		environment map[string]string
		want        string
	}{
		{"", full, "part 5 of 16"}, {"/16", full, "part 5 of 16"}, {"/16", again, "part 5 of 16"}, {"3/7", full, "part 3 of 7"},
		{"", again, ""}, {"/4", full, ""}, {"", nil, ""},
	} {
		d, err := question.DivisionOf(c.part, func(name string) string { return c.environment[name] })
		if c.want == "" {
			assert.Error(t, err, c)
			continue
		}
		require.NoError(t, err)
		assert.Equal(t, c.want, d.String())
	}
}

// A run that is killed at any moment and started again with the same checkpoint ends with the same bytes
// and leaves nothing else behind; so does a part.
func TestKilledRunsGoOn(t *testing.T) {
	killed(t, 5)
}

func killed(t *testing.T, kills int) {
	study, folder := fewInputs(t, ""), t.TempDir()
	run := []string{"run", study, "--samples", "40000", "--workers", "1", "--no-knowledge", "--quiet"}
	want := invoke(run...)
	kept, part := filepath.Join(folder, "kept.json"), filepath.Join(folder, "part.json")
	run = append(run, "--checkpoint", kept, "--checkpoint-every", "5ms")
	random, went := rand.New(rand.NewPCG(1, 2)), 0
	last := int64(0)
	for i := range kills {
		command := run
		if i%4 == 3 { // the work anew, with what a killed run has left
			require.NoError(t, os.Remove(kept))
			last = 0
		}
		p := program(command...)
		require.NoError(t, p.Start())
		ended := make(chan error, 1)
		go func() { ended <- p.Wait() }()
		// However slow the machine: every other one when it has kept more than it found.
		for found, waits := sizeAndTime(kept), i%2 == 0; waits && len(ended) == 0; waits = sizeAndTime(kept) == found {
			time.Sleep(time.Millisecond)
		}
		time.Sleep(time.Duration(float64(100*time.Millisecond) * random.Float64()))
		_ = p.Process.Kill()
		<-ended
		text, err := os.ReadFile(kept)
		if os.IsNotExist(err) {
			continue
		}
		require.NoError(t, err)
		counted, err := question.ReadPart(text)
		require.NoError(t, err, "whole at any time")
		require.Len(t, counted.Counted, 2, "as written, under conditions")
		blocks := counted.Counted[0].End + counted.Counted[1].End
		assert.GreaterOrEqual(t, blocks, last, "nothing is lost")
		if blocks > last && last > 0 {
			went++
		}
		last = blocks
	}
	assert.Positive(t, went, "no kill fell into a run that went on")
	assert.Equal(t, want, invoke(run...))
	assert.Equal(t, want, invoke(run...), "once more, from a checkpoint that is whole")
	require.NoError(t, os.Rename(kept, part))
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, entries, 1, "a stray: %v", entries)
	merged := invoke("merge", study, part, "--no-knowledge", "--quiet")
	assert.Equal(t, want, merged, "a checkpoint that is whole is part 1 of 1")
}

// sizeAndTime tells when a file was replaced.
func sizeAndTime(name string) string {
	info, err := os.Stat(name)
	if err != nil {
		return ""
	}
	return fmt.Sprint(info.Size(), info.ModTime())
}

// An interrupt keeps what was counted. Until then nobody else counts into the same file.
func TestInterruptedRunsGoOn(t *testing.T) {
	folder := t.TempDir()
	kept := filepath.Join(folder, "kept.json")
	run := []string{"run", fewInputs(t, "condition = []\n"), "--samples", "1e9", "--quiet", "--checkpoint", kept, "--checkpoint-every", "1h"}
	p := program(run...)
	var stderr strings.Builder
	p.Stderr = &stderr
	require.NoError(t, p.Start())
	require.Eventually(t, func() bool { _, err := os.Stat(kept); return err == nil }, time.Minute, time.Millisecond)
	again := invoke(run...)
	assert.Equal(t, exitUsage, again.code)
	assert.Contains(t, again.stderr, kept+" is in use by another process")
	require.NoError(t, p.Process.Signal(os.Interrupt))
	assert.Error(t, p.Wait())
	assert.Equal(t, exitFailure, p.ProcessState.ExitCode())
	assert.Contains(t, stderr.String(), "the same command goes on from "+kept)
}
