package question

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// open is a small study with three parts that are open, eight combinations in all.
func open(t *testing.T, spot string, more ...string) *study.Study {
	t.Helper()
	s, err := study.Parse("s.toml", []byte(strings.Join(more, "\n")+`
extends = "two-face.toml"
verdict.policy = "predictive"
clamp.pieces = 3
component = [{ name = "correlator", power = "34 W" }, { name = "converter", power = "22 W" }]
card.power = "44 W"
contact.face_factor = 1
face.direct = { bow = "10 um", crown = "3 um", taper = "3 um" }
limits = { spot = { max = "`+spot+`", target = 2e-3 }, screw_stress = { max = 1, target = 5e-2 } }
condition = [{ name = "warm wall", replace = { "wall.temperature" = { shape = "normal", mean = "56.5 degC", sd = "1.5 K", per = "chassis" } } }]

[[option]]
name = "torque"
choices = [{ name = "0.7", cost = 0 }, { name = "0.9", cost = 4, replace = { "screw.torque" = { shape = "normal", mean = "0.9 N*m", sd = "0.03 N*m" } } }]

[[option]]
name = "crown"
choices = [{ name = "turned", cost = 0 }, { name = "ground", cost = 2, replace = { "face.direct.crown" = "1 um" } }]

[[cost]]
input = "contact.factor"
steps = [{ spread = 1, cost = 0 }, { spread = 0.5, cost = 3 }]
`), func(name string) ([]byte, error) {
		return os.ReadFile(filepath.Join("../../../../testdata/frozen", name))
	})
	require.NoError(t, err)
	return s
}

// Against every combination judged in full: one answer, and one that cheaper combinations
// leave open. Half the size of contact.factor makes it worse: a finer step is not taken to be
// better.
func TestChooseAgainstAllCombinations(t *testing.T) {
	for spot, want := range map[string]sim.Verdict{"90 degC": sim.Met, "92 degC": sim.Undecided} {
		s := open(t, spot)
		setup := decide.Setup{Run: sim.Run{Sampler: sim.Random{}, Seed: 5, Workers: 2, Confidence: 0.95}, Events: Events(s), Evaluations: 5000}
		r, verdict, err := Choose(t.Context(), setup, s, nil)
		require.NoError(t, err)
		require.NotNil(t, r.Best, spot)
		assert.Equal(t, want, verdict, spot)
		all, err := combinations(r.Options)
		require.NoError(t, err)
		require.Len(t, all, 8)
		require.Equal(t, len(r.Fell)+1, r.Judged)
		for i, c := range all[:r.Judged] {
			chosen, err := s.Chosen(c.Steps[:2])
			require.NoError(t, err)
			mission, err := missionOf(t.Context(), setup, chosen, moved{name: fmt.Sprint(c.Steps[2]), by: func(s *study.Study) (*study.Study, error) {
				return withSteps(s, c.Steps[2:])
			}}, true)
			require.NoError(t, err)
			judged := r.Best
			if i < len(r.Fell) {
				judged = &r.Fell[i]
			}
			assert.Equal(t, mission.Verdict.String(), judged.Decision.Verdict, "%s %v", spot, c.Steps)
			assert.Equal(t, c.Cost, judged.Cost)
		}
	}
}

func TestChooseSaysWhyThereIsNothing(t *testing.T) {
	_, err := combinations(nil)
	assert.ErrorContains(t, err, "nothing to choose")
	many := make([]reports.Open, 14)
	for i := range many {
		many[i].Choices = make([]reports.Offered, 2)
	}
	_, err = combinations(many)
	assert.ErrorContains(t, err, "more than 10000")
}

// A torque that the clamp's maker does not allow, its scatter included, is never chosen, however cheap; one whose scatter takes few screws
// there is, with a caution.
func TestChooseKeepsToTheMakersLimits(t *testing.T) {
	ask := func(most string) (reports.Choose, sim.Verdict) {
		s := open(t, "90 degC", `torque.most = "`+most+`"`)
		r, verdict, err := Choose(t.Context(), decide.Setup{Run: sim.Run{Sampler: sim.Random{}, Seed: 5, Workers: 2, Confidence: 0.95}, Events: Events(s), Evaluations: 1000}, s, nil)
		require.NoError(t, err)
		return r, verdict
	}
	const cheapest = "0.9 ground 1 times the spread" // of all that meet their targets
	r, verdict := ask("0.92 N*m")
	assert.Equal(t, sim.NotMet, verdict)
	assert.Nil(t, r.Best)
	at := slices.IndexFunc(r.Fell, func(c reports.Combination) bool { return strings.Join(c.Choices, " ") == cheapest })
	require.GreaterOrEqual(t, at, 0)
	d := r.Fell[at].Decision
	assert.Equal(t, []string{"not met", "met"}, []string{d.Verdict, d.ByTargets})
	assert.Contains(t, d.NotAllowed, "25.2 % of the screws get more than the clamp maker's most, 0.92 N·m")
	assert.Contains(t, reportText(t, r.Document()), "get more than the clamp maker's most")

	r, verdict = ask("1 N*m")
	assert.Equal(t, sim.Met, verdict)
	require.NotNil(t, r.Best)
	assert.Equal(t, cheapest, strings.Join(r.Best.Choices, " "))
	require.NotNil(t, r.Best.Decision.AboveMost)
	assert.InDelta(t, dist.NormalSurvival(10.0/3), r.Best.Decision.AboveMost.Share, 1e-9, "0.03 N·m about 0.9")
	assert.Contains(t, reportText(t, r.Document()), "YES, with a caution: cost 6 meets every limit")
}
