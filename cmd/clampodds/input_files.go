package main

import (
	"errors"
	"io"
	"os"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/reports"
)

// inputFiles are the files that a command has read, with the exit codes of what may go wrong
// with files: what is refused is a wrong input, all else a failure.
type inputFiles struct{ files.Inputs }

func (in *inputFiles) add(names ...string) { in.Add(names...) }

// spare refuses an output path that is an input. Commands that compute for long ask it first.
func (in *inputFiles) spare(output string) error { return ofFiles(in.Spare(output)) }

// writeFile writes path whole or not at all. An outcome that write returns is passed on.
func (in *inputFiles) writeFile(path string, force bool, write func(io.Writer) error) error {
	return ofFiles(in.Write(path, force, write))
}

// writeFolder writes a report.
func (in *inputFiles) writeFolder(folder string, d reports.Document, json any, force bool) error {
	list, err := reports.FolderFiles(d, json)
	if err != nil {
		return failure(err)
	}
	report := reportFolder
	report.Files = list
	return ofFiles(in.WriteFolder(folder, report, force))
}

// reportFolder tells a report from other folders.
var reportFolder = files.Folder{Page: reports.FolderPage, Sign: []byte(reports.FolderSign)}

// ofReading gives an error of reading its exit code: what is not there is a wrong input.
func ofReading(err error) error {
	if errors.Is(err, os.ErrNotExist) {
		return usage(err)
	}
	return ofFiles(err)
}

// ofFiles gives an error of reading or writing its exit code.
func ofFiles(err error) error {
	marked, refused := outcome{}, files.Refused{}
	switch {
	case err == nil:
		return nil
	case errors.As(err, &marked):
		return marked
	case errors.As(err, &refused):
		return usage(err)
	}
	return failure(err)
}
