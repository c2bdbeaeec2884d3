package study

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/reports/validation"
)

// The nominal cards of the examples beside what practice knows of such clamps. Their
// finishes, flatness and rails were chosen for the heat and not for these bands, so
// the misses show what a good joint does in the model.
func TestOutsideExamples(t *testing.T) {
	nominal := func(name string) map[string]float64 { return evaluate(t, load(t, name)) }
	two, four, inch := nominal("two-face.toml"), nominal("four-face.toml"), nominal("inch.toml")
	row := func(name, unit string, low, high, obtained float64) validation.Case {
		return validation.Case{Name: name, Source: "common practice", Standing: validation.Practice, Unit: unit, Low: low, High: high, Obtained: obtained, Reason: "the example's own finishes, flat to 25 um, at nominal"}
	}
	differs := func(c validation.Case, noWorse float64, why string) validation.Case {
		c.Differs, c.NoWorse = why, noWorse
		return c
	}
	const (
		flat = "fine faces let the direct face carry more: the rough and crowned joint of the section Card joint lies in the band"
		side = "likewise; the direct face takes what the others leave"
	)
	validation.Check(t, "Examples", []validation.Case{
		row("two-face.toml: resistance of an edge to the cold wall", "K/W", 0.2, 0.5, two["resistance.left"]),
		differs(row("two-face.toml: share of the direct face", "", 0.70, 0.80, two["share.direct"]), 1.02, flat),
		row("inch.toml: resistance of an edge to the cold wall", "K/W", 0.2, 0.5, inch["resistance.left"]),
		row("inch.toml: share of the direct face", "", 0.70, 0.80, inch["share.direct"]),
		row("four-face.toml: resistance of an edge to the cold wall", "K/W", 0.2, 0.5, four["resistance.left"]),
		differs(row("four-face.toml: share of the direct face", "", 0.35, 0.45, four["share.direct"]), 1.2, flat),
		differs(row("four-face.toml: share of the upper rail", "", 0.25, 0.35, four["share.upper"]), 1.2, side),
		row("four-face.toml: share of the side wall", "", 0.25, 0.35, four["share.side"]),
		row("joint rise, four-face under two-face: less by about a third", "%", 28, 38, 100*(1-four["resistance.left"]/two["resistance.left"])),
		row("card of 100 W: edge cooler with the four-face clamp, up to 5 K", "K", 0, 5, two["edge.hotter"]-four["edge.hotter"]),
	})
	// Nobody gives numbers for the changes on offer; that they heat the edge is sure.
	assert.Greater(t, nominal("flatness-change.toml")["edge.hotter"], two["edge.hotter"])
	assert.Greater(t, nominal("finish-change.toml")["edge.hotter"], two["edge.hotter"])
}
