package main

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// audited is what the tests read of the JSON.
type audited struct {
	Verdict, Answer string
	Needed          int64 `json:"samples_that_would_decide"`
	Cases           []struct {
		Torque     float64 `json:"torque_Nm"`
		Share      place
		Proven     place        `json:"share_proven"`
		MissedFrom place        `json:"share_missed_from"`
		AllLoose   estimateJSON `json:"every_screw_loose"`
		Breaking   int64
	}
	Plans []struct {
		Sample  int64   `json:"sample_size"`
		Accept  int64   `json:"acceptance_number"`
		Missed  float64 `json:"consumers_risk"`
		Refused float64 `json:"producers_risk"`
	}
	Chosen int
	Lots   []struct {
		Loose    int64
		Accepted float64
		PerCard  estimateJSON `json:"per_card"`
	} `json:"operating_characteristic"`
}

func auditJSON(t *testing.T, code int, args ...string) (found audited) {
	t.Helper()
	got := invoke(append([]string{"audit", "--format", "json", "--quiet", "--samples", fitSamples}, args...)...)
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
	base := fitStudy(t, target, "")
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
	c := found.Cases[0]
	p := fitCard(0)
	want := 1 - math.Sqrt((1-target)/(1-p))
	assert.True(t, c.Proven.At <= want && want <= c.MissedFrom.At, "%v in %v … %v", want, c.Proven.At, c.MissedFrom.At)
	assert.InDelta(t, want, c.Share.At, c.MissedFrom.At-c.Proven.At)
	assert.Equal(t, 1.0, c.AllLoose.Value)
	assert.Equal(t, int64(math.Floor(c.Proven.At*lot))+1, c.Breaking)

	plan := found.Plans[found.Chosen]
	assert.Zero(t, plan.Accept)
	assert.InEpsilon(t, missingAll(lot, c.Breaking, plan.Sample), plan.Missed, 1e-12)
	assert.LessOrEqual(t, plan.Missed, 0.1)
	assert.Greater(t, missingAll(lot, c.Breaking, plan.Sample-1), 0.1, "no smaller sample does")
	for _, l := range found.Lots {
		f := float64(l.Loose) / lot
		l.PerCard.holds(t, 1-(1-p)*(1-f)*(1-f)) // 95 % each, fixed seed
		assert.InDelta(t, missingAll(lot, l.Loose, plan.Sample), l.Accepted, 1e-12)
	}
	assert.Equal(t, int64(0), found.Lots[0].Loose)
	assert.Equal(t, "yes", found.Verdict)
}

func TestAuditLetsGoodLotsPass(t *testing.T) {
	long(t)
	found := auditJSON(t, exitDone, looseStudy(t, 0.3), "--loose", "0 N*m", "--lot", "200", "--acceptable", "4", "--producers-risk", "0.1", "--samples", "2000")
	plan := found.Plans[found.Chosen]
	assert.Positive(t, plan.Accept)
	assert.LessOrEqual(t, plan.Refused, 0.1)
	assert.LessOrEqual(t, plan.Missed, 0.1)

	none := auditJSON(t, exitNotMet, looseStudy(t, 0.3), "--loose", "0 N*m", "--lot", "200", "--acceptable", "100", "--samples", "2000")
	assert.Equal(t, "no", none.Verdict)
	assert.Contains(t, none.Answer, "100 loose screws is to pass")
}

func TestAuditCannotMendAMissedLimit(t *testing.T) {
	long(t)
	found := auditJSON(t, exitNotMet, looseStudy(t, 0.005), "--loose", "0 N*m")
	assert.Equal(t, "no", found.Verdict)
	assert.Empty(t, found.Plans)
	assert.Equal(t, "never", found.Cases[0].Proven.State)

	open := auditJSON(t, exitUndecided, looseStudy(t, 1.05*fitCard(0)), "--loose", "0 N*m")
	assert.Equal(t, "undecided", open.Verdict)
	assert.Greater(t, open.Needed, int64(6000))
	assert.Empty(t, open.Plans)
}

// Screws just below the band matter little to a study that is all about the fit.
func TestAuditThatIsNotNeeded(t *testing.T) {
	long(t)
	found := auditJSON(t, exitDone, looseStudy(t, 0.05), "--loose", "0.59 N*m")
	assert.Equal(t, "open", found.Cases[0].Proven.State)
	assert.Contains(t, found.Answer, "without an audit")
	assert.Empty(t, found.Plans)

	table := invoke("audit", fitStudy(t, 0.06, ""), "--quiet", "--samples", "1200").stdout
	assert.Contains(t, table, "0.3 N·m (assumed)")
	table = invoke("audit", looseStudy(t, 0.06), "--quiet", "--samples", "1200", "--loose", "0 N*m").stdout
	for _, text := range []string{"only if none is below 0.6 N·m", "Operating characteristic", "recommended", "ISO 2859-1", "WHAT THIS RESTS ON"} {
		assert.Contains(t, table, text)
	}
}

func TestAuditRefusesWhatItCannotDo(t *testing.T) {
	long(t)
	path := fitStudy(t, 0.05, "")
	for want, args := range map[string][]string{
		"--lot 0":                                 {"--lot", "0"},
		"--consumers-risk 1":                      {"--consumers-risk", "1"},
		"--consumers-risk NaN":                    {"--consumers-risk", "NaN"},
		"--producers-risk 0":                      {"--producers-risk", "0"},
		"--acceptable 500":                        {"--acceptable", "500"},
		"the flag is called --consumers-risk now": {"--caught", "0.9"},
		"below the band":                          {"--loose", "0.7 N*m"},
		`--loose "0.3 mm"`:                        {"--loose", "0.3 mm"},
		"torque band":                             {"--low", "0.9 N*m"},
		"sets no limit":                           {"--limit", "heat"},
	} {
		got := invoke(append([]string{"audit", path, "--quiet", "--samples", "300"}, args...)...)
		assert.Equal(t, exitUsage, got.code, "%v: %s", args, got.stderr)
		assert.Contains(t, got.stderr, want)
		assert.Empty(t, got.stdout)
	}
	uncut := fitStudy(t, 0.05, "")
	uncut = write(t, "uncut.toml", "extends = \""+uncut+"\"\nscrew.torque = { shape = \"normal\", mean = \"0.7 N*m\", sd = \"0.02 N*m\" }\n")
	got := invoke("audit", uncut, "--quiet", "--samples", "300")
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.stderr, "--low is needed")
	lot := write(t, "lot.toml", "extends = \""+path+"\"\nscrew.torque = { shape = \"uniform\", low = \"0.6 N*m\", high = \"0.8 N*m\", per = \"lot\" }\n")
	got = invoke("audit", lot, "--quiet", "--samples", "300")
	assert.Contains(t, got.stderr, "finds nothing")
}
