package study

import (
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/testdata/studies"
)

// still is a card on which nothing scatters, and whose temperatures above its wall do not depend on the wall's.
const still = `
extends = "chassis-power.toml"
joint.temperature = "70 degC"
wall.temperature = "50 degC"
card.power = "100 W"
screw.torque = "0.7 N*m"
screw.prevailing_torque = "0.06 N*m"
screw.thread_friction = 0.14
screw.head_friction = 0.15
screw.preload_loss = "10 %"
friction.ramp = 0.14
friction.wall = 0.17
contact.factor = 1
contact.face_factor = 1
face.direct.crown = "5 um"
`

// chassisOf parses a chassis beside files by name and text.
func chassisOf(t testing.TB, text string, files ...string) (*Study, error) {
	t.Helper()
	return Parse("c.toml", []byte(text), func(name string) ([]byte, error) {
		for i := 0; i < len(files); i += 2 {
			if files[i] == name {
				return []byte(files[i+1]), nil
			}
		}
		text, err := studies.Files.ReadFile(name)
		if err != nil {
			return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
		}
		return text, nil
	})
}

func mustChassis(t testing.TB, text string, files ...string) *Study {
	t.Helper()
	s, err := chassisOf(t, text, files...)
	require.NoError(t, err)
	return s
}

// drawn evaluates rows of a study on plain random draws and returns the outputs by name, with
// the inputs by variable.
func drawn(t *testing.T, s *Study, seed uint64, blockRows, rows int) (x, y map[string][]float64) {
	t.Helper()
	inputs, err := s.RandomInputs()
	require.NoError(t, err)
	m, err := s.Model()
	require.NoError(t, err)
	x, y = map[string][]float64{}, map[string][]float64{}
	run := sim.Run{
		Scenarios: []sim.Scenario{{Inputs: inputs, Model: plain{m}}}, Sampler: sim.Random{}, Seed: seed, Samples: int64(rows), BlockRows: blockRows, Workers: 1, Confidence: 0.95,
		Draws: func(_ int64, _ int, in, out [][]float64) error {
			for i, v := range inputs.Variables() {
				x[v.Name] = append(x[v.Name], in[i]...)
			}
			for j, o := range m.Outputs() {
				y[o.Name] = append(y[o.Name], out[j]...)
			}
			return nil
		},
	}
	_, err = run.Execute(t.Context())
	require.NoError(t, err)
	return x, y
}

// plain shows a model to sim.
type plain struct{ *Model }

func (p plain) Outputs() (list []sim.Output) {
	for _, o := range p.Model.Outputs() {
		list = append(list, sim.Output(o))
	}
	return list
}

// The first law for steady flow (Incropera and DeWitt, section 1.3): the coolant leaves with the heat that
// all cards put in, and what enters the wall of each slot is the heat of its card. Rounding: the sums
// have some tens of terms, 1e-12 is a thousand times their share.
func TestHeatInIsHeatOut(t *testing.T) {
	s := load(t, "chassis.toml")
	x, y := drawn(t, s, 3, 0, 200)
	component := func(slot string) []float64 {
		if strings.HasPrefix(slot, "control") {
			return x["component.processor.power/"+slot]
		}
		return make([]float64, 200)
	}
	for r := range 200 {
		all, upstream := 0.0, 0.0
		for _, slot := range s.Chassis.Slots {
			all += x["card.power/"+slot.Name][r] + component(slot.Name)[r]
		}
		rate := x["chassis.capacity_rate"][r]
		assert.InEpsilon(t, all, y["chassis/heat"][r], 1e-12)
		assert.InEpsilon(t, all, rate*y["chassis/rise"][r], 1e-12, "heat in is heat that the coolant carries away")
		for _, slot := range s.Chassis.Slots {
			of := func(output string) float64 { return y[slot.Name+"/"+output][r] }
			own := x["card.power/"+slot.Name][r] + component(slot.Name)[r]
			wall := x["wall.temperature"][r] + 0.005*all + (upstream+own/2)/rate
			assert.InEpsilon(t, wall, of("wall.temperature"), 1e-12, slot.Name)
			into := 0.0
			for _, edge := range []string{"left", "right"} {
				into += (of("edge."+edge) - wall) / of("resistance."+edge)
			}
			assert.InEpsilon(t, own, into, 1e-9, "a card's heat enters its wall; differences of temperatures lose three digits")
			upstream += own
		}
	}
}

// Two slots by hand: 100 W and 40 W, 20 W/K, 0.01 K/W. The wall at 50 °C warms by 1.4 K; the coolant by
// 100/2/20 = 2.5 K to the middle of the first slot and (100 + 20)/20 = 6 K to that of the second. What a card is above its
// wall is its resistance times its heat: 0.4 of that of 100 W.
func TestTwoSlotsByHand(t *testing.T) {
	cards := []string{"hot.toml", still}
	alone, err := Parse("hot.toml", []byte(still), studies.Files.ReadFile)
	require.NoError(t, err)
	above := evaluate(t, alone)["edge.spot"] - (50 + 273.15)
	y := evaluate(t, mustChassis(t, `
chassis.capacity_rate = "20 W/K"
chassis.wall_resistance = "0.01 K/W"
[[chassis.slot]]
card = "hot.toml"
[[chassis.slot]]
name = "cool"
card = "hot.toml"
replace = { "card.power" = "40 W", "limits.spot" = { max = "70 degC", target = 1e-3 } }
`, cards...))
	const rounding = 1e-9 // of sums of some hundred numbers about 300
	assert.InDelta(t, 50+273.15+1.4+2.5+above, y["hot/edge.spot"], rounding)
	assert.InDelta(t, 50+273.15+1.4+6+0.4*above, y["cool/edge.spot"], rounding)
	assert.InDelta(t, 7, y["chassis/rise"], rounding)
	assert.InDelta(t, 140, y["chassis/heat"], rounding)
	assert.InDelta(t, max(y["hot/edge.spot"]-(85+273.15), y["cool/edge.spot"]-(70+273.15)), y["any/edge.spot"], rounding, "each over its own limit")
}

// A chassis of like cards whose wall does not warm is today's study with as many cards per chassis: each
// slot has the bits of a card with its draws, and what the cards share has the same draws.
func TestLikeCardsAreThoseOfOneStudy(t *testing.T) {
	const slots, chassis = 6, 340
	power, err := Parse("chassis-power.toml", dist.Must(studies.Files.ReadFile("chassis-power.toml")), studies.Files.ReadFile)
	require.NoError(t, err)
	power.Run.CardsPerChassis = slots
	s := mustChassis(t, "[[chassis.slot]]\nname = \"p\"\ncard = \"chassis-power.toml\"\ncount = 6\n")
	x, y := drawn(t, s, 11, 170, chassis)
	cards, cardsOut := drawn(t, power, 11, 170*slots, slots*chassis)

	single, err := power.Model()
	require.NoError(t, err)
	variables, _ := power.Variables()
	for slot := range slots {
		name := fmt.Sprint("p.", slot+1)
		in := make([][]float64, len(variables))
		for i, v := range variables {
			base, place, edge := strings.Cut(v.Name, "/")
			switch {
			case v.Level.Shared():
				in[i] = x[v.Name]
				for r := range chassis {
					assert.Equal(t, cards[v.Name][slots*r+slot], x[v.Name][r], "%s: the draw that all cards of a chassis share", v.Name)
				}
			case edge:
				in[i] = x[base+"/"+name+"/"+place]
			default:
				in[i] = x[v.Name+"/"+name]
			}
			require.Len(t, in[i], chassis, v.Name)
		}
		out := batch.Columns(len(single.Outputs()), chassis)
		single.Evaluate(in, out)
		for j, o := range single.Outputs() {
			assert.Equal(t, out[j], y[name+"/"+o.Name], "%s, %s", name, o.Name)
		}
	}
	// How often any of the cards is warmer than 72 °C, in chassis of one and the other: 340 of each. Four
	// standard errors of the difference, wrong in one seed of 16 000.
	const limit = 72 + 273.15
	own, theirs := 0, 0
	for r := range chassis {
		if y["any/edge.spot"][r] > limit-(85+273.15) {
			own++
		}
		if slices.Max(cardsOut["edge.spot"][slots*r:slots*(r+1)]) > limit {
			theirs++
		}
	}
	p := float64(own+theirs) / (2 * chassis)
	require.Greater(t, p, 0.05)
	assert.InDelta(t, own, theirs, 4*math.Sqrt(2*chassis*p*(1-p)))
}

// With power alone scattering, normal, and all else constant the temperature is normal, and the probability that
// any of six cards is too hot has a closed form: 1 - (1-p)^6 where each has its own power, p where one draw
// is behind all. Four standard errors of 4000 chassis, wrong in one seed of 16 000.
func TestAnyCardOfSixInClosedForm(t *testing.T) {
	const chassis, p = 4000, 0.066807201268858 // of a normal variable above 1.5 standard deviations
	for _, c := range []struct {
		per  string
		want float64
	}{{"card", 1 - math.Pow(1-p, 6)}, {"lot", p}} {
		card := strings.Replace(still, `card.power = "100 W"`, `card.power = { shape = "normal", mean = "100 W", sd = "5 W", per = "`+c.per+`" }`, 1)
		alone, err := Parse("hot.toml", []byte(card), studies.Files.ReadFile)
		require.NoError(t, err)
		perWatt := (evaluate(t, alone)["edge.spot"] - (50 + 273.15)) / 100
		s := mustChassis(t, "[[chassis.slot]]\ncard = \"hot.toml\"\ncount = 6\n", "hot.toml", card)
		_, y := drawn(t, s, 5, 0, chassis)
		limit := 50 + 273.15 + perWatt*(100+1.5*5)
		seen := 0
		for _, excess := range y["any/edge.spot"] {
			if excess > limit-(85+273.15) {
				seen++
			}
		}
		assert.InDelta(t, c.want, float64(seen)/chassis, 4*math.Sqrt(c.want*(1-c.want)/chassis), c.per)
	}
}

// What the cards state alike is one input; a draw of a lot, a chassis or a design is then one for all slots. What
// readings leave open is one unknown.
func TestSlotsShareWhatTheirCardsStateAlike(t *testing.T) {
	readings := strings.Replace(still, `screw.thread_friction = 0.14`,
		`screw.thread_friction = { shape = "normal", mean = 0.14, sd = 0.01, readings = 12, per = "lot" }`, 1) + "contact.factor = { shape = \"lognormal\", median = 1, sigma_ln = 0.3, knowledge = true }\n"
	readings = strings.Replace(readings, "contact.factor = 1\n", "", 1)
	other := readings + "friction.wall_share = { shape = \"uniform\", low = 0.5, high = 1, knowledge = true }\n"
	s := mustChassis(t, `
wall.temperature = { shape = "normal", mean = "50 degC", sd = "2 K", per = "chassis" }
[[chassis.slot]]
name = "a"
card = "one.toml"
count = 2
replace = { "card.power" = { shape = "normal", mean = "80 W", sd = "5 W" } }
[[chassis.slot]]
name = "b"
card = "other.toml"
replace = { "card.power" = { shape = "normal", mean = "40 W", sd = "5 W" } }
`, "one.toml", readings, "other.toml", other)
	variables, _ := s.Variables()
	var names []string
	for _, v := range variables {
		names = append(names, fmt.Sprint(v.Name, " ", v.Level))
	}
	assert.ElementsMatch(t, []string{
		"wall.temperature chassis", "screw.thread_friction lot", "screw.thread_friction.mean_left_open design", "screw.thread_friction.spread_left_open design",
		"contact.factor design", "b.friction.wall_share design", "card.power/a.1 card", "card.power/a.2 card", "card.power/b card",
	}, names)
	assert.Equal(t, "a.card.power", s.Inputs[slices.IndexFunc(s.Inputs, func(in Input) bool { return in.Key == "a.card.power" })].Key)
	assert.NotNil(t, s.Input("b.card.power"))
}

// What a condition replaces concerns all slots, or those whose name stands before the key.
func TestConditionsOfAChassis(t *testing.T) {
	s := mustChassis(t, `
chassis.capacity_rate = "20 W/K"
[[chassis.slot]]
name = "a"
card = "hot.toml"
[[chassis.slot]]
name = "b"
card = "hot.toml"
[[condition]]
name = "weak fan"
replace = { "chassis.capacity_rate" = "10 W/K" }
[[condition]]
name = "hot day"
replace = { "wall.temperature" = "55 degC", "b.card.power" = "50 W" }
[[condition]]
name = "old"
ageing = { after = "20000 h", from = "24 h", slope = 0.1 }
`, "hot.toml", still)
	written := evaluate(t, s)
	under := func(name string) map[string]float64 {
		c, err := s.Condition(name)
		require.NoError(t, err)
		return evaluate(t, c)
	}
	weak, day, old := under("weak fan"), under("hot day"), under("old")
	const rounding = 1e-9
	assert.InDelta(t, 2*written["chassis/rise"], weak["chassis/rise"], rounding)
	assert.InDelta(t, written["a/edge.spot"]+5, day["a/edge.spot"], rounding)
	assert.InDelta(t, 150, day["chassis/heat"], rounding)
	assert.Greater(t, old["a/edge.spot"], written["a/edge.spot"])
	assert.Greater(t, old["b/edge.spot"], written["b/edge.spot"])
	var keys []string
	for _, d := range Differences(s, dist.Must(s.Condition("hot day"))) {
		keys = append(keys, d.Key)
	}
	assert.ElementsMatch(t, []string{"wall.temperature", "b.card.power"}, keys)
}

// Mistakes in a chassis, each with what is said of it.
func TestMistakesInAChassis(t *testing.T) {
	slot := "[[chassis.slot]]\ncard = \"hot.toml\"\n"
	for _, c := range []struct{ text, says string }{
		{"[[chassis.slot]]\nname = \"a\"\n", "names the study of its card"},
		{"[[chassis.slot]]\ncard = \"none.toml\"\n", "none.toml cannot be read"},
		{"[[chassis.slot]]\ncard = \"nest.toml\"\n", "the study of a chassis"},
		{slot + slot, "a name of its own"},
		{slot + "name = \"screw\"\n", "not that of a table"},
		{slot + "name = \"any\"\n", "a name of its own"},
		{slot + "count = 65\n", "from 1 to 64"},
		{slot + "cout = 2\n", "did you mean count?"},
		{slot + "replace = { \"card.power\" = \"5 N\" }\n", "card.power"},
		{slot + "replace = { \"run.seed\" = 5 }\n", "not known"},
		{slot + "replace = 5\n", "replaces keys of its card"},
		{slot + "[torque]\nmost = 52 cN·m\n", `a quantity stands in quotes (most = "52 cN·m")`},
		{"[chassis]\nany.spott = 0.1\n" + slot, "no card of the chassis has a limit of that name"},
		{"[chassis]\nany.spot = 2\n" + slot, "between 0 and 1"},
		{"[chassis]\ncapacity_rate = \"5 W\"\n" + slot, "capacity_rate"},
		{"[chassis]\nslots = 5\n" + slot, "not known"},
		{"[run]\ncards_per_chassis = 6\n" + slot, "as many cards as slots"},
		{slot + "[[component]]\nname = \"x\"\n", "in the studies of the cards"},
		{slot + "[[chassis.slot]]\nname = \"b\"\ncard = \"hot.toml\"\nreplace = { \"wall.temperature\" = \"40 degC\" }\n", "share one wall"},
		{"[wall]\ntemperature = { shape = \"normal\", mean = \"50 degC\", sd = \"2 K\" }\n" + slot, "share one wall"},
		{slot + "[[condition]]\nname = \"x\"\nreplace = { \"hat.card.power\" = \"5 W\" }\n", "hat"},
		{"extends = \"hot.toml\"\n[chassis]\ncapacity_rate = \"5 W/K\"\n", "the study of a card"},
	} {
		_, err := chassisOf(t, c.text, "hot.toml", still, "nest.toml", slot)
		assert.ErrorContains(t, err, c.says, c.text)
	}
}

// A chassis is held to the clamp maker's limits of its cards, the strictest where they differ, and says what of a card it does not read.
func TestAChassisTakesTheTorqueOfItsCards(t *testing.T) {
	slots := "[[chassis.slot]]\nname = \"a\"\ncard = \"a.toml\"\n[[chassis.slot]]\nname = \"b\"\ncard = \"b.toml\"\n"
	card := func(most string) string {
		return still + "torque.least = \"0.6 N*m\"\ntorque.most = \"" + most + "\"\n"
	}
	codes := func(s *Study) (list []Code) {
		for _, w := range s.Warnings {
			if w.Code != TorqueWithoutScatter {
				list = append(list, w.Code)
			}
		}
		return list
	}
	alike := mustChassis(t, slots, "a.toml", card("0.8 N*m"), "b.toml", still)
	assert.Equal(t, []float64{0.6, 0.8}, []float64{alike.Tool.Least, alike.Tool.Most})
	assert.Empty(t, codes(alike))
	differ := mustChassis(t, slots, "a.toml", card("0.8 N*m"), "b.toml", card("0.75 N*m"))
	assert.Equal(t, 0.75, differ.Tool.Most)
	assert.Equal(t, []Code{TorqueLimitsDiffer}, codes(differ))
	own := mustChassis(t, "torque.most = \"0.9 N*m\"\n"+slots, "a.toml", card("0.8 N*m"), "b.toml", card("0.75 N*m"))
	assert.Equal(t, 0.9, own.Tool.Most, "the chassis' own stands in place of them")
	assert.Equal(t, []Code{TorqueLimitsDiffer, TorqueLimitsDiffer}, codes(own), "and says that it is wider than what either card says")
	stricter := mustChassis(t, "torque.most = \"0.7 N*m\"\ntorque.least = \"0.65 N*m\"\n"+slots, "a.toml", card("0.8 N*m"), "b.toml", card("0.75 N*m"))
	assert.Empty(t, codes(stricter))
	mission := card("0.8 N*m") + "[[condition]]\nname = \"hot\"\nreplace = { \"wall.temperature\" = \"60 degC\" }\n"
	assert.Equal(t, []Code{CardNotRead}, codes(mustChassis(t, slots, "a.toml", mission, "b.toml", still)))
}
