package question_test

import (
	"context"
	"fmt"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist"
)

// A study read from its file: one evaluation at its nominal values, and how far its
// hottest edge may be from the limit.
func Example() {
	read := dist.Must(study.Load("../../../../testdata/frozen/two-face.toml"))
	nominal, verdict, err := question.Nominal(read)
	limit := nominal.Limits[0]
	fmt.Printf("%s: %.1f °C of %s, %s, %v\n", limit.Label, limit.Value-273.15, limit.Shown.Text(limit.Limit), verdict, err)
	tail, verdict, err := question.Exceedance{Evaluations: 10_000, RelativeError: 0.1}.Tail(context.Background(), read)
	fmt.Printf("%.2g of the cards exceed it: %s; %.2g by the number of record, target %s, %v\n", tail.Probability.Value, tail.Agreement, tail.Record.Value, verdict, err)
	// Output:
	// hottest spot of the edges: 79.4 °C of 85 °C, met, <nil>
	// 0.012 of the cards exceed it: established; 0.015 by the number of record, target not met, <nil>
}
