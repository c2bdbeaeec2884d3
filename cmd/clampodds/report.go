package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/terminal"
	"clampodds/reports"
	"clampodds/sim/decide"
)

func newReport() *cobra.Command {
	var a appendixFlags
	cmd := a.command("report STUDY [STUDY...] -o DIR", "The qualification appendix: numbered tables and figures, in every format", cobra.RangeArgs(1, decide.MostDesigns), a.report)
	a.deciding.flags()
	_ = cmd.Flags().MarkHidden("format") // a report has all of them
	a.output.flags(cmd, "write into the folder `DIR`", "replace a folder that report has written")
	cmd.Flags().StringVar(&a.prefix, "prefix", "A", "prefix of the numbers of tables and figures: A gives Table A-1")
	cmd.Flags().StringVar(&a.baseline, "baseline", "", "say whether the change from the study `BASE` is safe")
	cmd.Flags().StringVar(&a.date, "date", "", "print `DATE` on the first page as it is given (default: a line to fill in)")
	return cmd
}

// appendixFlags holds the flags of report.
type appendixFlags struct {
	deciding
	output
	prefix, baseline, date string
}

func (a *appendixFlags) report(ctx context.Context, args []string) error {
	if a.name == "" {
		return fmt.Errorf("usage: %s: the folder is missing", a.cmd.UseLine())
	}
	a.read.Add(append(args, a.baseline)...) // bases and readings follow as they are read
	if err := a.read.Spare(a.name); err != nil {
		return err
	}
	studies, err := a.loadAll(args...)
	if err != nil {
		return err
	}
	r := question.Reporting{Asking: a.Asking, Date: a.date, Others: studies[1:]}
	if a.baseline != "" {
		if r.Baseline, err = a.load(a.baseline); err != nil {
			return err
		}
	}
	if err := a.read.MayWriteFolder(a.name, reportFolder, a.force); err != nil {
		return err
	}
	made, err := r.Make(ctx, studies[0])
	if err != nil {
		return err
	}
	made.Command = commandLine(a.cmd.Flags(), made)
	d := made.Document()
	d.Number(a.prefix)
	folder := reportFolder
	if folder.Files, err = reports.FolderFiles(d, made); err != nil {
		return failure(err)
	}
	if err := a.read.WriteFolder(a.name, folder, a.force); err != nil {
		return err
	}
	fmt.Fprintln(a.cmd.OutOrStdout(), terminal.Visible(a.name)+": "+made.Verdict())
	return verdicts(made.Verdicts...)
}

// commandLine is the command line that gives the same report.
func commandLine(set *pflag.FlagSet, made *question.Appendix) string {
	line := fmt.Sprintf("clampodds report %s -o DIR --seed %d --samples %d --plan %s", strings.Join(made.Names(), " "), made.Found.Seed, made.Found.Samples, flags.Word(made.Found.Sampler))
	set.Visit(func(f *pflag.Flag) {
		if slices.Contains([]string{"baseline", "date", "evaluations", "prefix"}, f.Name) {
			value := f.Value.String()
			if strings.ContainsAny(value, " \t") {
				value = fmt.Sprintf("%q", value)
			}
			line += " --" + f.Name + " " + value
		}
	})
	return line
}

// reportFolder tells a report from other folders.
var reportFolder = files.Folder{Page: reports.FolderPage, Sign: []byte(reports.FolderSign)}
