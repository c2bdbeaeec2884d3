package main

import (
	"context"
	"embed"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/terminal"
	"clampodds/joint/lanes"
	"clampodds/sim"
)

// help has what commands say of themselves, in files of their names.
//
//go:embed help
var help embed.FS

// helpOf is the text of a command, empty where its one line says all.
func helpOf(cmd *cobra.Command) string {
	text, _ := help.ReadFile("help/" + cmd.Name() + ".txt")
	return strings.TrimSuffix(string(text), "\n")
}

// aFlag is a line of the flags in a help text: its names, and what it does.
var aFlag = regexp.MustCompile(`^(\s+(?:-\w, )?--.*?)\s{3,}(.*)$`)

// plainFlags are the flags of a help text without what nobody types, the "=true" of a switch.
func plainFlags(usages string) string {
	lines := strings.Split(strings.TrimRight(strings.ReplaceAll(usages, "[=true|false]", ""), " \n"), "\n")
	widest := 0
	for _, line := range lines {
		if m := aFlag.FindStringSubmatch(line); m != nil {
			widest = max(widest, len(m[1]))
		}
	}
	for i, line := range lines {
		if m := aFlag.FindStringSubmatch(line); m != nil {
			lines[i] = fmt.Sprintf("%-*s   %s", widest, m[1], m[2])
		}
	}
	return strings.Join(lines, "\n")
}

// Once: cobra has one table of such functions for all roots.
func init() { cobra.AddTemplateFunc("plainFlags", plainFlags) }

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:           "clampodds",
		Short:         "How likely is a card edge to run too hot behind its clamp?",
		Version:       question.Version + ", " + question.Build() + ", " + lanes.Kernel(),
		SilenceErrors: true, // report prints them once
		SilenceUsage:  true,
	}
	root.AddCommand(newNew(), newExample(), newCheck(), newNominal(), newRun(), newMerge(), newTail(), newDrivers(), newLoosen(), newAudit(), newFit(), newGauge())
	root.AddCommand(newCalibrate(), newChange(), newTorque(), newCompare(), newChoose(), newReport(), newManual())
	root.PersistentPreRunE = func(cmd *cobra.Command, _ []string) error {
		flags.LimitProcessors(cmd.Flags())
		return flags.SettleCommas(cmd.Flags())
	}
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error { return flags.Nearest(cmd.Flags(), err, study.DidYouMean) })
	root.SetUsageTemplate(strings.ReplaceAll(root.UsageTemplate(), "FlagUsages | trimTrailingWhitespaces", "FlagUsages | plainFlags"))
	root.Long = helpOf(root)
	for _, c := range root.Commands() {
		c.Long = helpOf(c)
		c.Flags().VisitAll(func(f *pflag.Flag) {
			if none := []string{"+Inf", "-Inf", "[]"}; slices.Contains(none, f.DefValue) && f.Value.Type() != "stringSlice" {
				f.DefValue = "0" // which no help text shows
			}
		})
	}
	return root
}

func exactly(n int) cobra.PositionalArgs { return between(n, n) }

// between refuses a wrong number of arguments with the words of the usage line.
func between(least, most int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if least <= len(args) && len(args) <= most {
			return nil
		}
		return fmt.Errorf("usage: %s (%d given)", cmd.UseLine(), len(args))
	}
}

// shared holds the flags of every command that prints a result.
type shared struct {
	cmd       *cobra.Command
	form      flags.Form
	quiet     bool
	condition string // the one to look at; empty for the study as written
	read      files.Inputs
}

// command begins a command that does something with its arguments.
func (s *shared) command(use, short string, args cobra.PositionalArgs, do func(ctx context.Context, args []string) error) *cobra.Command {
	s.form = flags.Table
	s.cmd = &cobra.Command{Use: use, Short: short, Args: args, RunE: func(cmd *cobra.Command, args []string) error { return do(cmd.Context(), args) }}
	s.cmd.Flags().Var(&s.form, "format", "form of the result: table, json, csv or markdown")
	s.cmd.Flags().BoolVar(&s.quiet, "quiet", false, "no progress and no warnings on stderr")
	return s.cmd
}

// question begins a command that reads the studies that its line names, asks something about them and prints the answer,
// whose verdict is the exit code.
func (s *shared) question(use, short string, args cobra.PositionalArgs, ask func(ctx context.Context, studies []*study.Study) (result, sim.Verdict, error)) *cobra.Command {
	return s.command(use, short, args, func(ctx context.Context, args []string) error {
		studies, err := s.loadAll(args...)
		if err != nil {
			return err
		}
		answer, verdict, err := ask(ctx, studies)
		return s.answer(answer, verdict, err)
	})
}

// conditionFlag lets the command look at one condition of the study.
func (s *shared) conditionFlag() {
	s.cmd.Flags().StringVar(&s.condition, "condition", "", "look at the study in its condition `NAME` (default: the study as written)")
}

// load reads a study, in the condition asked for, and shows its warnings.
func (s *shared) load(path string) (*study.Study, error) {
	s.read.Add(path)
	read, err := study.Load(path)
	if err != nil {
		return nil, err
	}
	s.read.Add(read.Files...)
	for _, w := range read.Warnings {
		s.warn(w)
	}
	if s.condition == "" {
		return read, nil
	}
	derived, err := read.Condition(s.condition)
	if err != nil {
		return nil, err
	}
	derived.Title += ", " + s.condition
	return derived, nil
}

func (s *shared) loadAll(paths ...string) (studies []*study.Study, err error) {
	for _, path := range paths {
		read, err := s.load(path)
		if err != nil {
			return nil, err
		}
		studies = append(studies, read)
	}
	return studies, nil
}

func (s *shared) warn(w any) {
	if !s.quiet {
		fmt.Fprintln(s.cmd.ErrOrStderr(), "warning:", w)
	}
}

// progress shows how far the work of package question is.
func (s *shared) progress(what string) (show func(done, total int64), clear func()) {
	return terminal.Progress(s.cmd.ErrOrStderr(), s.quiet, what)
}
