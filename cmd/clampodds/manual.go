package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/reports"
)

func newManual() *cobra.Command {
	return &cobra.Command{
		Use:   "manual [COMMAND]",
		Short: "Print the manual page of a command, for man",
		Long: `manual prints the manual page of the program, or of one of its commands, in the
form that man reads: clampodds manual run > clampodds-run.1; man ./clampodds-run.1. It is made of the
same texts as --help.`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return exactly(1)(cmd, args)
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			about, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return usage(fmt.Errorf("%s: there is no such command", strings.Join(args, " ")))
			}
			_, err = io.WriteString(cmd.OutOrStdout(), manualPage(about))
			return err
		},
	}
}

// roff escapes what the typesetter would read as a command.
func roff(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(text)
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			lines[i] = `\&` + l
		}
	}
	return strings.Join(lines, "\n")
}

// manualPage is the manual page of a command (section 1).
func manualPage(cmd *cobra.Command) string {
	var b strings.Builder
	name := strings.ReplaceAll(cmd.CommandPath(), " ", "-")
	section := func(head string, lines ...string) {
		b.WriteString(".SH " + head + "\n" + strings.Join(lines, "\n") + "\n")
	}
	fmt.Fprintf(&b, ".TH %s 1 \"\" \"clampodds %s\"\n", strings.ToUpper(roff(name)), question.Version)
	section("NAME", roff(name)+` \- `+roff(cmd.Short))
	cmd.InitDefaultHelpFlag()
	section("SYNOPSIS", `\fB`+roff(cmd.UseLine())+`\fR`)
	section("DESCRIPTION", strings.ReplaceAll(roff(cmp.Or(cmd.Long, cmd.Short+".")), "\n\n", "\n.PP\n"))
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
		if options = append(options, ".TP", strings.TrimSpace(`\fB`+roff(head)+`\fR `+roff(value)), roff(what)); !slices.Contains([]string{"", "false", "0", "[]"}, f.DefValue) {
			options = append(options, roff("(default "+f.DefValue+")"))
		}
	})
	if len(options) > 0 {
		section("OPTIONS", options...)
	}
	if cmd.HasAvailableSubCommands() {
		var also []string
		for _, c := range cmd.Commands() {
			if c.IsAvailableCommand() {
				also = append(also, ".TP", `\fB`+roff(c.Name())+`\fR`, roff(c.Short))
			}
		}
		section("COMMANDS", also...)
	}
	section("CAUTIONS", roff(strings.Join(reports.Cautions, " ")))
	return b.String()
}
