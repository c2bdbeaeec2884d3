package main

import (
	"clampodds/cmd/clampodds/internal/manual"
	"clampodds/cmd/clampodds/internal/question"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every command has a page with every flag of its help, and no line that the typesetter would
// take for a command of its own.
func TestManualHasEveryCommandAndFlag(t *testing.T) {
	root := newRoot()
	whole := invoke("manual")
	require.Equal(t, exitDone, whole.code)
	for _, c := range root.Commands() {
		if !c.IsAvailableCommand() || c.Name() == "help" {
			continue
		}
		assert.Contains(t, whole.stdout, `\fB`+manual.Roff(c.Name())+`\fR`)
		page := manual.Page(c, question.Version, "")
		assert.Contains(t, page, manual.Roff(c.Short))
		for _, line := range strings.Split(c.LocalFlags().FlagUsages(), "\n") {
			if name, ok := strings.CutPrefix(strings.TrimSpace(line), "--"); ok {
				name = name[:strings.IndexAny(name, " [")]
				assert.True(t, strings.Contains(page, manual.Roff("--"+name)+`\fR`), "%s: %s", c.Name(), name)
			}
		}
		for _, line := range strings.Split(page, "\n") {
			if strings.HasPrefix(line, ".") {
				assert.Regexp(t, `^\.(TH|SH|TP|PP)`, line, c.Name())
			}
		}
	}
	assert.Equal(t, `a\-b \e\e`+"\n"+`\&.c`, manual.Roff("a-b \\\\\n.c"))
	assert.Equal(t, exitUsage, invoke("manual", "nonsense").code)
}

func TestSchemaIsPrinted(t *testing.T) {
	got := invoke("check", "--schema")
	require.Equal(t, exitDone, got.code)
	assert.Contains(t, got.stdout, "json-schema.org/draft/2020-12")
	assert.Equal(t, exitUsage, invoke("check", "--schema", "--known").code, "one at a time")
}

// A help text has what a person types: no "=true" of a switch, no end of a range that is none; the column of explanations is one.
func TestHelpHasWhatIsTyped(t *testing.T) {
	for _, command := range newRoot().Commands() {
		got := invoke(command.Name(), "--help")
		assert.Equal(t, exitDone, got.code, command.Name())
		for _, nobody := range []string{"[=true", "Inf)", "[])"} {
			assert.NotContains(t, got.stdout, nobody, command.Name())
		}
	}
	assert.Contains(t, invoke("run", "--help").stdout, "      --force                       replace an existing FILE of --draws or -o\n      --format form                 form of the result")
}
