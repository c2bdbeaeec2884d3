package main

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim/acceptance"
)

// A reading with an error of 0.02 N*m: the limit for readings is 1.65 of it above the band's end,
// and the plan and what it passes are those with screws that are read wrongly.
func TestAuditAllowsForTheErrorOfAReading(t *testing.T) {
	long(t)
	const u, lot = 0.02, 200
	found := auditJSON(t, exitDone, looseStudy(t, 0.3), "--loose", "0 N*m", "--lot", "200", "--gauge", "0.02N*m", "--low", "0.62N*m")
	require.NotNil(t, found.Gauge)
	s := found.Sides[0]
	assert.InDelta(t, 0.62+1.65*u, s.Reads, 1e-12)
	assert.Equal(t, dist.NormalSurvival(s.Reads/u), s.Passed)
	assert.Positive(t, s.Failed)
	m := acceptance.Misreadings{Passed: s.Passed, Failed: s.Failed}
	chosen := s.Plan
	plan, err := acceptance.NewPlan(chosen.Sample, chosen.Accept)
	require.NoError(t, err)
	assert.LessOrEqual(t, chosen.Missed, 0.1)
	assert.LessOrEqual(t, chosen.Refused, 0.05)
	for _, l := range s.Lots {
		assert.InEpsilon(t, plan.ProbabilityMisread(lot, l.Outside, m)+1, l.Accepted+1, 1e-12)
	}
	assert.Less(t, s.Lots[0].Accepted, 1.0, "screws in the band are read as loose now and then")
	assert.Contains(t, found.Answer, "as read")
}

// An error as large as the band leaves no plan; that is an answer, not a wrong command.
func TestAuditByAGaugeThatTellsNothing(t *testing.T) {
	long(t)
	found := auditJSON(t, exitNotMet, looseStudy(t, 0.3), "--loose", "0 N*m", "--lot", "50", "--gauge", "0.5N*m")
	assert.Equal(t, "no", found.Verdict)
	assert.Contains(t, found.Answer, "no number of them tells a lot")
}

// The study's torque sinks until the screws are as good as loose. What is printed is recomputed
// from the torque and its spread.
func TestAuditByVariables(t *testing.T) {
	long(t)
	found := auditJSON(t, exitDone, looseStudy(t, 0.06), "--loose", "0 N*m", "--variables", "--gauge-study", gaugeData)
	require.Len(t, found.Variables, 2)
	v := found.Variables[0]
	assert.Contains(t, found.Variables[1].Answer, "no plan is needed", "a torque that is too high does no harm to the fit")
	g := found.Gauge
	at := func(mean, sd float64) acceptance.LotQuality {
		return acceptance.LotQuality{Distance: (mean - found.BandLow) / sd, Error: acceptance.ReadingError{Single: g.Single / sd, Shared: g.Shared / sd}}
	}
	require.Len(t, v.Plans, 2)
	require.Equal(t, "found", v.Ways[0].Harmless.State)
	assert.InDelta(t, v.Mean-*v.Ways[0].Harmless.At, v.Ways[0].Mean, 1e-12)
	for i, p := range v.Plans {
		plan, err := acceptance.NewVariablesPlan(acceptance.Method(p.Method), p.Sample, p.Constant)
		require.NoError(t, err)
		assert.InDelta(t, p.Refused, 1-plan.Probability(at(v.Mean, v.SD)), 1e-9)
		assert.LessOrEqual(t, p.Missed, 0.1)
		assert.LessOrEqual(t, p.Refused, 0.05/2, "half of it for each side")
		for _, l := range v.Lots {
			if l.SD == v.SD {
				assert.InDelta(t, plan.Probability(at(l.Mean, l.SD)), l.Accepted[i], 1e-12)
			}
		}
	}
	assert.LessOrEqual(t, v.Lots[2].PerCard.High, 0.06, "the end is shown to meet the target")
	assert.Greater(t, v.Lots[3].PerCard.Value, v.Lots[0].PerCard.Value, "beyond it is worse")

	table := invoke("audit", looseStudy(t, 0.06), "--loose", "0 N*m", "--variables", "--limit", "spot", "--quiet").stdout
	for _, text := range []string{"BY VARIABLES", "Terms of ISO 3951", "the mean sinks", "A reading tells without error"} {
		assert.Contains(t, table, text)
	}
}

func TestAuditRefusesAWrongError(t *testing.T) {
	long(t)
	path := looseStudy(t, 0.06)
	for want, args := range map[string][]string{
		`--gauge "0.01 mm"`:        {"--gauge", "0.01 mm"},
		"must be above 0":          {"--gauge", "0 N*m"},
		"--guard-factor 11":        {"--guard-factor", "11"},
		"give one of them":         {"--gauge", "0.01N*m", "--gauge-study", gaugeData},
		"no such file":             {"--gauge-study", "nowhere.csv"},
		"the gauge study is in mm": {"--gauge-study", write(t, "mm.csv", "part,width [mm]\na,1\na,2\nb,1\nb,2.5\n")},
	} {
		got := invoke(append([]string{"audit", path, "--quiet"}, args...)...)
		assert.Equal(t, exitUsage, got.code, fmt.Sprint(args, got.stderr))
		assert.Contains(t, got.stderr, want)
	}
}
