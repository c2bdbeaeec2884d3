package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"golang.org/x/term"

	"clampodds/reports"
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

// emit prints r on w in the form asked for.
func emit(w io.Writer, f format, r result) error {
	var err error
	switch f {
	case asJSON:
		err = reports.WriteJSON(w, r)
	case asCSV:
		d := r.Document()
		if long, ok := r.(interface{ Records() reports.Document }); ok {
			d = long.Records()
		}
		err = reports.WriteCSV(w, d)
	case asMarkdown:
		err = reports.WriteMarkdown(w, r.Document())
	default:
		terminal := reports.Terminal{Width: width(w), Interactive: isTerminal(w), Colour: reports.ColourWanted(os.Getenv)}
		err = terminal.Write(w, r.Document())
	}
	if err != nil {
		return failure(fmt.Errorf("writing the result: %w", err))
	}
	return nil
}

// width is the terminal's width in columns, or 100 where there is none, so
// that piped text has readable lines.
func width(w io.Writer) int {
	if f, ok := w.(*os.File); ok {
		if columns, _, err := term.GetSize(int(f.Fd())); err == nil && columns >= 40 {
			return columns
		}
	}
	return 100
}

// isTerminal reports whether w is a terminal.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// writeFile writes path whole or not at all: under a temporary name beside it
// first, renamed when complete. An existing file is replaced only with force, and
// an input never. An outcome that write returns is passed on; any other error is a
// failure.
func (in *inputFiles) writeFile(path string, force bool, write func(io.Writer) error) error {
	if err := in.spare(path); err != nil {
		return err
	}
	if _, err := os.Lstat(path); err == nil && !force {
		return usage(fmt.Errorf("%s exists already; give --force to replace it", path))
	}
	temporary, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return failure(fmt.Errorf("cannot write %s: %w", path, err))
	}
	defer os.Remove(temporary.Name()) // gone already when all went well
	err = write(temporary)
	if closing := temporary.Close(); err == nil {
		err = closing
	}
	if err == nil {
		err = os.Chmod(temporary.Name(), 0o644) // the temporary file is private
	}
	if err == nil {
		err = os.Rename(temporary.Name(), path)
	}
	if marked := (outcome{}); err == nil || errors.As(err, &marked) {
		return err
	}
	return failure(fmt.Errorf("cannot write %s: %w", path, err))
}
