package main

import (
	"context"
	_ "embed"
	"fmt"
	"io"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"

	"github.com/spf13/cobra"
)

func newCheck() *cobra.Command {
	var s shared
	var validation, names, licences, schema bool
	cmd := &cobra.Command{
		Use:   "check STUDY | check --validation | check --known | check --schema | check --licences",
		Short: "Read a study and print every input as understood, or all problems at once",
		Args: func(cmd *cobra.Command, args []string) error {
			chosen := 0
			for _, one := range []bool{validation, names, licences, schema} {
				if one {
					chosen++
				}
			}
			switch {
			case chosen == 0:
				return exactly(1)(cmd, args)
			case chosen > 1:
				return fmt.Errorf("usage: %s: one at a time", cmd.UseLine())
			case s.condition != "":
				return fmt.Errorf("usage: %s: without a study there is no condition", cmd.UseLine())
			}
			return exactly(0)(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if licences {
				return printLicences(cmd.OutOrStdout())
			}
			if schema {
				return reports.WriteJSON(cmd.OutOrStdout(), study.JSONSchema())
			}
			if names {
				return s.emit(question.Known())
			}
			if validation {
				checks, err := question.OutsideChecks()
				if err != nil {
					return failure(err)
				}
				return s.emit(checks)
			}
			read, err := s.load(args[0])
			if err != nil {
				return err
			}
			return s.emit(question.Inputs(read))
		},
	}
	s.flags(cmd)
	s.conditionFlag(cmd)
	cmd.Flags().BoolVar(&names, "known", false, "list threads, materials, finishes, keys and units, without a study")
	cmd.Flags().BoolVar(&schema, "schema", false, "print the form of a study as JSON Schema, for editors, without a study")
	cmd.Flags().BoolVar(&licences, "licences", false, "print the licence and those of the libraries, without a study")
	cmd.Flags().BoolVar(&validation, "validation", false, "print the outside checks of this version, without a study")
	return cmd
}

func newNominal() *cobra.Command {
	var s shared
	cmd := s.command("nominal STUDY", "One evaluation at nominal values: forces, conductances, heat by path, margins", exactly(1),
		func(_ context.Context, read []*study.Study) (result, sim.Verdict, error) {
			return question.Nominal(read[0])
		})
	s.flags(cmd)
	s.conditionFlag(cmd)
	return cmd
}

// The licence of the program, and those of what is linked into it, as a test gathers them.
var (
	//go:embed licences/LICENSE
	ownLicence string
	//go:embed licences/THIRD-PARTY.txt
	thirdParty string
)

func printLicences(w io.Writer) error {
	_, err := io.WriteString(w, ownLicence+"\n"+thirdParty)
	return err
}
