package main

import (
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	studies "clampodds/testdata/studies"
)

func newExample() *cobra.Command {
	var output string
	var force bool
	cmd := &cobra.Command{
		Use:   "example [NAME] [-o FILE]",
		Short: "List or write the commented example studies",
		Args:  cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return listExamples(cmd.OutOrStdout())
			}
			text, err := readExample(args[0])
			if err != nil {
				return err
			}
			write := func(w io.Writer) error { _, err := w.Write(text); return err }
			if output == "" {
				return write(cmd.OutOrStdout())
			}
			if err := new(inputFiles).writeFile(output, force, write); err != nil {
				return err
			}
			if beside := needs(text); len(beside) > 0 {
				fmt.Fprintf(cmd.ErrOrStderr(), "note: it reads %s; write them beside it with example NAME -o FILE\n", strings.Join(beside, ", "))
			}
			return nil
		},
	}
	cmd.Flags().StringVarP(&output, "output", "o", "", "write to `FILE` in place of the terminal")
	cmd.Flags().BoolVar(&force, "force", false, "replace an existing file")
	return cmd
}

// exampleNames are the files of the examples, sorted.
func exampleNames() []string {
	var names []string
	for _, pattern := range []string{"*.toml", "*.csv", "*.xlsx"} {
		found, _ := fs.Glob(studies.Files, pattern) // the patterns are well formed
		names = append(names, found...)
	}
	slices.Sort(names)
	return names
}

// listExamples prints each example with its first comment line or, for data,
// its heads.
func listExamples(w io.Writer) error {
	for _, name := range exampleNames() {
		text, err := studies.Files.ReadFile(name)
		if err != nil {
			return failure(err)
		}
		first, _, _ := strings.Cut(string(text), "\n")
		if strings.HasSuffix(name, ".xlsx") {
			first = "Incoming inspection of trial lots: flatness of the flange, and a study of the gauge, readings invented."
		}
		if _, err := fmt.Fprintf(w, "%-24s %s\n", name, strings.TrimLeft(first, "# ")); err != nil {
			return failure(err)
		}
	}
	return nil
}

// readExample finds an example by its file name, with or without the ending.
func readExample(name string) ([]byte, error) {
	for _, file := range []string{name, name + ".toml"} {
		if slices.Contains(exampleNames(), file) {
			return studies.Files.ReadFile(file)
		}
	}
	return nil, usage(fmt.Errorf("no example %q; there are %s", name, strings.Join(exampleNames(), ", ")))
}

// needs lists the other examples that the text of one names: what it extends,
// and measured data.
func needs(text []byte) (names []string) {
	for _, name := range exampleNames() {
		if strings.Contains(string(text), `"`+name+`"`) {
			names = append(names, name)
		}
	}
	return names
}
