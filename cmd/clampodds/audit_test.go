package main

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/reports"
)

func auditJSON(t *testing.T, code int, args ...string) (found reports.Audit) {
	t.Helper()
	got := invoke(append([]string{"audit", "--format", "json", "--quiet", "--limit", "spot"}, args...)...)
	require.Equal(t, code, got.code, got.stderr)
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &found))
	return found
}

// missingAll is the chance to find none of the bad of a lot: C(lot-bad, n)/C(lot, n).
func missingAll(lot, bad, n int64) float64 {
	p := 1.0
	for i := range n {
		p *= float64(lot-bad-i) / float64(lot-i)
	}
	return max(p, 0)
}

// looseStudy is the fit study in vacuum with a limit of 120 °C: clamped edges
// stay below 105 °C there, and with a screw that is not tightened an edge is
// above 130 °C, because nothing else carries heat. A card of two screws then
// exceeds with 1 - (1-P)(1-f)² when a share f of them is loose; P as written.
func looseStudy(t *testing.T, target float64) string {
	t.Helper()
	base := oneCondition(t, target)
	return write(t, "loose.toml", fmt.Sprintf(`extends = %q
gas.kind = "vacuum"
contact.factor = 1
contact.face_factor = 1
limits.spot = { max = "120 degC", target = %v }
`, filepath.ToSlash(base), target))
}

func TestAuditInClosedForm(t *testing.T) {
	long(t)
	const target, lot = 0.06, 200
	found := auditJSON(t, exitDone, looseStudy(t, target), "--loose", "0 N*m", "--lot", "200", "--consumers-risk", "0.1")
	require.Len(t, found.Sides, 2)
	loose, tight := found.Sides[0], found.Sides[1]
	c := loose.Cases[0]
	p := fitCard(0)
	share := func(target float64) float64 { return 1 - math.Sqrt((1-target)/(1-p)) }
	// The interval of the number of record, and the accuracy of the search: a twentieth of the share.
	assert.LessOrEqual(t, *c.MetTo.At, share(target))
	assert.GreaterOrEqual(t, *c.MetTo.At, 0.95*share(target/1.3))
	assert.Equal(t, 1.0, c.All.Value)
	assert.Equal(t, int64(math.Floor(*c.MetTo.At*lot))+1, c.Breaking)
	assert.Zero(t, tight.Cases[tight.Used].Breaking, "screws that are too tight do no harm to the fit")

	plan := loose.Plan
	assert.Equal(t, found.Sample, plan.Sample)
	assert.Zero(t, plan.Accept)
	assert.InEpsilon(t, missingAll(lot, c.Breaking, plan.Sample), plan.Missed, 1e-12)
	assert.LessOrEqual(t, plan.Missed, 0.1)
	assert.Greater(t, missingAll(lot, c.Breaking, plan.Sample-1), 0.1, "no smaller sample does")
	for _, l := range loose.Lots {
		f := float64(l.Outside) / lot
		want := 1 - (1-p)*(1-f)*(1-f)
		assert.True(t, l.PerCard.Low <= want && want <= l.PerCard.High, "%v in %v: 95 %% each, fixed seed", want, l.PerCard.Interval)
		assert.InDelta(t, missingAll(lot, l.Outside, plan.Sample), l.Accepted, 1e-12)
	}
	assert.Equal(t, int64(0), loose.Lots[0].Outside)
	assert.Equal(t, "yes", found.Verdict)
}

// Over-tight screws break the screw and no limit of temperature: of a card with two of them at three
// times the yield's torque one is over its strength. A share f does so with 1 - (1-f)².
func TestAuditGuardsTheUpperSide(t *testing.T) {
	long(t)
	const target, lot = 0.05, 300
	base := looseStudy(t, 0.3)
	path := write(t, "tight.toml", fmt.Sprintf("extends = %q\nlimits.screw_stress = { max = 1, target = %v }\n", filepath.ToSlash(base), target))
	args := []string{"--lot", "300", "--limit", "screw_stress,spot", "--loose", "0 N*m", "--tight", "3 N*m"}
	found := auditJSON(t, exitDone, append(args, path)...)
	require.Len(t, found.Sides, 2)
	loose, tight := found.Sides[0], found.Sides[1]
	share := func(target float64) float64 { return 1 - math.Sqrt(1-target) }
	c := tight.Cases[0]
	assert.Equal(t, "screw_stress", c.First)
	assert.LessOrEqual(t, *c.MetTo.At, share(target))
	assert.GreaterOrEqual(t, *c.MetTo.At, 0.95*share(target/1.3))
	assert.Equal(t, "spot", loose.Cases[0].First)
	// One sample for both: the larger of the two, and each catches its own lot.
	assert.Equal(t, max(loose.Plans[loose.Chosen].Sample, tight.Plans[tight.Chosen].Sample), found.Sample)
	for _, s := range found.Sides {
		assert.Equal(t, found.Sample, s.Plan.Sample)
		assert.LessOrEqual(t, s.Plan.Missed, 0.1)
	}
	assert.InDelta(t, loose.Plan.Refused+tight.Plan.Refused, found.Refused, 1e-15)
	assert.LessOrEqual(t, found.Refused, 0.05)
	// The lot with one screw less is shown to be met, that of the plan is not.
	require.NotNil(t, tight.Edge)
	assert.NotEqual(t, "met", tight.Edge.Verdict)
	assert.GreaterOrEqual(t, *c.MetTo.At*lot, float64(c.Breaking-1))
	assert.Contains(t, found.Answer, "above 0.8 N·m")

	// Read with an error, a screw has to stay a guard band inside on either side.
	found = auditJSON(t, exitDone, append(args, path, "--gauge", "0.01N*m")...)
	tight = found.Sides[1]
	assert.InDelta(t, 0.8-1.65*0.01, tight.Reads, 1e-12)
	assert.Equal(t, dist.NormalSurvival((3-tight.Reads)/0.01), tight.Passed)
	assert.InDelta(t, found.Sides[0].Failed, tight.Failed, 1e-6, "the torque is symmetrical in the band")
}

func TestAuditLetsGoodLotsPass(t *testing.T) {
	long(t)
	found := auditJSON(t, exitDone, looseStudy(t, 0.3), "--loose", "0 N*m", "--lot", "200", "--acceptable", "4", "--producers-risk", "0.1")
	plan := found.Sides[0].Plan
	assert.Positive(t, plan.Accept)
	assert.LessOrEqual(t, plan.Refused, 0.1)
	assert.LessOrEqual(t, plan.Missed, 0.1)

	none := auditJSON(t, exitNotMet, looseStudy(t, 0.3), "--loose", "0 N*m", "--lot", "200", "--acceptable", "100")
	assert.Equal(t, "no", none.Verdict)
	assert.Contains(t, none.Answer, "100 loose screws is to pass")
}

func TestAuditCannotMendAMissedLimit(t *testing.T) {
	long(t)
	found := auditJSON(t, exitNotMet, looseStudy(t, 0.005), "--loose", "0 N*m")
	assert.Equal(t, "no", found.Verdict)
	assert.Empty(t, found.Sides[0].Cases)

	open := auditJSON(t, exitUndecided, looseStudy(t, 1.02*fitCard(0)), "--loose", "0 N*m")
	assert.Equal(t, "undecided", open.Verdict)
	assert.Equal(t, "cards", open.Decision.Wanting)
	assert.Empty(t, open.Sides[0].Plans)
}

// Screws just outside the band matter little to a study that is all about the fit.
func TestAuditThatIsNotNeeded(t *testing.T) {
	long(t)
	found := auditJSON(t, exitDone, looseStudy(t, 0.05), "--loose", "0.59 N*m", "--tight", "0.81 N*m")
	assert.Equal(t, "open", found.Sides[0].Cases[0].MetTo.State)
	assert.Contains(t, found.Answer, "no audit is needed")
	assert.Zero(t, found.Sample)

	table := invoke("audit", looseStudy(t, 0.035), "--quiet", "--limit", "spot").stdout
	for _, text := range []string{"0.3 N·m (assumed)", "1.2 N·m (assumed)", "none below 0.6 N·m", "Operating characteristic", "recommended", "ISO 2859-1", "WHAT THIS RESTS ON"} {
		assert.Contains(t, table, text)
	}
}

func TestAuditRefusesWhatItCannotDo(t *testing.T) {
	long(t)
	path := oneCondition(t, 0.05)
	for want, args := range map[string][]string{
		"--lot 0":                                 {"--lot", "0"},
		"--consumers-risk 1":                      {"--consumers-risk", "1"},
		"--consumers-risk NaN":                    {"--consumers-risk", "NaN"},
		"--producers-risk 0":                      {"--producers-risk", "0"},
		"--acceptable 500":                        {"--acceptable", "500"},
		"the flag is called --consumers-risk now": {"--caught", "0.9"},
		"below the band":                          {"--loose", "0.7 N*m"},
		`--loose "0.3 mm"`:                        {"--loose", "0.3 mm"},
		"must be below the upper end":             {"--low", "0.9 N*m"},
		"above the band":                          {"--tight", "0.7 N*m"},
		"sets no limit":                           {"--limit", "heat"},
	} {
		got := invoke(append([]string{"audit", path, "--quiet"}, args...)...)
		assert.Equal(t, exitUsage, got.code, "%v: %s", args, got.stderr)
		assert.Contains(t, got.stderr, want)
		assert.Empty(t, got.stdout)
	}
	uncut := fitStudy(t, 0.05, "")
	uncut = write(t, "uncut.toml", "extends = \""+uncut+"\"\nscrew.torque = { shape = \"normal\", mean = \"0.7 N*m\", sd = \"0.02 N*m\" }\n")
	got := invoke("audit", uncut, "--quiet")
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.stderr, "--low is needed")
	lot := write(t, "lot.toml", "extends = \""+path+"\"\nscrew.torque = { shape = \"uniform\", low = \"0.6 N*m\", high = \"0.8 N*m\", per = \"lot\" }\n")
	got = invoke("audit", lot, "--quiet")
	assert.Contains(t, got.stderr, "finds nothing")
}
