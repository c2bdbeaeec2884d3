package calibrate

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
)

func BenchmarkSolve(b *testing.B) {
	for n := 1; n <= 3; n++ {
		b.Run(fmt.Sprintf("parameters=%d", n), func(b *testing.B) {
			p := demoRig.problem(b)
			demoRig.read(p, 0.9, rand.New(rand.NewPCG(5, 6)))
			for len(p.Parameters) < n {
				p.Parameters = append(p.Parameters, Parameter{Name: fmt.Sprint(len(p.Parameters)), Prior: lognormal(b, 1, 0.2)})
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := p.Solve(context.Background()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
