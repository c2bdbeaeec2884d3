package force_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/joint/force"
)

// From the torque on a screw M3 to the force of a clamp of five pieces on the flange.
func Example() {
	thread, err := force.ThreadNamed("M3")
	fmt.Println("thread:", err)
	axial := force.AxialForce(0.8, 0, 0.15, 0.15, 4.4e-3, thread)
	train, err := force.NewTrain(5, force.End)
	fmt.Println("train:", err)
	in, err := force.NewTrainInputs(axial, 45*math.Pi/180, 0, 0.15, 0.15, 1)
	fmt.Println("inputs:", err)
	var out force.TrainForces
	train.Solve(in, &out)
	outward, _ := out.FaceForce()
	fmt.Printf("%.0f N along the screw, %.0f N on the flange\n", axial, outward)
	// Output:
	// thread: <nil>
	// train: <nil>
	// inputs: <nil>
	// 1241 N along the screw, 2440 N on the flange
}

// A torque wrench with a tightening factor of 1.6 scatters by ±23 %.
func ExampleTighteningScatter() {
	fmt.Printf("±%.0f %%\n", 100*force.TighteningScatter(1.6))
	// Output: ±23 %
}

// A screw's 1270 N under a head of 5.07 mm over a hole of 3.4 mm.
func ExampleMeanPressure() {
	fmt.Printf("%.0f MPa\n", force.MeanPressure(1270, math.Pi/4*(5.07*5.07-3.4*3.4)*1e-6)/1e6)
	// Output: 114 MPa
}

func TestSlipsAreRefused(t *testing.T) {
	_, err := force.NewTrainInputs(1000, 45, 0, 0.15, 0.15, 1) // degrees
	assert.ErrorContains(t, err, "ramp angle 45 rad")
	_, err = force.NewTrainInputs(1000, math.Pi/4, 0, math.NaN(), 0.15, 1)
	assert.ErrorContains(t, err, "ramp friction")
	in, err := force.NewTrainInputs(1000, math.Pi/4, 0, 0.15, 0.1, 0.5)
	assert.NoError(t, err)
	assert.Equal(t, force.TrainInputs{Axial: 1000, RampAngle: math.Pi / 4, RampFriction: 0.15, WallFriction: 0.1, WallShare: 0.5}, in)
	assert.Panics(t, func() { force.Train{}.Solve(in, new(force.TrainForces)) }, "a zero train")
}
