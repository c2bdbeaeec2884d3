package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/reports"
)

// recordFile is a one-page record to be written, in the form that its name says.
type recordFile struct {
	name  string
	force bool
}

func (f *recordFile) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.name, "record", "", "write a one-page record to `FILE`, .html or .docx")
	cmd.Flags().BoolVar(&f.force, "force", false, "replace FILE if it exists")
}

// check refuses a name before anything is computed.
func (f *recordFile) check(read *files.Inputs) error {
	if f.name == "" {
		return nil
	}
	if err := read.Spare(f.name); err != nil {
		return err
	}
	if f.form() == nil {
		return fmt.Errorf("--record %q: the name must end in .html or .docx", f.name)
	}
	return read.MayWrite(f.name, f.force)
}

// form writes a document as the name says; nil for a name that says nothing.
func (f *recordFile) form() func(io.Writer, reports.Document) error {
	switch strings.ToLower(filepath.Ext(f.name)) {
	case ".html":
		return reports.WriteHTML
	case ".docx":
		return reports.WriteDOCX
	}
	return nil
}

func (f *recordFile) write(read *files.Inputs, d reports.Document) error {
	if f.name == "" {
		return nil
	}
	return read.Write(f.name, f.force, func(w io.Writer) error { return f.form()(w, d) })
}
