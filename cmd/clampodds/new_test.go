package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
)

// answering runs a command whose input is a pipe.
func answering(stdin string, args ...string) answer {
	var stdout, stderr bytes.Buffer
	code := run(args, strings.NewReader(stdin), &stdout, &stderr)
	return answer{code, stdout.String(), stderr.String()}
}

// An invented drawing in inch-pound units, answered by a pipe as a spreadsheet saves it.
func TestNewWritesAStudyOfWhatWasAnswered(t *testing.T) {
	file := filepath.Join(t.TempDir(), "converter.toml")
	const answers = "\ufeffPower \"converter\" card\r\nDWG 4711\r\nfour-face\r\n4.80 in\r\n0.250 in\r\n0.300 in +- 0.002 in\r\n5\r\nNo. 6-32 UNC\r\n6 in*lbf ± 5 %\r\nnone\r\nnone\r\n0.09 in\r\n0.420 in +- 0.003 in\r\n0.001 in\r\n63 uin\r\n45 degC +- 2 K\r\n"
	got := answering(answers, "new", "-o", file, "--limit", "80 degC")
	require.Equal(t, exitDone, got.code, got.stderr)
	assert.Contains(t, got.stdout, "17 answers, ")
	read, err := study.Load(file)
	require.NoError(t, err)
	assert.Equal(t, `Power "converter" card`, read.Title)
	assert.Equal(t, "DWG 4711", read.Input("slot.width").Source)
	assert.InDelta(t, 6*0.1129848, read.Input("screw.torque").Nominal, 1e-6, "the inch and the pound")
	assert.InDelta(t, 80+273.15, read.Limits[0].Max, 1e-9)
	assert.Empty(t, read.Warnings)

	checked := invoke("check", file, "--quiet")
	require.Equal(t, exitDone, checked.code, checked.stderr)
	_, open, found := strings.Cut(checked.stdout, "Still assumed")
	require.True(t, found)
	assert.Contains(t, open, " gas.altitude", "not answered")
	assert.Contains(t, open, " card.mass", "not asked")
	for _, of := range []string{"clamp.conductivity", "flange.coat.thickness", "rail.coat.hardness"} {
		assert.Contains(t, open, " "+of, "materials and finishes are assumed")
	}
	assert.NotContains(t, open, "slot.width")
	assert.Contains(t, open, " screw.torque ", "the drawing does not say how many are inside the tolerance")
	assert.True(t, strings.HasSuffix(read.Input("screw.torque").Source, "; assumed: 95 % are inside the tolerance, none beyond twice that (coverage = 0.95; low, high)"))
	assert.Equal(t, exitDone, invoke("nominal", file, "--quiet").code)
}

// Quiet leaves the commands to go on with out, and keeps the file and what is assumed.
func TestNewQuietly(t *testing.T) {
	file := filepath.Join(t.TempDir(), "card.toml")
	got := answering("", "new", "-o", file, "--quiet", "--title", "Card")
	assert.Equal(t, answer{exitDone, file + ": 1 answer, 78 of 78 inputs still assumed or the tool's own.\n", ""}, got)
}

// Tolerances as drawings have them: two sides, one unit for both, of a temperature in its own degrees.
func TestNewReadsTolerancesAsDrawn(t *testing.T) {
	file := filepath.Join(t.TempDir(), "drawn.toml")
	got := invoke("new", "-o", file, "--family", "four face", "--width", `.25" +- .004`, "--length", "4.80 in +0/-.010", "--height", "0.375 in +.002/-.000", "--flange", "0.100 ± .003 in", "--slot", `0.495" ± .005`,
		"--wall", "140 degF +- 5 degF", "--power", "45 W +- 3", "--target", "0.1 %", "--torque", "5 in-lb ± 0.5", "--maker", "5.5 in-lb")
	require.Equal(t, exitDone, got.code, got.stderr)
	read, err := study.Load(file)
	require.NoError(t, err)
	const inch = 0.0254
	for _, c := range []struct {
		key       string
		low, high float64
	}{
		{"clamp.height", 0.375 * inch, 0.377 * inch}, {"flange.thickness", 0.097 * inch, 0.103 * inch},
		{"slot.width", 0.490 * inch, 0.500 * inch}, {"clamp.width", 0.246 * inch, 0.254 * inch}, {"clamp.length", 4.79 * inch, 4.80 * inch},
	} {
		in := read.Input(c.key)
		assert.InDelta(t, c.low, in.Dist.Quantile(0), 1e-9, c.key)
		assert.InDelta(t, c.high, in.Dist.Quantile(1), 1e-9, c.key)
	}
	assert.Empty(t, read.Warnings, "one-sided: its middle is the nominal")
	assert.InDelta(t, 5/1.8/1.96, read.Input("wall.temperature").Dist.StdDev(), 2e-4, "twice the standard deviation, K")
	assert.InDelta(t, 1e-3, read.Limits[0].Target, 1e-15)
	assert.InDelta(t, 2.5e-4, read.ChangeMargin, 1e-15, "a quarter of the target")
	assert.InDelta(t, 5.5*0.1129848, read.Tool.Most, 1e-6)
}

// The torques that the clamp maker allows, both, and a torque that no tool gives.
func TestNewAsksForTheMakersLeast(t *testing.T) {
	file := filepath.Join(t.TempDir(), "least.toml")
	got := invoke("new", "-o", file, "--torque", "6 in-lb", "--maker", "8 in-lb", "--least", "min 5 in-lb", "--thread", "6-32 UNC-2A", "--target", "1/1000")
	require.Equal(t, exitDone, got.code, got.stderr)
	assert.Contains(t, got.stderr, "CAUTION: ")
	assert.Equal(t, 1, strings.Count(got.stderr, "every screw gets exactly 6 in-lb, which no tool does: state its scatter"))
	read, err := study.Load(file)
	require.NoError(t, err)
	assert.InDeltaSlice(t, []float64{5 * 0.1129848, 8 * 0.1129848}, []float64{read.Tool.Least, read.Tool.Most}, 1e-6)
	checked := invoke("check", file)
	assert.Contains(t, checked.stderr+checked.stdout, "[torque-without-scatter]")
	got = invoke("new", "-o", filepath.Join(t.TempDir(), "no.toml"), "--maker", "5 in-lb", "--least", "8 in-lb")
	assert.Contains(t, got.stderr, "must be below the largest")
}

// Nothing answered is a study too, of either clamp.
func TestNewWithoutAnswers(t *testing.T) {
	for _, family := range []string{"two-face", "four-face"} {
		file := filepath.Join(t.TempDir(), "new.toml")
		got := answering("", "new", "-o", file, "--family", family)
		require.Equal(t, exitDone, got.code, got.stderr)
		read, err := study.Load(file)
		require.NoError(t, err)
		assert.Empty(t, read.Warnings)
		assert.Equal(t, exitUsage, answering("", "new", "-o", file).code, "an existing file stays")
	}
}

func TestNewRefusesAWrongAnswer(t *testing.T) {
	for _, c := range []struct{ flag, text, says string }{
		{"--torque", "0.7", "unit"}, {"--torque", "0.7 N*m +- 5 K", "5 K"}, {"--wall", "55 degC +- 5 %", "in K"}, {"--flatness", "25 um +- 1 um", "a tolerance has no place here"},
		{"--thread", "M3.14", "M3.14"}, {"--family", "three-face", "two-face, four-face"}, {"--target", "2", "probability"}, {"--pieces", "6.5", "whole number"}, {"--slot", "9 mm", "no play"},
		{"--pieces", "6", "pieces"}, {"--torque", "0.7 N*m +0.1/-0.05", "either way"}, {"--slot", "12 mm +- x", "no number"}, {"--target", "0 %", "0.2 %"},
	} {
		file := filepath.Join(t.TempDir(), "new.toml")
		got := answering("", "new", "-o", file, c.flag, c.text)
		assert.Equal(t, exitUsage, got.code, "%s %s: %s", c.flag, c.text, got.stdout)
		assert.Contains(t, got.stderr, c.says, "%s %s", c.flag, c.text)
		assert.NoFileExists(t, file)
		assert.NotContains(t, got.stderr, "new.toml", "%s %s: no lines of a file that is not there", c.flag, c.text)
	}
	got := answering("", "new", "-o", filepath.Join(t.TempDir(), "new.toml"), "--width", "6.4 mm max", "--pieces", "five", "--roughness", "0.8")
	assert.Equal(t, exitUsage, got.code)
	assert.Regexp(t, `(?s)^--width "6\.4 mm max": .*\n--pieces "five": .*\n--roughness "0\.8": `, got.stderr, "all at once")
	got = answering("a\nb\nthree-face\n", "new", "-o", filepath.Join(t.TempDir(), "new.toml"))
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.stderr, "three-face")
}

// A study as an editor of another system saves it: with a byte order mark and CRLF.
func TestStudyWithMarkAndCRLF(t *testing.T) {
	text, err := os.ReadFile(frozen)
	require.NoError(t, err)
	plain, err := study.Load(frozen)
	require.NoError(t, err)
	file := write(t, "crlf.toml", "\ufeff"+strings.ReplaceAll(string(text), "\n", "\r\n"))
	read, err := study.Load(file)
	require.NoError(t, err)
	require.Len(t, read.Inputs, len(plain.Inputs))
	for i := range read.Inputs {
		assert.Equal(t, plain.Inputs[i].Typed, read.Inputs[i].Typed)
		assert.Equal(t, plain.Inputs[i].Line, read.Inputs[i].Line)
		assert.Equal(t, plain.Inputs[i].Source, read.Inputs[i].Source)
	}
}
