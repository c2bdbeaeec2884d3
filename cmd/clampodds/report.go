package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim/decide"
)

func newReport() *cobra.Command {
	var a appendixFlags
	cmd := &cobra.Command{
		Use:   "report STUDY [STUDY...] -o DIR",
		Short: "The qualification appendix: numbered tables and figures, in every format",
		Long: `report runs the study and writes the appendix of a qualification report into a
folder: one page to read and print (index.html), Markdown, LaTeX and a word
processor file, each table as CSV, each figure as SVG and PNG, all results as
JSON. The same study and seed give the same files. report.tex compiles in the folder;
its fragments need the packages array, booktabs, graphicx, longtable, pgf and textcomp. Project, document, revision and
author come from the keys of these names at the head of the study.

With --baseline it says whether the change from BASE to STUDY is safe; with more
than one STUDY it compares the others with the first.

Exit codes: 0 every requirement met and, with --baseline, the change safe; 3 one is
not; 4 undecided.`,
		Args: cobra.RangeArgs(1, decide.MostDesigns),
		RunE: func(cmd *cobra.Command, args []string) error {
			if a.folder == "" {
				return usage(fmt.Errorf("usage: %s: the folder is missing", cmd.UseLine()))
			}
			a.read.add(append(args, a.baseline)...) // bases and readings follow as they are read
			if err := a.read.spare(a.folder); err != nil {
				return err
			}
			made, err := a.make(cmd, args)
			if err != nil {
				return err
			}
			made.Command = a.command(cmd.Flags(), made)
			d := made.Document()
			d.Number(a.prefix)
			if err := a.read.writeFolder(a.folder, d, made, a.force); err != nil {
				return err
			}
			fmt.Fprintln(cmd.OutOrStdout(), visible(a.folder)+": "+made.Verdict())
			return verdicts(made.Verdicts...)
		},
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

// make computes the parts of the report.
func (a *appendixFlags) make(cmd *cobra.Command, args []string) (*question.Appendix, error) {
	read, err := a.load(args[0], cmd.ErrOrStderr())
	if err != nil {
		return nil, err
	}
	made := &question.Appendix{Schema: question.AppendixSchema, Study: read, Inputs: question.Inputs(read), Date: a.date}
	if made.Checks, err = question.OutsideChecks(); err != nil {
		return nil, failure(err)
	}
	if made.Nominal, _, err = question.Nominal(read); err != nil {
		return nil, err
	}
	if err := a.read.MayWriteFolder(a.folder, reportFolder, a.force); err != nil {
		return nil, ofFiles(err)
	}
	if err := a.sample(cmd, made); err != nil {
		return nil, err
	}
	if err := a.drive(cmd, made); err != nil {
		return nil, err
	}
	if err := a.window(cmd, made); err != nil {
		return nil, err
	}
	if err := a.explore(cmd, made); err != nil {
		return nil, err
	}
	if err := a.hold(cmd, made); err != nil {
		return nil, err
	}
	return made, a.beside(cmd, made, args[1:])
}

// sample does the Monte Carlo run, as the command run does.
func (a *appendixFlags) sample(cmd *cobra.Command, made *question.Appendix) error {
	r := runFlags{shared: a.shared, sampling: a.sampling}
	done, err := r.do(cmd, made.Study)
	if err != nil {
		return err
	}
	if !done.Found.Complete {
		return failure(errors.New(question.Interrupted + ": no report is written"))
	}
	made.Run, made.Found, made.Verdicts = done.Result, done.Found, done.Verdicts
	return nil
}

// driverSamples is the size of each sample of the drivers.
const driverSamples = 2000

// drive finds what makes the spread and the exceedance of the first temperature limit.
func (a *appendixFlags) drive(cmd *cobra.Command, made *question.Appendix) error {
	q := exceedance{evaluations: a.evaluations, relativeError: 0.1, seed: a.seed, workers: a.workers, cmd: cmd}
	_, clear := progress(cmd.ErrOrStderr(), a.quiet, "drivers")
	defer clear()
	var err error
	if made.Drivers, _, err = q.ask(made.Study).Drivers(cmd.Context(), made.Study, driverSamples); err != nil {
		return unanswered(err)
	}
	return nil
}

// window looks for the torque window.
func (a *appendixFlags) window(cmd *cobra.Command, made *question.Appendix) error {
	if made.Study.OnlyApart(question.TorqueKey) != nil {
		return nil // each edge has its own
	}
	answer, err := a.findWindow(cmd, made.Study, "", "")
	if err != nil {
		return err
	}
	made.Torque = answer.Result
	return nil
}

// explore counts at other torques: over the window as written where it has ends, with
// something on either side.
func (a *appendixFlags) explore(cmd *cobra.Command, made *question.Appendix) (err error) {
	t := made.Torque
	if t.Now == 0 {
		return nil // no window was looked for
	}
	now := t.Now
	x := question.Exploring{Sampling: a.asked(), Progress: a.progress(cmd), From: 0.6 * now, To: 1.4 * now}
	if low := 0.85 * t.Lower.Torque; low > t.From {
		x.From = min(x.From, low)
	}
	if high := 1.1 * t.Upper.Torque; high < t.To {
		x.To = max(x.To, high)
	}
	if d := made.Run.Decision; d != nil {
		x.Condition = d.Condition
	}
	if made.Explore, err = x.Explore(cmd.Context(), made.Study); err != nil {
		return unanswered(err)
	}
	return nil
}

// hold judges the change from the baseline, where there is one.
func (a *appendixFlags) hold(cmd *cobra.Command, made *question.Appendix) error {
	if a.baseline == "" {
		return nil
	}
	before, err := a.load(a.baseline, cmd.ErrOrStderr())
	if err != nil {
		return err
	}
	answer, err := a.judgeChange(cmd, before, made.Study, "", made.Along())
	if err != nil {
		return err
	}
	made.Change, made.Changed, made.Verdicts = &answer.Result, answer.Shown, append(made.Verdicts, answer.Safe)
	return nil
}

// beside compares the study with others, where there are any.
func (a *appendixFlags) beside(cmd *cobra.Command, made *question.Appendix, others []string) error {
	if len(others) == 0 {
		return nil
	}
	studies, err := a.loadAll(others, cmd.ErrOrStderr())
	if err != nil {
		return err
	}
	result, _, err := a.rankDesigns(cmd, append([]*study.Study{made.Study}, studies...), "")
	made.Compare = &result
	return err
}

// command is the command line that gives the same report.
func (a *appendixFlags) command(flags *pflag.FlagSet, made *question.Appendix) string {
	line := fmt.Sprintf("clampodds report %s -o DIR --seed %d --samples %d --plan %s", strings.Join(made.Names(), " "), made.Found.Seed, made.Found.Samples, wordOf(made.Found.Sampler))
	flags.Visit(func(f *pflag.Flag) {
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

// wordOf is the word of the command line for a plan by its name.
func wordOf(name string) samplerName {
	for _, s := range samplers {
		if s.Name() == name {
			return planWord(s)
		}
	}
	return samplerName(name)
}
