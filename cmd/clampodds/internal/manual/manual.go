// Package manual makes manual pages of the texts of a command line.
package manual

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// Roff escapes what the typesetter would read as a command.
func Roff(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(text)
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			lines[i] = `\&` + l
		}
	}
	return strings.Join(lines, "\n")
}

// Page is the manual page of a command (section 1), for a version of the program and with the
// cautions that go with its answers.
func Page(cmd *cobra.Command, version, cautions string) string {
	var b strings.Builder
	name := strings.ReplaceAll(cmd.CommandPath(), " ", "-")
	section := func(head string, lines ...string) {
		b.WriteString(".SH " + head + "\n" + strings.Join(lines, "\n") + "\n")
	}
	fmt.Fprintf(&b, ".TH %s 1 \"\" \"clampodds %s\"\n", strings.ToUpper(Roff(name)), version)
	section("NAME", Roff(name)+` \- `+Roff(cmd.Short))
	cmd.InitDefaultHelpFlag()
	section("SYNOPSIS", `\fB`+Roff(cmd.UseLine())+`\fR`)
	section("DESCRIPTION", strings.ReplaceAll(Roff(cmp.Or(cmd.Long, cmd.Short+".")), "\n\n", "\n.PP\n"))
	var options []string
	cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
		if f.Hidden {
			return
		}
		value, what := pflag.UnquoteUsage(f)
		head := "--" + f.Name
		if f.Shorthand != "" {
			head = "-" + f.Shorthand + ", " + head
		}
		if options = append(options, ".TP", strings.TrimSpace(`\fB`+Roff(head)+`\fR `+Roff(value)), Roff(what)); !slices.Contains([]string{"", "false", "0", "[]"}, f.DefValue) {
			options = append(options, Roff("(default "+f.DefValue+")"))
		}
	})
	if len(options) > 0 {
		section("OPTIONS", options...)
	}
	if cmd.HasAvailableSubCommands() {
		var also []string
		for _, c := range cmd.Commands() {
			if c.IsAvailableCommand() {
				also = append(also, ".TP", `\fB`+Roff(c.Name())+`\fR`, Roff(c.Short))
			}
		}
		section("COMMANDS", also...)
	}
	section("CAUTIONS", Roff(cautions))
	return b.String()
}
