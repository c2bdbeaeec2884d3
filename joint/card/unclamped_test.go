package card

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/joint/contact"
	"clampodds/joint/force"
)

// A card without force on a flange is not clamped, whatever its gaps hold: an outcome
// of its own, beside the misfits.
func TestNotClamped(t *testing.T) {
	all := map[string]float64{"screw.preload_loss": 1}
	sticks := map[string]float64{"friction.ramp": 1.2} // 45 degrees and atan 1.2 pass 90
	for name, c := range map[string]struct {
		changes map[string]float64
		spare   float64 // what is missing of the force, N
		force   bool    // left in the screws
	}{
		"torque runs the thread only": {changes: map[string]float64{"screw.prevailing_torque": 0.7}},
		"torque is short":             {changes: map[string]float64{"screw.prevailing_torque": 0.8}, spare: -0.1 / force.TorqueFor(1, 0, 0.15, 0.15, 4.235e-3, &threadM3)},
		"all is lost":                 {changes: all},
		"the ramps stick":             {changes: sticks, spare: math.NaN(), force: true},
	} {
		for _, gas := range []contact.Gas{contact.Air, contact.Vacuum} {
			l := testLayout(FourFace, 5)
			l.Gas = gas
			b := testBinding(t, l)
			for key, v := range c.changes {
				require.NoError(t, b.Set(key, 1, -1, Constant(v))) // one edge is enough
			}
			m, err := New(b)
			require.NoError(t, err)
			out := result(m)
			for _, o := range m.Outputs() {
				v := out[o.Name]
				switch {
				case o.Name == "event.unclamped":
					assert.Equal(t, 1.0, v, name)
				case strings.HasPrefix(o.Name, "edge."), strings.HasPrefix(o.Name, "resistance."), strings.HasPrefix(o.Name, "component."), o.Name == "utilisation.holding":
					assert.Equal(t, math.Inf(1), v, "%s: %s", name, o.Name)
				case strings.HasPrefix(o.Name, "share."), o.Name == "utilisation.bearing", o.Name == "event.no_entry", o.Name == "event.no_travel":
					assert.Zero(t, v, "%s: %s", name, o.Name)
				}
			}
			assert.Positive(t, out["utilisation.screw"], "the screws were turned")
			assert.Equal(t, c.force, out["force.axial.right"] > 0, name)
			assert.Positive(t, out["force.axial.left"], "the other screw holds")
			if !math.IsNaN(c.spare) {
				assert.InDelta(t, c.spare, out["fit.preload"], 1e-9, name)
			}
			trace := m.Trace(nil)
			assert.Empty(t, trace.Nodes, name)
			assert.Equal(t, out["force.axial.left"], trace.Edges[0].AxialForce, "the forces are shown")
		}
	}
	assert.Zero(t, result(testModel(t, testLayout(TwoFace, 5)))["event.unclamped"])
}
