package card

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func names(list []Instance) (out []string) {
	for _, at := range list {
		out = append(out, at.Name)
	}
	return out
}

func TestParametersAreSound(t *testing.T) {
	for _, family := range []Family{TwoFace, FourFace} {
		l := testLayout(family, 5)
		seen := map[string]bool{}
		for _, p := range Parameters(&l) {
			assert.Regexp(t, `^[a-z]+(\.[a-z0-9_-]+)+$`, p.Key)
			assert.False(t, seen[p.Key], "%s twice", p.Key)
			seen[p.Key] = true
			assert.NotEmpty(t, p.Unit, p.Key)
			assert.NotEmpty(t, p.Meaning, p.Key)
			assert.Contains(t, []Scope{PerCard, PerEdge, PerFace}, p.Scope, p.Key)
			assert.Less(t, p.Low, p.High, p.Key)
			assert.LessOrEqual(t, p.UsualLow, p.UsualHigh, p.Key)
			assert.GreaterOrEqual(t, p.UsualLow, min(p.Low, 0), p.Key)
			assert.LessOrEqual(t, p.UsualHigh, p.High, p.Key)
			assert.True(t, p.Required() || p.allows(p.Default), "%s: default %g", p.Key, p.Default)
		}
		assert.Equal(t, family == FourFace, seen["clamp.skew"])
		assert.Equal(t, family == FourFace, seen["face.rib.crown"])
		assert.True(t, seen["component.fpga.power"])
		assert.True(t, seen["rail.allowable"])
	}
}

func TestInstances(t *testing.T) {
	l := testLayout(FourFace, 3)
	b, err := NewBinding(&l)
	require.NoError(t, err)
	assert.Equal(t, []string{"left", "right"}, names(b.Instances("wall.temperature")))
	assert.Equal(t, []string{""}, names(b.Instances("card.power")))
	assert.Equal(t, []string{"left", "right"}, names(b.Instances("screw.torque")))
	assert.Equal(t, []string{"left/1", "left/2", "left/3", "right/1", "right/2", "right/3"}, names(b.Instances("face.direct.crown")))
	assert.Equal(t, []string{"left/1", "left/3", "right/1", "right/3"}, names(b.Instances("face.side.film")))
	assert.Equal(t, []string{"left/2", "right/2"}, names(b.Instances("face.upper.taper")))
	assert.Equal(t, []string{"left/1", "left/2", "right/1", "right/2"}, names(b.Instances("face.ramp.crown")))
	assert.Equal(t, []string{
		"left/direct/1", "left/piece/1", "left/side/1", "left/ramp/1",
		"left/direct/2", "left/upper/2", "left/rib/2", "left/ramp/2",
		"left/direct/3", "left/piece/3", "left/side/3",
	}, names(b.Instances("contact.face_factor"))[:11])
	assert.Equal(t, Instance{Edge: 1, Face: 1, Name: "right/3"}, b.Instances("face.piece.crown")[3])
	assert.Nil(t, b.Instances("screw.colour"))
}

// Every slot of the input vector belongs to one instance of one parameter, but
// for those the family does not have.
func TestSlotsAreDistinct(t *testing.T) {
	l := testLayout(FourFace, 7)
	b, err := NewBinding(&l)
	require.NoError(t, err)
	owner := map[int]string{}
	for _, r := range b.rows {
		for j, slot := range r.slots {
			assert.Empty(t, owner[slot], "%s at %s", r.Key, r.instances[j].Name)
			owner[slot] = r.Key
		}
	}
	// Direct and upper faces have all four properties, the other kinds no taper.
	assert.Len(t, owner, len(b.sources)-edges*(len(l.faces())-7-3))
}

func TestSetRefuses(t *testing.T) {
	l := testLayout(TwoFace, 5)
	b, err := NewBinding(&l)
	require.NoError(t, err)
	cases := map[string]struct {
		key        string
		edge, face int
		source     Source
		says       string
	}{
		"unknown":      {"screw.colour", -1, -1, Constant(1), "screw.colour: no such input for a two-face clamp"},
		"other family": {"clamp.skew", -1, -1, Constant(0.5), "clamp.skew: no such input"},
		"too low":      {"screw.torque", -1, -1, Constant(-1), "screw.torque: -1 N*m is outside the allowed range of 0 to 200 N*m"},
		"not a number": {"screw.torque", -1, -1, Constant(math.NaN()), "outside the allowed range"},
		"zero":         {"flange.modulus", -1, -1, Constant(0), "outside the allowed range"},
		"edge":         {"screw.torque", 2, -1, Constant(1), "no edge 2"},
		"face":         {"face.upper.crown", 0, 2, Constant(0), "no edge 0 with face 2"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			assert.ErrorContains(t, b.Set(c.key, c.edge, c.face, c.source), c.says)
		})
	}
	assert.NoError(t, b.Set("flange.yield", -1, -1, Constant(0)), "0 stands for not judged")
}

func TestNewWantsEveryInput(t *testing.T) {
	l := testLayout(TwoFace, 3)
	b, err := NewBinding(&l)
	require.NoError(t, err)
	_, err = New(b)
	assert.ErrorContains(t, err, "screw.torque/right: no value")
	assert.ErrorContains(t, err, "face.ramp.crown/left/2: no value")
	assert.ErrorContains(t, err, "component.fpga.power: no value")

	b = testBinding(t, l, map[string]float64{"screw.engagement": 0, "screw.nut_shear": 0})
	_, err = New(b)
	require.NoError(t, err)

	require.NoError(t, b.Set("screw.nut_shear", 1, -1, Constant(2e8)))
	_, err = New(b)
	assert.ErrorContains(t, err, "screw.engagement: no value at the right edge")
	require.NoError(t, b.Set("screw.engagement", 1, -1, FromColumn(0)))
	_, err = New(b)
	assert.NoError(t, err)

	require.NoError(t, b.Set("card.acceleration", -1, -1, Constant(0)))
	_, err = New(b)
	assert.ErrorContains(t, err, "card.acceleration: no value")
	require.NoError(t, b.Set("card.acceleration", -1, -1, Constant(1)))
	require.NoError(t, b.Set("clamp.expansion", 0, -1, Constant(2e-5)))
	_, err = New(b)
	assert.ErrorContains(t, err, "screw.expansion, screw.modulus, screw.assembly_temperature, clamp.screw_train_area: no value at the left edge")
}

func TestLayoutValidate(t *testing.T) {
	good := testLayout(TwoFace, 5)
	require.NoError(t, good.Validate())
	cases := map[string]struct {
		spoil func(*Layout)
		says  string
	}{
		"family":     {func(l *Layout) { l.Family = 0 }, "layout family 0"},
		"pieces":     {func(l *Layout) { l.Pieces = 4 }, "4 pieces"},
		"anchor":     {func(l *Layout) { l.Anchor = 0 }, "anchor"},
		"thread":     {func(l *Layout) { l.Thread.Pitch = math.NaN() }, "layout thread"},
		"gas":        {func(l *Layout) { l.Gas = 0 }, "layout: gas"},
		"component":  {func(l *Layout) { l.Components = []string{"FPGA 1"} }, `layout component "FPGA 1"`},
		"components": {func(l *Layout) { l.Components = []string{"fpga", "fpga"} }, "named twice"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			l := good
			c.spoil(&l)
			assert.ErrorContains(t, l.Validate(), c.says)
			_, err := NewBinding(&l)
			assert.Error(t, err)
		})
	}
}
