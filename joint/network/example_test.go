package network_test

import (
	"fmt"

	"clampodds/joint/network"
)

// 20 W on a card between two cold walls, the joint on the left three times as good.
func Example() {
	var b network.Builder
	card, left, right := b.Node("card"), b.Node("left edge"), b.Node("right edge")
	b.Link(card, left)
	b.Link(card, right)
	b.Ground(left)
	b.Ground(right)
	n, err := b.Compile()
	if err != nil {
		panic(err)
	}
	rise := n.Solve([]float64{5, 5, 3, 1}, []float64{20, 0, 0})
	fmt.Printf("card %.2f K above the walls, edges %.2f K and %.2f K\n", rise[card], rise[left], rise[right])
	// Output:
	// card 7.38 K above the walls, edges 4.62 K and 6.15 K
}
