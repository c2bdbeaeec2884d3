package main

import (
	"errors"
	"fmt"
	"os"

	"clampodds/reports"
)

// inputFiles are the files that a command has read. No output is written over one
// of them, whatever is forced: every file is written by writeFile or writeFolder.
type inputFiles struct{ names []string }

func (in *inputFiles) add(names ...string) { in.names = append(in.names, names...) }

// spare refuses an output path that is an input. Files are told by what they are, so
// that links and other spellings count. Commands that compute for long ask it first.
func (in *inputFiles) spare(output string) error {
	target, err := os.Stat(output)
	if err != nil {
		return nil // nothing there yet, or a link to nothing
	}
	for _, name := range in.names {
		if own, err := os.Stat(name); err == nil && os.SameFile(target, own) {
			return usage(fmt.Errorf("%s is read by this command (as %s) and is not written over", output, name))
		}
	}
	return nil
}

// writeFolder writes a report, unless it would replace an input.
func (in *inputFiles) writeFolder(folder string, d reports.Document, json any, force bool) error {
	if err := in.spare(folder); err != nil {
		return err
	}
	err := reports.WriteFolder(folder, d, reports.FolderOptions{JSON: json, Force: force, Spare: in.spare})
	switch marked := (outcome{}); {
	case err == nil || errors.As(err, &marked):
		return err
	case errors.Is(err, reports.ErrFolder):
		return usage(err)
	}
	return failure(err)
}
