package main

import (
	"github.com/spf13/cobra"
)

func newDrivers() *cobra.Command {
	var s shared
	var q exceedance
	rows := count(2000)
	cmd := &cobra.Command{
		Use:   "drivers STUDY",
		Short: "Which inputs make the spread and the exceedance, and what changing each would bring",
		Long: `drivers ranks the inputs by what they make of the spread of a limit's quantity
and of the probability of exceeding it, and says what each of them would bring if
it did not scatter, scattered half as much, or had another mean.`,
		Args: exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			read, err := s.load(args[0], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			_, clear := progress(cmd.ErrOrStderr(), s.quiet, "drivers")
			result, verdict, err := q.ask(read).Drivers(cmd.Context(), read, int(rows))
			clear()
			return s.answer(cmd, result, verdict, err)
		},
	}
	s.flags(cmd)
	s.conditionFlag(cmd)
	q.flags(cmd)
	cmd.Flags().Var(&rows, "samples", "cards in each sample; a change of an input takes two samples")
	return cmd
}
