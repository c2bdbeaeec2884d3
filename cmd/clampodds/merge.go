package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/sim"
)

func newMerge() *cobra.Command {
	var r runFlags
	cmd := &cobra.Command{
		Use:   "merge STUDY PART...",
		Short: "Adds up the parts of a run that run --part has counted",
		Args:  cobra.MinimumNArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			parts, err := r.readParts(args[1:])
			if err != nil {
				return err
			}
			read, err := r.load(args[0])
			if err != nil {
				return err
			}
			r.counted = func(_ context.Context, run *sim.Run) ([]*sim.Portion, error) {
				cards, err := question.NewCards(read, run, r.showsConditions())
				if err != nil {
					return nil, err
				}
				return cards.Merge(parts)
			}
			return r.answer(cmd, read)
		},
	}
	r.shared.flags(cmd)
	r.knowledgeFlag(cmd)
	r.workersFlag(cmd)
	return cmd
}

// readParts reads the parts and draws the cards as the first of them does.
func (r *runFlags) readParts(names []string) ([]question.NamedPart, error) {
	var parts []question.NamedPart
	for _, name := range names {
		part, err := readPart(name)
		if err != nil {
			return nil, err
		}
		parts = append(parts, question.NamedPart{Name: name, Part: part})
	}
	id := parts[0].Run
	sampler := flags.SamplerOf(id.Plan)
	if sampler == nil || id.Samples < 1 {
		return nil, fmt.Errorf("%s: %w", names[0], errors.New("no such sampling plan or number of cards"))
	}
	r.condition, r.noConditions = id.Condition, !id.Conditions
	r.fixed = &question.Sampling{Sampler: sampler, Seed: &id.Seed, Samples: id.Samples, Workers: r.workers}
	return parts, nil
}
