package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a rig test says goes into both sides of a change; into one alone it would make that one look better, and is refused. Faces that
// were not read are not helped.
func TestCalibrationGoesIntoBothStudiesOfAChange(t *testing.T) {
	long(t)
	studies := root + "/testdata/studies/"
	base, after, finish := studies+"two-face.toml", studies+"flatness-change.toml", studies+"finish-change.toml"
	folder := t.TempDir()
	known, also := filepath.Join(folder, "base.toml"), filepath.Join(folder, "new.toml")
	calibrate := func(args ...string) answer {
		return invoke(append([]string{"calibrate", base, studies + "rig.csv", "--noise", "0.3K", "--quiet"}, args...)...)
	}
	got := calibrate("-o", known, "--also", after+"="+also, "--figures", folder)
	require.Equal(t, exitDone, got.code, got.stderr)
	entry := func(file string) string {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, line := range strings.Split(string(text), "\n") {
			if strings.HasPrefix(line, "contact.factor = ") {
				return line
			}
		}
		return ""
	}
	for name, says := range map[string]string{"known-contact-factor.svg": "before the readings", "read-edge-left.svg": "expected after", "read-edge-right.svg": "expected before"} {
		text, err := os.ReadFile(filepath.Join(folder, name))
		require.NoError(t, err)
		assert.Contains(t, string(text), says)
		assert.NotContains(t, string(text), "NaN")
	}
	assert.NotEmpty(t, entry(known))
	assert.Equal(t, entry(known), entry(also))
	checked := invoke("check", also, "--quiet", "--format", "csv")
	require.Equal(t, exitDone, checked.code, checked.stderr)
	assert.Contains(t, checked.stdout, "half-normal, p95 50 um", "it extends the new study")

	for _, pair := range [][2]string{{base, known}, {known, after}, {base, also}} {
		got := invoke("change", pair[0], pair[1], "--quiet")
		assert.Equal(t, exitUsage, got.code)
		assert.Contains(t, got.stderr, "contact.factor: not known, and stated differently")
		assert.Contains(t, got.stderr, "what one knows better is no better part")
	}

	other := filepath.Join(folder, "other.toml")
	got = calibrate("--also", finish+"="+other)
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.stderr, "has other faces than were read (")
	assert.Contains(t, got.stderr, "rail.coat.thickness")
	assert.NoFileExists(t, other)
	got = calibrate("--also", known+"="+other)
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.stderr, "contact.factor is not the same in")
	assert.Equal(t, exitUsage, calibrate("--also", after+"="+base).code, "an input is not written over")
}
