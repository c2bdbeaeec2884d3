package main

import (
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
	cmd := &cobra.Command{
		Use:   "report STUDY [STUDY...] -o DIR",
		Short: "The qualification appendix: numbered tables and figures, in every format",
		Args:  cobra.RangeArgs(1, decide.MostDesigns),
		RunE:  a.report,
	}
	a.flags(cmd)
	return cmd
}

// appendixFlags holds the flags of report.
type appendixFlags struct {
	deciding
	folder, prefix, baseline, date string
	force                          bool
}

func (a *appendixFlags) flags(cmd *cobra.Command) {
	a.deciding.flags(cmd)
	_ = cmd.Flags().MarkHidden("format") // a report has all of them
	cmd.Flags().StringVarP(&a.folder, "output", "o", "", "write into the folder `DIR`")
	cmd.Flags().StringVar(&a.prefix, "prefix", "A", "prefix of the numbers of tables and figures: A gives Table A-1")
	cmd.Flags().StringVar(&a.baseline, "baseline", "", "say whether the change from the study `BASE` is safe")
	cmd.Flags().StringVar(&a.date, "date", "", "print `DATE` on the first page as it is given (default: a line to fill in)")
	cmd.Flags().BoolVar(&a.force, "force", false, "replace a folder that report has written")
}

func (a *appendixFlags) report(cmd *cobra.Command, args []string) error {
	if a.folder == "" {
		return fmt.Errorf("usage: %s: the folder is missing", cmd.UseLine())
	}
	a.read.Add(append(args, a.baseline)...) // bases and readings follow as they are read
	if err := a.read.Spare(a.folder); err != nil {
		return err
	}
	studies, err := a.loadAll(args...)
	if err != nil {
		return err
	}
	r := question.Reporting{Asking: a.as(), Date: a.date, Others: studies[1:]}
	if a.baseline != "" {
		if r.Baseline, err = a.load(a.baseline); err != nil {
			return err
		}
	}
	if err := a.read.MayWriteFolder(a.folder, reportFolder, a.force); err != nil {
		return err
	}
	made, err := r.Make(cmd.Context(), studies[0])
	if err != nil {
		return err
	}
	made.Command = a.command(cmd.Flags(), made)
	d := made.Document()
	d.Number(a.prefix)
	if err := writeFolder(&a.read, a.folder, d, made, a.force); err != nil {
		return err
	}
	fmt.Fprintln(cmd.OutOrStdout(), terminal.Visible(a.folder)+": "+made.Verdict())
	return verdicts(made.Verdicts...)
}

// command is the command line that gives the same report.
func (a *appendixFlags) command(set *pflag.FlagSet, made *question.Appendix) string {
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

// writeFolder writes a report.
func writeFolder(in *files.Inputs, folder string, d reports.Document, json any, force bool) error {
	list, err := reports.FolderFiles(d, json)
	if err != nil {
		return failure(err)
	}
	report := reportFolder
	report.Files = list
	return in.WriteFolder(folder, report, force)
}
