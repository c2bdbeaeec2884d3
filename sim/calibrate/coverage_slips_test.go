//go:build coverage

package calibrate

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pairs is a rig of three units, tightened four times each and read twice each time.
func pairs() rig {
	r := rig{unit: 0.1}
	for u := range 3 {
		for k := range 4 {
			for range 2 {
				r.loads, r.powers = append(r.loads, []float64{0.5, 0.6, 0.7, 0.8}[k]), append(r.powers, []float64{60, 80, 100}[(k+u)%3])
				r.units, r.setups = append(r.units, u), append(r.setups, 4*u+k)
			}
		}
	}
	return r
}

// mistyped reads a table of a rig and looks for slips: whether it is told to have one, and whether that is the reading that was put
// off by so much.
type mistyped struct {
	rig, truth rig
	problem    *Problem
	noise      float64 // of what is stated
	step       float64 // of the noise
	random     *rand.Rand
}

func (m *mistyped) table(t *testing.T, slip float64) (told, named bool) {
	p, random := m.problem, m.random
	m.truth.read(p, math.Exp(0.35*random.NormFloat64()), random)
	at := random.IntN(len(p.Observations))
	more := rigNoise * math.Sqrt(math.Max(0, m.noise*m.noise-1))
	for o := range p.Observations {
		rise := math.Exp(p.Observations[o].Value) + more*random.NormFloat64()
		if o == at {
			rise += slip
		}
		if step := m.step * rigNoise; step > 0 {
			rise = step * math.Round(rise/step)
		}
		m.rig.observe(&p.Observations[o], rise, rigNoise/math.Min(1, m.noise))
	}
	slips, _, err := p.Slips(t.Context())
	require.NoError(t, err)
	return len(slips) > 0, len(slips) > 0 && len(slips[0].Observations) == 1 && slips[0].Observations[0] == at
}

// Of tables without a slip 1 in 100 at most are told to have one, with 3 standard errors of 2000 (0.7 %), or of CALIBRATE_TABLES: few readings, many, of
// units that differ little or much, rounded to the noise and to three times the noise, with noise half as large as stated, and with another law
// of the load than the model's. Noise larger than stated is not what is asked for: then 2 in 100 of 24 readings in pairs at most, and 8 of 8, which
// hardly show it (1 to 1.5 and 3 to 7.5 seen). A reading 20 times the noise off is named in 9 of 10 of the pairs. The table is the one in
// DEVELOPERS.md.
func TestSlipsKeepTheirRate(t *testing.T) {
	tables := 2000
	if n, err := strconv.Atoi(os.Getenv("CALIBRATE_TABLES")); err == nil {
		tables = n
	}
	squared := demoRig
	squared.loads = nil
	for _, l := range demoRig.loads {
		squared.loads = append(squared.loads, l*l)
	}
	for _, c := range []struct {
		name        string
		rig, truth  rig
		noise, step float64
		most        float64
	}{
		{"8 readings of 2 units", demoRig, demoRig, 1, 0, SlipLevel},
		{"rounded to the noise", demoRig, demoRig, 1, 1, SlipLevel},
		{"rounded to three times the noise", demoRig, demoRig, 1, 3, SlipLevel},
		{"noise half as large", demoRig, demoRig, 0.5, 0, SlipLevel},
		{"noise twice as large", demoRig, demoRig, 2, 0, 0.08},
		{"noise five times as large", demoRig, demoRig, 5, 0, 0.08},
		{"another law of the load", demoRig, squared, 1, 0, SlipLevel},
		{"24 readings in pairs", pairs(), pairs(), 1, 0, SlipLevel},
		{"pairs, rounded to three times the noise", pairs(), pairs(), 1, 3, 0.02},
		{"pairs, noise twice as large", pairs(), pairs(), 2, 0, 0.02},
		{"pairs, noise five times as large", pairs(), pairs(), 5, 0, 0.02},
		{"4 readings of 1 unit", largeRig(0.12, 1, 4), largeRig(0.12, 1, 4), 1, 0, SlipLevel},
		{"24 readings of 6 units", largeRig(0.12, 6, 4), largeRig(0.12, 6, 4), 1, 0, SlipLevel},
		{"units that differ much", largeRig(0.5, 6, 4), largeRig(0.5, 6, 4), 1, 0, SlipLevel},
		{"20 such units", largeRig(0.5, 20, 1), largeRig(0.5, 20, 1), 1, 0, SlipLevel},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			m := &mistyped{rig: c.rig, truth: c.truth, problem: c.rig.problem(t), noise: c.noise, step: c.step, random: rand.New(rand.NewPCG(21, 22))}
			for o := range m.problem.Observations {
				m.problem.Observations[o].State = o / 2
			}
			wrong := 0
			for range tables {
				if told, _ := m.table(t, 0); told {
					wrong++
				}
			}
			n := float64(tables)
			assert.LessOrEqual(t, float64(wrong), c.most*n+3*math.Sqrt(c.most*(1-c.most)*n))
			var seen, named [3]int
			power := tables / 20
			for i, times := range []float64{5, 10, 20} {
				for range power {
					told, right := m.table(t, times*rigNoise)
					if told {
						seen[i]++
					}
					if right {
						named[i]++
					}
				}
			}
			t.Logf("| %s | %.2f | 5, 10, 20 times the noise: told %v, named %v of %d", c.name, 100*float64(wrong)/n, seen, named, power)
			if c.name == "24 readings in pairs" {
				assert.GreaterOrEqual(t, named[2], power*9/10)
			}
		})
	}
}
