//go:build coverage

package rig

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim/batch"
	"clampodds/sim/calibrate"
)

// simulator reads a table anew, on other cards.
type simulator struct {
	study *study.Study
	table *Table
	// noise is the true one, step that of the readings; wear is the change of the score of the contact factor from the first row to the last.
	noise, step, wear float64
	random            *rand.Rand
}

// read draws all that scatters, each where it is shared, and reads every row.
func (s *simulator) read(t testing.TB) *Table {
	c, err := s.table.Calibrate(s.study, []string{"contact.factor"})
	require.NoError(t, err)
	p := &c.Problem
	setups := p.Observations[len(p.Observations)-1].Setup + 1
	of := make([]*calibrate.Observation, setups)
	for o := range p.Observations {
		of[p.Observations[o].Setup] = &p.Observations[o]
	}
	for {
		scores := batch.Columns(len(p.Variables), setups)
		for v, variable := range p.Variables {
			drawn := map[int]float64{}
			for k, q := range of {
				key := map[calibrate.Sharing]int{calibrate.PerLot: q.Lot, calibrate.PerUnit: q.Unit, calibrate.PerSetup: q.Setup}[variable.Sharing]
				if _, known := drawn[key]; !known {
					drawn[key] = s.random.NormFloat64()
				}
				scores[v][k] = drawn[key]
			}
		}
		response := p.Model(scores)
		score, rows := s.random.NormFloat64(), len(s.table.Lines)
		read := *s.table
		read.Read = slices.Clone(s.table.Read)
		for i := range read.Read {
			read.Read[i].Values = make([]float64, rows)
		}
		y := batch.Columns(len(p.Observations), setups)
		usable := true
		for row := range rows {
			z := score + s.wear*(float64(row)/float64(max(1, rows-1))-0.5)
			if row == 0 || s.wear != 0 {
				response([]float64{p.Parameters[0].Prior.Quantile(0.5 * math.Erfc(-z/math.Sqrt2))}, y)
			}
			for i := range read.Read {
				o := row*len(read.Read) + i
				x := c.Scale.From(row, y[o][p.Observations[o].Setup]) + s.noise*s.random.NormFloat64()
				if s.step > 0 {
					x = s.step * math.Round(x/s.step)
				}
				read.Read[i].Values[row] = x
				usable = usable && !math.IsNaN(x) && !math.IsInf(x, 0) && !math.IsInf(c.Scale.to(row, x), 0) && !math.IsNaN(c.Scale.to(row, x))
			}
		}
		if usable {
			return &read
		}
	}
}
