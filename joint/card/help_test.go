package card

import (
	"math"
	"slices"
	"strings"

	"github.com/stretchr/testify/require"

	"clampodds/joint/contact"
	"clampodds/joint/force"
)

func testLayout(family Family, pieces int) Layout {
	thread, err := force.ThreadNamed("M3")
	if err != nil {
		panic(err)
	}
	return Layout{Family: family, Anchor: force.End, Pieces: pieces, Thread: *thread, Gas: contact.Air, Components: []string{"fpga"}}
}

var threadM3 = testLayout(TwoFace, 5).Thread

// practice is a defensible clamp: M3 at 0.7 N*m, friction 0.15, 6061 aluminium,
// ground faces, 130 mm by 6 mm by 6 mm. Bodies and faces that have the same share an
// entry under the last part of the key.
func practice() map[string]float64 {
	return map[string]float64{
		"screw.torque": 0.7, "screw.thread_friction": 0.15, "screw.head_friction": 0.15,
		"screw.bearing_diameter": 4.235e-3, "screw.preload_loss": 0.1, "screw.yield": 450e6,
		"screw.engagement": 5e-3, "screw.nut_shear": 200e6,
		"friction.ramp": 0.15, "friction.wall": 0.15,
		"clamp.length": 0.13, "clamp.width": 6e-3, "clamp.height": 6e-3, "clamp.ramp_angle": math.Pi / 4,
		"clamp.skew": math.Pi / 4, "clamp.travel": 0.8e-3,
		"flange.thickness": 2e-3, "flange.frame_width": 8e-3, "rail.thickness": 10e-3, "slot.width": 8.3e-3,
		"conductivity": 167, "modulus": 68.9e9, "poisson": 0.33, "hardness": 1.4e9, "yield": 276e6,
		"allowable": 260e6, "roughness": 1.13e-6,
		"crown": 5e-6, "taper": 5e-6, "face.direct.bow": 50e-6,
		"wall.lower_resistance": 0.02, "wall.upper_resistance": 0.02, "wall.side_resistance": 0.02,
		"wall.temperature": 323.15, "joint.temperature": 333.15,
		"card.power": 80, "card.frame_resistance": 0.2, "card.mass": 0.6, "card.acceleration": 400,
		"component.fpga.power": 20, "component.fpga.resistance": 0.5,
	}
}

// testBinding sets every input of the layout to practice, with changes by full
// key on top.
func testBinding(t require.TestingT, l Layout, changes ...map[string]float64) *Binding {
	b, err := NewBinding(&l)
	require.NoError(t, err)
	values := practice()
	for _, p := range Parameters(&l) {
		v, ok := values[p.Key]
		if !ok && !strings.HasPrefix(p.Key, "screw.") && !strings.Contains(p.Key, ".coat.") {
			v, ok = values[p.Key[strings.LastIndex(p.Key, ".")+1:]]
		}
		for _, c := range changes {
			if changed, has := c[p.Key]; has {
				v, ok = changed, true
			}
		}
		if ok {
			require.NoError(t, b.Set(p.Key, -1, -1, Constant(v)))
		}
	}
	return b
}

func testModel(t require.TestingT, l Layout, changes ...map[string]float64) *Model {
	m, err := New(testBinding(t, l, changes...))
	require.NoError(t, err)
	return m
}

// result evaluates one row by Evaluate and returns the outputs by name.
func result(m *Model, x ...float64) map[string]float64 {
	columns := make([][]float64, len(x))
	for i := range x {
		columns[i] = x[i : i+1]
	}
	y := make([][]float64, len(m.Outputs()))
	for j := range y {
		y[j] = make([]float64, 1)
	}
	m.Evaluate(columns, y)
	out := map[string]float64{}
	for j, o := range m.Outputs() {
		out[o.Name] = y[j][0]
	}
	return out
}

// slot finds the slot of one instance of an input.
func (b *Binding) slot(key string, at Instance) int {
	r := &b.rows[b.byKey[key]]
	return r.slots[slices.Index(r.instances, at)]
}
