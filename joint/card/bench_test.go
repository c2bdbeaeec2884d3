package card

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// drawnInputs are the inputs that scatter in a study, each at its finest level.
var drawnInputs = []string{
	"screw.torque", "screw.thread_friction", "screw.head_friction", "screw.preload_loss", "friction.ramp", "friction.wall",
	"slot.width", "flange.thickness", "clamp.height", "clamp.conductivity", "flange.conductivity", "rail.conductivity",
	"clamp.roughness", "flange.roughness", "rail.roughness", "clamp.hardness", "flange.hardness", "rail.hardness",
	"face.direct.crown", "face.direct.taper", "face.direct.bow", "face.piece.crown", "face.upper.crown", "face.upper.taper",
	"face.ramp.crown", "contact.factor", "contact.face_factor", "gas.altitude", "wall.temperature", "card.power", "component.fpga.power",
}

// drawnModel makes a model with a column per instance of the drawn inputs, and
// rows of draws within 5 % of practice.
func drawnModel(b *testing.B, family Family, pieces, rows int, changes map[string]float64) (m *Model, x, y [][]float64) {
	binding := testBinding(b, testLayout(family, pieces), changes)
	random := rand.New(rand.NewPCG(1, 2))
	for _, key := range drawnInputs {
		for _, at := range binding.Instances(key) {
			column := make([]float64, rows)
			center := binding.sources[binding.slot(key, at)].Value
			for r := range column {
				column[r] = center * (0.95 + 0.1*random.Float64())
				if key == "slot.width" || key == "flange.thickness" || key == "clamp.height" {
					column[r] = center + 1e-4*(random.Float64()-0.5)
				}
			}
			if err := binding.Set(key, at.Edge, at.Face, FromColumn(len(x))); err != nil {
				b.Fatal(err)
			}
			x = append(x, column)
		}
	}
	m, err := New(binding)
	if err != nil {
		b.Fatal(err)
	}
	for range m.Outputs() {
		y = append(y, make([]float64, rows))
	}
	return m, x, y
}

func BenchmarkEvaluate(b *testing.B) {
	for _, family := range []Family{TwoFace, FourFace} {
		for _, pieces := range []int{3, 5, 9} {
			b.Run(fmt.Sprintf("family=%v/pieces=%d", family, pieces), func(b *testing.B) {
				benchmarkRows(b, family, pieces, nil)
			})
		}
		b.Run(fmt.Sprintf("family=%v/pieces=5/anodised", family), func(b *testing.B) {
			benchmarkRows(b, family, 5, anodised())
		})
	}
}

// anodised gives every body an anodic film of 10 um.
func anodised() map[string]float64 {
	changes := map[string]float64{}
	for _, body := range []string{"clamp", "flange", "rail"} {
		changes[body+".coat.thickness"], changes[body+".coat.conductivity"], changes[body+".coat.hardness"] = 10e-6, 1.3, 3.5e9
	}
	return changes
}

func benchmarkRows(b *testing.B, family Family, pieces int, changes map[string]float64) {
	const rows = 1024
	m, x, y := drawnModel(b, family, pieces, rows, changes)
	b.ReportAllocs()
	for b.Loop() {
		m.Evaluate(x, y)
	}
	each := float64(b.Elapsed().Nanoseconds()) / float64(b.N) / rows
	b.ReportMetric(each, "ns/row")
	b.ReportMetric(1e9/each, "rows/s")
	b.ReportMetric(float64(m.Columns()), "columns")
}
