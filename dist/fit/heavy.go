package fit

import (
	"math"
	"sync"

	"clampodds/dist"
)

// HeavyFreedom are the degrees of freedom of the Student's t that stands for tails heavier than those of all families.
const HeavyFreedom = 5

// heavyUnit is read only; its table is built where it is first needed.
var heavyUnit = sync.OnceValue(func() dist.Distribution {
	t, err := dist.NewStudentT(HeavyFreedom, 0, 1)
	if err != nil {
		panic(err) // the degrees of freedom are taken
	}
	return t
})

// heavy is heavyUnit moved and stretched.
type heavy struct{ location, scale float64 }

func (h heavy) unit(x float64) float64     { return (x - h.location) / h.scale }
func (h heavy) CDF(x float64) float64      { return heavyUnit().CDF(h.unit(x)) }
func (h heavy) Survival(x float64) float64 { return heavyUnit().Survival(h.unit(x)) }
func (h heavy) LogDensity(x float64) float64 {
	return heavyUnit().LogDensity(h.unit(x)) - math.Log(h.scale)
}

// heavyModel works as the normal one does.
func heavyModel() model {
	m := normalModel()
	m.family, m.parameters = "student-t", []string{"location", "scale"}
	m.density = func(p []float64) density { return heavy{p[0], p[1]} }
	return m
}

// HeavyTail is Exceedance as if the tails were as heavy as those of Student's t with HeavyFreedom degrees of freedom, its location
// and scale fitted. Few readings seldom rule that out, and more than anything else it moves what lies far beyond them.
func (s *Sample) HeavyTail(limit float64, above bool, level float64) (Exceedance, error) {
	f, err := s.fitModel(heavyModel(), Options{Level: level})
	if err != nil {
		return Exceedance{}, err
	}
	return f.Exceedance(limit, above, level)
}
