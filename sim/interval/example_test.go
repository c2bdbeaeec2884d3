package interval_test

import (
	"fmt"

	"clampodds/sim/interval"
)

// Twelve torques with a mean of 0.70 N·m and a standard deviation of 0.03 N·m: 95 % of all
// screws lie above mean - k s, and both limits hold 95 % of them, each with 95 % confidence.
func ExampleNormalToleranceOneSided() {
	fmt.Printf("above %.3f N·m\n", 0.70-0.03*interval.NormalToleranceOneSided(12, 0.95, 0.95))
	fmt.Printf("within ± %.3f N·m\n", 0.03*interval.NormalToleranceTwoSided(12, 0.95, 0.95))
	// Output:
	// above 0.618 N·m
	// within ± 0.095 N·m
}

// The same readings: how many screws may lie below 0.60 N·m at most.
func ExampleNormalTailUpper() {
	fmt.Printf("%.2g\n", interval.NormalTailUpper(12, (0.70-0.60)/0.03, 0.95))
	// Output: 0.02
}

// How many cards without a failure show that fewer than one in a hundred fail, at 95 %?
func ExampleZeroEventSize() {
	fmt.Println(interval.ZeroEventSize(0.01, 0.95))
	// Output: 299
}
