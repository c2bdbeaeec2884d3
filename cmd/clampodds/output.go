package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/terminal"
	"clampodds/reports"
	"clampodds/sim"
)

// result is what a command ends with: data for programs that can draw itself
// for people. Both forms come from the same values.
type result interface {
	Document() reports.Document
}

// answer ends a command: it prints the result, and the verdict is the exit code.
func (s *shared) answer(r result, verdict sim.Verdict, err error) error {
	if err != nil && !errors.Is(err, question.ErrIncomplete) {
		return err
	}
	if e := s.emit(r); e != nil {
		return e
	}
	if err != nil {
		return err
	}
	return verdicts(verdict)
}

// emit prints r in the form asked for.
func (s *shared) emit(r result) error {
	w := s.cmd.OutOrStdout()
	var err error
	switch s.form {
	case flags.JSON:
		var b bytes.Buffer
		if err = reports.WriteJSON(&b, r); err == nil { // what is left of control characters stands in texts
			_, err = io.WriteString(w, terminal.Escaped(b.String(), func(r rune) string { return fmt.Sprintf(`\u%04x`, r) }))
		}
	case flags.CSV:
		d := r.Document()
		if long, ok := r.(interface{ Records() reports.Document }); ok {
			d = long.Records()
		}
		err = reports.WriteCSV(w, d)
	case flags.Markdown:
		err = reports.WriteMarkdown(w, r.Document())
	default:
		onTerminal := reports.Terminal{Width: terminal.Width(w), Interactive: terminal.Is(w), Colour: reports.ColourWanted(os.Getenv)}
		err = onTerminal.Write(w, r.Document())
	}
	if err != nil {
		return failure(fmt.Errorf("writing the result: %w", err))
	}
	return nil
}

// output is what a command writes beside its result: a file or a folder. An empty name is for nothing.
type output struct {
	name  string
	force bool
}

func (o *output) flags(cmd *cobra.Command, what, force string) {
	cmd.Flags().StringVarP(&o.name, "output", "o", "", what)
	o.forceFlag(cmd, force)
}

func (o *output) forceFlag(cmd *cobra.Command, what string) {
	cmd.Flags().BoolVar(&o.force, "force", false, what)
}
