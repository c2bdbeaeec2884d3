package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports/validation"
)

// module is one that the program is linked from.
type module struct{ name, folder string }

// linkedModules lists the modules with a package in the program, for any of the systems, and Go itself.
func linkedModules(t *testing.T) []module {
	t.Helper()
	goRoot, err := exec.Command("go", "env", "GOROOT").Output()
	require.NoError(t, err)
	list := []module{{"Go, its standard library", strings.TrimSpace(string(goRoot))}}
	for _, system := range []string{"linux", "darwin", "windows"} {
		command := exec.Command("go", "list", "-deps", "-f", `{{with .Module}}{{if .Version}}{{.Path}} {{.Version}}|{{.Dir}}{{end}}{{end}}`, ".")
		command.Env = append(os.Environ(), "GOOS="+system)
		text, err := command.Output()
		require.NoError(t, err)
		for line := range strings.Lines(string(text)) {
			if name, folder, ok := strings.Cut(strings.TrimSpace(line), "|"); ok && !slices.Contains(list, module{name, folder}) {
				list = append(list, module{name, folder})
			}
		}
	}
	slices.SortFunc(list[1:], func(a, b module) int { return strings.Compare(a.name, b.name) })
	return list
}

var legal = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents)`)

// legalTexts are the licence, the notices and the patent grants of a module.
func (m module) legalTexts(t *testing.T) (texts [][]byte) {
	t.Helper()
	for _, folder := range []string{m.folder, filepath.Join(m.folder, "licenses")} {
		entries, err := os.ReadDir(folder)
		if folder == m.folder {
			require.NoError(t, err)
		}
		for _, e := range entries {
			if e.Type().IsRegular() && (legal.MatchString(e.Name()) || folder != m.folder) {
				text, err := os.ReadFile(filepath.Join(folder, e.Name()))
				require.NoError(t, err)
				texts = append(texts, text)
			}
		}
	}
	return texts
}

// The notices are those of the modules that are linked today. -update gathers them.
func TestThirdPartyNoticesAreComplete(t *testing.T) {
	var b bytes.Buffer
	for _, m := range linkedModules(t) {
		texts := m.legalTexts(t)
		assert.NotEmpty(t, texts, "%s: no licence", m.name)
		fmt.Fprintf(&b, "%s\n%s\n%[1]s\n\n", strings.Repeat("=", 79), m.name)
		for _, text := range texts {
			b.Write(bytes.TrimSpace(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))))
			b.WriteString("\n\n")
		}
	}
	const file = "licences/THIRD-PARTY.txt"
	if validation.Updating() {
		require.NoError(t, os.WriteFile(file, b.Bytes(), 0o644))
		return
	}
	assert.True(t, thirdParty == b.String(), "%s is not that of the modules in go.mod: go test ./cmd/clampodds -run ThirdParty -update", file)
}

func TestLicencesArePrinted(t *testing.T) {
	got := invoke("check", "--licences")
	assert.Equal(t, exitDone, got.code, got.stderr)
	for _, words := range []string{"MIT License", "The clampodds contributors", "gonum.org/v1/gonum v", "SIL OPEN FONT LICENSE"} {
		assert.Contains(t, got.stdout, words)
	}
	for _, wrong := range [][]string{{demo}, {"--known"}, {"--validation"}, {"--condition", "hot day"}} {
		assert.Equal(t, exitUsage, invoke(append([]string{"check", "--licences"}, wrong...)...).code, wrong)
	}
}
