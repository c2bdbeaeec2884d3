package main

import (
	"fmt"
	"path/filepath"
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
	found := auditJSON(t, exitDone, looseStudy(t, 0.06), "--low", "0.25 N*m", "--loose", "0 N*m", "--variables", "--gauge-study", gaugeData)
	require.Len(t, found.Variables, 2)
	v := found.Variables[0]
	assert.Contains(t, found.Variables[1].Answer, "no plan is needed", "a torque that is too high does no harm to the fit")
	g := found.Gauge
	at := func(mean, sd float64) acceptance.LotQuality {
		return acceptance.LotQuality{Distance: (mean - 0.25) / sd, Error: acceptance.ReadingError{Single: g.Single / sd, Shared: g.Shared / sd}}
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

	table := invoke("audit", looseStudy(t, 0.06), "--low", "0.25 N*m", "--loose", "0 N*m", "--variables", "--limit", "spot", "--quiet").stdout
	for _, text := range []string{"BY VARIABLES", "Terms of ISO 3951", "the mean sinks", "A reading tells without error"} {
		assert.Contains(t, table, text)
	}
}

// What the limits bear with more than half of a lot outside is no audit's matter: a plan would pass such a lot. It is
// said how far they bear it, and which screws they do not.
func TestNoPlanWhereTheBandHardlyMatters(t *testing.T) {
	long(t)
	found := auditJSON(t, exitDone, looseStudy(t, 0.06), "--loose", "0 N*m", "--variables")
	v := found.Variables[0]
	assert.Empty(t, v.Plans)
	assert.Contains(t, v.Answer, "No plan by variables is needed for the limits")
	assert.Equal(t, []any{"spot", "as written"}, []any{v.Ways[0].First, v.Ways[0].Condition})
	assert.Greater(t, v.Ways[0].Share, 0.5)

	// Clamped edges stay below 105 °C, an edge without force is above 130: nearly all screws may be loose at a target of 0.99.
	found = auditJSON(t, exitDone, looseStudy(t, 0.99), "--loose", "0 N*m")
	c := found.Sides[0].Cases[0]
	assert.Greater(t, c.Breaking, found.Lot/2)
	assert.Zero(t, found.Sample)
	assert.Regexp(t, `^YES: no audit is needed for the limits\. Up to 4\d\d of 500 loose screws, taken as 0 N·m, break none`, found.Answer)
}

// By the clamp maker's word a screw above the most that is allowed is damage, whatever the limits say.
func TestAuditKnowsTheMakersMostTorque(t *testing.T) {
	long(t)
	path := write(t, "most.toml", fmt.Sprintf("extends = %q\ntorque.most = \"1.1 N*m\"\n", filepath.ToSlash(looseStudy(t, 0.06))))
	found := auditJSON(t, exitDone, path, "--variables")
	tight := found.Sides[1]
	assert.False(t, tight.Cases[0].AboveMost, "1 N·m")
	assert.Equal(t, "open", tight.Cases[0].MetTo.State)
	assert.True(t, tight.Cases[1].AboveMost, "1.2 N·m")
	assert.Equal(t, int64(1), tight.Cases[1].Breaking)
	assert.LessOrEqual(t, missingAll(found.Lot, 1, found.Sample), 0.1)
	assert.Contains(t, found.Answer, "any over-tight screw, taken as 1.2 N·m, above the 1.1 N·m that the clamp maker allows, is not to pass")
	none := auditJSON(t, exitNotMet, path, "--acceptable", "2")
	assert.Contains(t, none.Answer, "NO: a lot with 2 over-tight screws is to pass, and one at 1.2 N·m is above the 1.1 N·m that the clamp maker allows.")
	// As a whole the torque may rise until one screw of the lot is expected above.
	rises := found.Variables[1].Ways[0]
	assert.True(t, rises.AboveMost)
	assert.InEpsilon(t, 1/float64(found.Lot), dist.NormalSurvival((1.1-rises.Mean)/rises.SD), 1e-9)

	assert.Zero(t, found.StudyAboveMost)
	assert.NotContains(t, found.Answer, ",,")

	// No screw above it passes, wherever the study cuts the torque or whoever asks.
	path = write(t, "less.toml", fmt.Sprintf("extends = %q\ntorque.most = \"0.775 N*m\"\n", filepath.ToSlash(looseStudy(t, 0.06))))
	band := auditJSON(t, exitDone, path, "--tight", "0.9 N*m")
	assert.Equal(t, []float64{0.6, 0.775, 0.775}, []float64{band.BandLow, band.BandHigh, band.Sides[1].Reads})
	assert.InDelta(t, dist.NormalSurvival(0.075/0.021429), band.StudyAboveMost, 1e-5, "6 % of 0.7 N·m at 95 %")
	assert.Contains(t, band.Answer, "none above 0.775 N·m")
	assert.Contains(t, band.Answer, "of the screws get more than the 0.775 N·m that the clamp maker allows; the band ends there.")
	got := invoke("audit", path, "--high", "0.78 N*m", "--quiet")
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.stderr, "--high 0.78 N*m: above 0.775 N·m, the most that the clamp maker allows")
	got = invoke("audit", path, "--low", "0.65 N*m", "--high", "0.6 N*m", "--quiet")
	assert.Contains(t, got.stderr, "--low 0.65 N·m: must be below the upper end of the band, 0.6 N·m")
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
