package main

import (
	"context"
	_ "embed"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
)

// withoutStudy is something that check prints without a study, where a flag asks for it.
type withoutStudy struct {
	flag, usage string
	print       func() error
	asked       bool
}

func newCheck() *cobra.Command {
	var s shared
	lists := []withoutStudy{
		{flag: "known", usage: "list threads, materials, finishes, keys and units", print: func() error { return s.emit(question.Known()) }},
		{flag: "schema", usage: "print the form of a study as JSON Schema, for editors", print: func() error { return reports.WriteJSON(s.cmd.OutOrStdout(), study.JSONSchema()) }},
		{flag: "licences", usage: "print the licence and those of the libraries", print: func() error {
			_, err := io.WriteString(s.cmd.OutOrStdout(), ownLicence+"\n"+thirdParty)
			return err
		}},
		{flag: "validation", usage: "print the outside checks of this version", print: func() error {
			checks, err := question.OutsideChecks()
			if err != nil {
				return failure(err)
			}
			return s.emit(checks)
		}},
	}
	arguments := func(cmd *cobra.Command, args []string) error {
		chosen := 0
		for _, l := range lists {
			if l.asked {
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
	}
	cmd := s.command("check STUDY | check --validation | check --known | check --schema | check --licences",
		"Read a study and print every input as understood, or all problems at once", arguments, func(_ context.Context, args []string) error {
			for _, l := range lists {
				if l.asked {
					return l.print()
				}
			}
			read, err := s.load(args[0])
			if err != nil {
				return err
			}
			return s.emit(question.Inputs(read))
		})
	s.conditionFlag()
	for i := range lists {
		l := &lists[i]
		cmd.Flags().BoolVar(&l.asked, l.flag, false, l.usage+", without a study")
	}
	return cmd
}

func newNominal() *cobra.Command {
	var s shared
	cmd := s.question("nominal STUDY", "One evaluation at nominal values: forces, conductances, heat by path, margins", exactly(1),
		func(_ context.Context, read []*study.Study) (result, sim.Verdict, error) {
			return question.Nominal(read[0])
		})
	s.conditionFlag()
	return cmd
}

// The licence of the program, and those of what is linked into it, as a test gathers them.
var (
	//go:embed licences/LICENSE
	ownLicence string
	//go:embed licences/THIRD-PARTY.txt
	thirdParty string
)
