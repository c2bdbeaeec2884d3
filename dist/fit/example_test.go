package fit_test

import (
	"fmt"

	"clampodds/dist"
	"clampodds/dist/fit"
)

// Twelve torques in N·m: the next one lies below 0.65 with this probability, what the readings
// leave open included.
func ExampleFit_Predictive() {
	readings := []float64{0.69, 0.71, 0.73, 0.68, 0.70, 0.72, 0.69, 0.74, 0.70, 0.67, 0.71, 0.70}
	sample := dist.Must(fit.NewSample(fit.Data{Values: readings}))
	torque := dist.Must(dist.Must(sample.Fit(fit.Normal, fit.Options{Level: 0.95})).Predictive())
	fmt.Printf("%.2g\n", torque.CDF(0.65))
	// Output: 0.014
}

// The same of three lots: a part of a lot not seen yet.
func ExampleLots_Predictive() {
	lots := dist.Must(fit.NewLots([][]float64{{0.69, 0.71, 0.73, 0.68}, {0.73, 0.75, 0.74, 0.74}, {0.66, 0.67, 0.68, 0.66}}, 0.95))
	fmt.Printf("%.2g\n", dist.Must(lots.Predictive()).CDF(0.60))
	// Output: 0.061
}
