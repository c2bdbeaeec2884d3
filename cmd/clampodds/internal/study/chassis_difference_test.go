package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Where one kind of card is changed, that is the difference, and the other slots draw what they drew:
// of the coat on their flanges too, which was one unknown for all slots.
func TestSlotsThatAreNotChangedDrawWhatTheyDrew(t *testing.T) {
	slots := func(replace string) *Study {
		return mustChassis(t, `
[[chassis.slot]]
name = "a"
card = "chassis-power.toml"
replace = { "flange.finish" = "chemical conversion film" }
[[chassis.slot]]
name = "b"
card = "chassis-power.toml"
replace = { "flange.finish" = "chemical conversion film" }
[[chassis.slot]]
name = "c"
card = "chassis-power.toml"
replace = { "flange.finish" = "`+replace+`" }
`)
	}
	before, after := slots("chemical conversion film"), slots("hard anodic film")
	var keys []string
	for _, d := range Differences(before, after) {
		keys = append(keys, d.Key)
	}
	assert.ElementsMatch(t, []string{"c.flange.coat.thickness", "c.flange.coat.conductivity", "c.flange.coat.hardness"}, keys)
	var back []string
	for _, d := range Differences(after, before) {
		back = append(back, d.Key)
	}
	assert.ElementsMatch(t, keys, back)
	assert.NotNil(t, after.Input("a+b.flange.coat.thickness"))

	const rows = 64
	_, first := drawn(t, before, 1, rows, rows)
	_, second := drawn(t, after, 1, rows, rows)
	for _, name := range []string{"a/edge.spot", "b/edge.spot"} {
		assert.Equal(t, first[name], second[name], name)
	}
	assert.NotEqual(t, first["c/edge.spot"], second["c/edge.spot"])
}
