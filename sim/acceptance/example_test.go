package acceptance_test

import (
	"fmt"

	"clampodds/sim/acceptance"
)

// The smallest plan that accepts lots with 1 % of loose screws at 95 %, and lots with 8 % at
// no more than 10 %.
func ExampleSmallestPlan() {
	plan, err := acceptance.SmallestPlan(acceptance.Risks{Good: 0.01, Producer: 0.05, Poor: 0.08, Consumer: 0.10})
	fmt.Println(plan, err)
	// Output: n = 65, Ac 2 <nil>
}
