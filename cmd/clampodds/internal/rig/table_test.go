package rig

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/calibrate"
)

const folder = "../../../../testdata/studies/"

func demo(t testing.TB) *study.Study {
	s, err := study.Load(folder + "two-face.toml")
	require.NoError(t, err)
	return s
}

func parsed(t testing.TB, text string, o Options) *Table {
	table, err := Read("rig.csv", []byte(text), o)
	require.NoError(t, err)
	return table
}

func TestTableIsReadInSI(t *testing.T) {
	table := parsed(t, "Cold Wall (degF);POWER [W];left edge [degC];noise [mK];card\n77;60,5;33,6;300;A\n86;80;40;200;B\n", Options{DecimalComma: true})
	require.Len(t, table.Set, 2)
	assert.Equal(t, "power", table.Set[0].Key, "in the order of the package, not of the file")
	assert.Equal(t, []float64{60.5, 80}, table.Set[0].Values)
	assert.InDeltaSlice(t, []float64{298.15, 303.15}, table.Set[1].Values, 1e-9) // rounding of the conversion
	assert.InDeltaSlice(t, []float64{306.75, 313.15}, table.Read[0].Values, 1e-9)
	assert.InDeltaSlice(t, []float64{0.3, 0.2}, table.Noise, 1e-12)
	assert.Equal(t, []string{"A", "B"}, table.Cards)
	assert.Equal(t, []int{0, 1}, table.Card)
	assert.Equal(t, []int{2, 3}, table.Lines)
	assert.Len(t, table.Digest, 64)
}

func TestOtherHeadersAndUnits(t *testing.T) {
	o := Options{
		Columns: map[string]string{"left": "TC1", "right": "3", "wall": ""},
		Units:   map[string]string{"left": "degC", "right": "degC"}, Noise: "0.3 K",
	}
	table := parsed(t, "wall,TC1,TC2\n1000,60,61\n", o)
	assert.Empty(t, table.Set, "the wall is left out")
	require.Len(t, table.Read, 2)
	assert.InDelta(t, 334.15, table.Read[1].Values[0], 1e-9)
	assert.False(t, table.scale().Logarithmic, "without the wall there is no rise")
}

// A spreadsheet's export: mark, semicolons, decimal commas, CRLF, a row of units
// beside a column without one, an empty row.
func TestAnExportWithARowOfUnitsAndCards(t *testing.T) {
	text := "\ufeffKarte;Wand;TC links\r\n;degC;degC\r\nA;20,1;40,1\r\n;;\r\nB;20,2;37,2\r\n"
	table := parsed(t, text, Options{Columns: map[string]string{"card": "Karte", "wall": "Wand", "left": "TC links"}, DecimalComma: true, Noise: "0.3 K"})
	assert.Equal(t, []string{"A", "B"}, table.Cards)
	assert.Equal(t, []int{3, 5}, table.Lines)
	assert.InDeltaSlice(t, []float64{313.25, 310.35}, table.Read[0].Values, 1e-9) // rounding of the conversion
}

// Cards of one name in two lots are two cards; the roughness of a lot is shared within it. Without a lot column all are of one.
func TestCardsOfSeveralLots(t *testing.T) {
	const rows = "A,1,25,40\nA,1,25,41\nA,2,25,39\nB,1,25,44\n"
	table := parsed(t, "lot,card,wall [degC],left [degC]\n"+rows, Options{Noise: "0.3 K"})
	assert.Equal(t, []string{"A/1", "A/2", "B/1"}, table.Cards)
	assert.Equal(t, []int{0, 0, 1, 2}, table.Card)
	assert.Equal(t, []int{0, 0, 0, 1}, table.Lot)
	s := demo(t)
	assert.Contains(t, table.Assumed(s), "3 cards of 2 lots")
	assert.Empty(t, table.Warnings())
	other := parsed(t, strings.ReplaceAll("Los,Karte,wall [degC],left [degC],note\n"+strings.ReplaceAll(rows, "\n", ",x\n"), ",", ";"), Options{Noise: "0,3 K", DecimalComma: true, Columns: map[string]string{"card": "2"}})
	assert.Equal(t, []string{"Los", "note"}, other.NotUsed, "a column may be named by its number")
	require.Len(t, other.Warnings(), 1)
	assert.Contains(t, other.Warnings()[0].Text, "not used: Los, note; no column lot is known by its header")
	assert.Contains(t, other.Assumed(s), "columns that are not used: Los, note")
	c, err := table.Calibrate(s, []string{"contact.factor"})
	require.NoError(t, err)
	shared := map[string]calibrate.Sharing{}
	for _, v := range c.Problem.Variables {
		shared[v.Name] = v.Sharing
	}
	assert.Equal(t, calibrate.PerLot, shared["clamp.roughness"])
	assert.Equal(t, 1, c.Problem.Observations[3].Lot)
	assert.Zero(t, parsed(t, "card,wall [degC],left [degC]\n1,25,40\n2,25,41\n", Options{Noise: "0.3 K"}).Lot[1])
	alone := parsed(t, "lot,wall [degC],left [degC]\nA,25,40\nB,25,41\n", Options{Noise: "0.3 K"})
	assert.Equal(t, []string{"A", "B"}, alone.Cards, "without a card column a card of each lot")
}

func TestWhatAllColumnsLackIsSaidOnce(t *testing.T) {
	_, err := Read("rig.csv", []byte("wall [degC],left [degC],right [degC]\n"), Options{Noise: "0.3 K"})
	assert.EqualError(t, err, "rig.csv: there are no readings")
}

func TestBadTablesAreRefused(t *testing.T) {
	const heads = "wall [degC],left [degC]\n"
	for want, c := range map[string]struct {
		text string
		o    Options
	}{
		"nothing was read":                          {"torque [N*m]\n0.7\n", Options{Noise: "1 K"}},
		"how large is the noise":                    {heads + "20,30\n", Options{}},
		"the noise is in the table and":             {"noise [K],left [degC]\n1,30\n", Options{Noise: "1 K"}},
		`noise "1 N"`:                               {heads + "20,30\n", Options{Noise: "1 N"}},
		"line 2: the noise must be above 0":         {heads + "20,30\n", Options{Noise: "0 K"}},
		"line 3 (left): 20 °C is not above":         {heads + "20,30\n25,20\n", Options{Noise: "1 K"}},
		"line 2, column 2 (left [degC])":            {heads + "20,hot\n", Options{Noise: "1 K"}},
		"line 2 (left): a bound is no reading":      {heads + "20,>30\n", Options{Noise: "1 K"}},
		"the unit is missing":                       {"left\n30\n", Options{Noise: "1 K"}},
		`write "altitude [m]", or give`:             {"altitude,left [degC]\n9000,30\n", Options{Noise: "1 K"}},
		"hotter is one of the edges":                {"left [degC],hotter [degC]\n30,30\n", Options{Noise: "1 K"}},
		"the same readings twice":                   {"left [degC],left resistance [K/W]\n30,0.3\n", Options{Noise: "1 K"}},
		"a resistance must be above 0":              {"left resistance [K/W]\n-0.3\n", Options{Noise: "0.1 K/W"}},
		`there is no column "lft"`:                  {heads + "20,30\n", Options{Columns: map[string]string{"lft": "a"}}},
		`there is no column "TC1"`:                  {heads + "20,30\n", Options{Columns: map[string]string{"left": "TC1"}, Noise: "1 K"}},
		"401 rows":                                  {heads + strings.Repeat("20,30\n", 401), Options{Noise: "1 K"}},
		"the file is empty":                         {"", Options{}},
		"rig.csv: line 2, column 1 (wall [degC])":   {heads + "x,y\n", Options{Noise: "1 K"}},
		"\nrig.csv: line 2, column 2 (left [degC])": {heads + "x,y\n", Options{Noise: "1 K"}},
	} {
		_, err := Read("rig.csv", []byte(c.text), c.o)
		assert.ErrorContains(t, err, want)
	}
}

func TestConditionsThatDoNotFitAreRefused(t *testing.T) {
	s := demo(t)
	pressure := *s.Input("gas.pressure")
	pressure.Nominal = 1e5
	constant := *s.Input("contact.factor")
	constant.Dist = nil
	for want, c := range map[string]struct {
		head, row string
		study     *study.Study
		update    []string
	}{
		"line 2 (torque): 300 N·m, allowed is": {"torque [N*m],left [degC]", "300,30", s, []string{"contact.factor"}},
		"the study gives gas.pressure":         {"altitude [m],left [degC]", "0,30", s.WithInput(pressure), []string{"contact.factor"}},
		"contact.factor is a constant":         {"left [degC]", "30", s.WithInput(constant), []string{"contact.factor"}},
		"no input \"contact.facto\"":           {"left [degC]", "30", s, []string{"contact.facto"}},
		"updated twice":                        {"left [degC]", "30", s, []string{"friction.ramp", "friction.ramp"}},
		"drawn anew per face":                  {"left [degC]", "30", s, []string{"contact.face_factor"}},
		"card.power is drawn anew per card":    {"left [degC]", "30", s, []string{"card.power"}},
		"wall.temperature is set by the table": {"wall [degC],left [degC]", "20,30", s, []string{"wall.temperature"}},
		"4 inputs to update":                   {"left [degC]", "30", s, []string{"a", "b", "c", "d"}},
		"correlated with screw.head_friction":  {"left [degC]", "30", s, []string{"screw.thread_friction"}},
	} {
		table := parsed(t, c.head+"\n"+c.row+"\n", Options{Noise: "1 K"})
		_, err := table.Calibrate(c.study, c.update)
		assert.ErrorContains(t, err, want)
	}
}

func TestRowsShareWhatTheyShould(t *testing.T) {
	table := parsed(t, "card,torque [N*m],left [degC],right [degC]\nA,0.7,30,31\nA,0.7,30,31\nA,0.6,30,31\nA,0.7,30,31\nB,0.7,30,31\n", Options{Noise: "1 K"})
	assert.Equal(t, []int{0, 0, 1, 2, 3}, table.setups())
	c, err := table.Calibrate(demo(t), []string{"contact.factor"})
	require.NoError(t, err)
	require.Len(t, c.Problem.Observations, 10)
	assert.Equal(t, 3, c.Problem.Observations[8].Setup)
	assert.Equal(t, 1, c.Problem.Observations[9].Unit)
	shared := map[string]calibrate.Sharing{}
	for _, v := range c.Problem.Variables {
		shared[v.Name] = v.Sharing
	}
	assert.NotContains(t, shared, "contact.factor")
	assert.Equal(t, calibrate.PerLot, shared["friction.ramp"], "all rows are of one lot here, and share it")
	assert.Equal(t, calibrate.Common, shared["clamp.hardness"])
	assert.Equal(t, calibrate.PerSetup, shared["screw.torque/left"])
	assert.Equal(t, calibrate.PerUnit, shared["slot.width/left"])
	assert.Equal(t, calibrate.PerUnit, shared["contact.face_factor/left/ramp/1"])
}

// The response at the medians of everything is the study's own card at these
// medians, with the row's torque, power, wall and altitude in place.
func TestResponseIsTheStudysCard(t *testing.T) {
	s := demo(t)
	table := parsed(t, "torque [N*m],power [W],wall [degC],altitude [m],left [degC],hidden\n0.6,80,25,150,30,1\n0.7,100,64,9000,70,1\n", Options{Noise: "1 K"})
	c, err := table.Calibrate(s, []string{"contact.factor"})
	require.NoError(t, err)
	scores := make([][]float64, len(c.Problem.Variables))
	for i := range scores {
		scores[i] = []float64{0}
	}
	y := [][]float64{{0}, {0}}
	c.Problem.Model(scores)([]float64{0.9}, y)
	for row, want := range []struct{ torque, share, wall, altitude float64 }{{0.6 / 0.7, 0.8, 298.15, 150}, {1, 1, 337.15, 9000}} {
		altitude := *s.Input("gas.altitude")
		altitude.Nominal = want.altitude
		with := s.WithInput(altitude)
		variables, _ := with.Variables()
		x := make([][]float64, len(variables))
		for i, v := range variables {
			value := v.Dist.Quantile(0.5)
			switch v.Input {
			case "screw.torque":
				value *= want.torque
			case "card.power", "component.correlator.power", "component.converter.power":
				value = s.Input(v.Input).Nominal * want.share
			case "wall.temperature":
				value = want.wall
			case "contact.factor":
				value = 0.9
			}
			x[i] = []float64{value}
		}
		m, err := with.Model()
		require.NoError(t, err)
		out := batch.Columns(len(m.Outputs()), 1)
		m.Evaluate(x, out)
		require.Equal(t, "edge.left", m.Outputs()[0].Name)
		assert.InDelta(t, out[0][0], c.Scale.From(row, y[row][0]), 1e-9) // the same card, through a logarithm
	}
}

func TestTorqueKeepsItsScatter(t *testing.T) {
	s := demo(t)
	table := parsed(t, "torque [N*m],left [degC]\n0.35,30\n", Options{Noise: "1 K"})
	m, err := newModel(s, table, []string{"contact.factor"})
	require.NoError(t, err)
	assert.InDeltaSlice(t, []float64{0.35, 0.36}, m.tightened([]float64{0.70, 0.72}, 0.70, 0.35), 1e-15)
	s.Tool.Scatter = study.Absolute
	assert.InDeltaSlice(t, []float64{0.35, 0.37}, m.tightened([]float64{0.70, 0.72}, 0.70, 0.35), 1e-15)
}

func TestUpdateOfCorrelatedInputsTogether(t *testing.T) {
	table := parsed(t, "wall [degC],left [degC]\n20,30\n", Options{Noise: "1 K"})
	c, err := table.Calibrate(demo(t), []string{"screw.head_friction", "screw.thread_friction"})
	require.NoError(t, err)
	assert.InDelta(t, 0.618, c.Problem.Correlation.At(0, 1), 0.001, "2 sin(pi 0.6/6)")
	assert.Equal(t, "screw.head_friction", c.Problem.Parameters[0].Name)
}

func TestMissingConditionsAreSaid(t *testing.T) {
	s := demo(t)
	table := parsed(t, "torque [N*m],left [degC]\n0.7,80\n", Options{Noise: "1 K"})
	assumed := strings.Join(table.Assumed(s), "; ")
	for _, want := range []string{"all rows are taken as readings of one card", "tightenings: 1;", "power 100 W with its scatter", "wall 55 °C with its scatter", "altitude 9 km"} {
		assert.Contains(t, assumed, want)
	}
	assert.NotContains(t, assumed, "torque 0.7")
	text, err := os.ReadFile(folder + "rig.csv")
	require.NoError(t, err)
	table = parsed(t, string(text), Options{Noise: "0.2 K"})
	assert.Equal(t, []string{"3 cards of one lot", "tightenings: 12; rows that follow one another with the same card and torque are one"}, table.Assumed(s))
	assert.Equal(t, sim.Design, s.Input("contact.factor").Level)
}
