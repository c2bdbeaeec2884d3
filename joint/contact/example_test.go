package contact_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/joint/contact"
)

// A bare aluminium flange on a bare rail, 130 mm by 6 mm, at 10 000 m and 60 °C.
func Example() {
	body := contact.Body{Conductivity: 167, Modulus: 68.9e9, Poisson: 0.33, Hardness: 1.2e9, Roughness: 1.6e-6}
	pair, err := contact.NewPair(body, body, 0)
	fmt.Println("pair:", err)
	pressure, _ := contact.StandardPressure(contact.Geopotential(10_000))
	gas, err := contact.NewGasState(contact.Air, 333, pressure, contact.Air.Accommodation())
	fmt.Println("gas:", err)
	face, err := contact.NewFace(0.130, 0.006, 5e-6, 0)
	fmt.Println("face:", err)
	c, err := contact.Press(&pair, gas, face, 1000, 1)
	fmt.Printf("%.3g W/K at a mean pressure of %.3g MPa, %v\n", c.Conductance, c.Pressure/1e6, err)
	// Output:
	// pair: <nil>
	// gas: <nil>
	// face: <nil>
	// 10 W/K at a mean pressure of 1.28 MPa, <nil>
}

// A flange of 3 mm on a thick rail, both aluminium: the pressure that closes a bow of 0.05 mm
// over 130 mm is half the stiffness times the height.
func ExampleBowStiffness() {
	flange := contact.Layer{Modulus: 68.9e9, Poisson: 0.33, Thickness: 3e-3}
	rail := contact.Layer{Modulus: 68.9e9, Poisson: 0.33, Thickness: math.Inf(1)}
	fmt.Printf("%.2f MPa\n", contact.BowStiffness(0.130, flange, rail)*0.05e-3/2/1e6)
	// Output: 0.02 MPa
}

// The altitude of a tape measure is not what an altimeter shows.
func ExampleGeopotential() {
	fmt.Printf("%.1f m\n", contact.Geopotential(20_000))
	// Output: 19937.3 m
}

func TestSlipsAreRefused(t *testing.T) {
	_, err := contact.NewFace(130, 6, 5, 0) // millimetres
	assert.ErrorContains(t, err, "length 130 m")
	_, err = contact.NewFace(0.13, 0.006, math.NaN(), 0)
	assert.ErrorContains(t, err, "crown")
	body := contact.Body{Conductivity: 167, Modulus: 68.9e9, Poisson: 0.33, Hardness: 1.2e9, Roughness: 1.6e-6}
	pair, err := contact.NewPair(body, body, 0)
	assert.NoError(t, err)
	gas, err := contact.NewGasState(contact.Vacuum, 333, 0, 0)
	assert.NoError(t, err)
	face, err := contact.NewFace(0.13, 0.006, 5e-6, 0)
	assert.NoError(t, err)
	for want, press := range map[string]func() error{
		"not from NewPair":     func() error { _, err := contact.Press(&contact.Pair{}, gas, face, 1000, 1); return err },
		"not from NewGasState": func() error { _, err := contact.Press(&pair, contact.GasState{}, face, 1000, 1); return err },
		"length 0":             func() error { _, err := contact.Press(&pair, gas, contact.Face{}, 1000, 1); return err },
		"force -1":             func() error { _, err := contact.Press(&pair, gas, face, -1, 1); return err },
		"contact factor 0":     func() error { _, err := contact.Press(&pair, gas, face, 1000, 0); return err },
	} {
		assert.ErrorContains(t, press(), want)
	}
	c, err := contact.Press(&pair, gas, face, 1000, 1)
	assert.NoError(t, err)
	assert.Greater(t, c.Conductance, 0.0)
}
