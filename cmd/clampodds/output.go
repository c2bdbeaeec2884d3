package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"

	"clampodds/cmd/clampodds/internal/terminal"
	"clampodds/reports"
	"clampodds/sim"
)

// format is a flag value: the form results are printed in.
type format string

const (
	asTable    format = "table"
	asJSON     format = "json"
	asCSV      format = "csv"
	asMarkdown format = "markdown"
)

func (f *format) String() string { return string(*f) }
func (f *format) Type() string   { return "form" }
func (f *format) Set(s string) error {
	switch format(s) {
	case asTable, asJSON, asCSV, asMarkdown:
		*f = format(s)
		return nil
	}
	return errors.New("must be table, json, csv or markdown")
}

// result is what a command ends with: data for programs that can draw itself
// for people. Both forms come from the same values.
type result interface {
	Document() reports.Document
}

// answer ends a command: it prints the result, and the verdict is the exit code.
func (s *shared) answer(r result, verdict sim.Verdict, err error) error {
	if err == nil {
		err = s.emit(r)
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
	case asJSON:
		var b bytes.Buffer
		if err = reports.WriteJSON(&b, r); err == nil { // what is left of control characters stands in texts
			_, err = io.WriteString(w, terminal.Escaped(b.String(), func(r rune) string { return fmt.Sprintf(`\u%04x`, r) }))
		}
	case asCSV:
		d := r.Document()
		if long, ok := r.(interface{ Records() reports.Document }); ok {
			d = long.Records()
		}
		err = reports.WriteCSV(w, d)
	case asMarkdown:
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
