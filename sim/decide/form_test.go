package decide

import (
	"reflect"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is kept of missions and of a change is all of it: written again it is the same bytes, and
// a change judged from it is the same.
func TestKeptMissionsAreThoseJudged(t *testing.T) {
	members := []Member{hotter(t, "as written", 0, 0.01), hotter(t, "hot day", 0.3, 0.01)}
	after := []Member{hotter(t, "as written", 0.1, 0.01), hotter(t, "hot day", 0.4, 0.01)}
	s := setup(0, 3)
	var missions, kept [2]*Mission
	var texts [2][]byte
	for i, m := range [][]Member{members, after} {
		var err error
		missions[i], err = s.Mission(background, m)
		require.NoError(t, err)
		texts[i], err = missions[i].MarshalBinary()
		require.NoError(t, err)
		kept[i], err = ReadMission(m, texts[i])
		require.NoError(t, err)
		again, err := kept[i].MarshalBinary()
		require.NoError(t, err)
		assert.Equal(t, texts[i], again)
		assert.Equal(t, missions[i].Worst, kept[i].Worst)
	}
	c := Change{Setup: s, Margin: Margin{Kind: Absolute, Value: 0.005}}
	judged, err := c.Judge(background, missions[0], missions[1])
	require.NoError(t, err)
	want, err := judged.MarshalBinary()
	require.NoError(t, err)
	judged, err = c.Judge(background, kept[0], kept[1])
	require.NoError(t, err)
	got, err := judged.MarshalBinary()
	require.NoError(t, err)
	assert.Equal(t, want, got)
	read, err := ReadChanged(kept[0], kept[1], want)
	require.NoError(t, err)
	assert.Equal(t, judged.Safe, read.Safe)
	again, err := read.MarshalBinary()
	require.NoError(t, err)
	assert.Equal(t, want, again)

	_, err = ReadMission(members[:1], texts[0])
	assert.ErrorContains(t, err, "2 conditions, not 1")
	members[1].Requirements[0].Limit++
	_, err = ReadMission(members, texts[0])
	assert.ErrorContains(t, err, "not those of hot day")
	_, err = ReadMission(after, texts[1][:len(texts[1])/2])
	assert.Error(t, err)
	read.Changes[0].After.Member = 2
	text, err := read.MarshalBinary()
	require.NoError(t, err)
	_, err = ReadChanged(kept[0], kept[1], text)
	assert.ErrorContains(t, err, "of other missions")
}

// What is kept of a window is all of it but what its search alone used.
func TestKeptWindowsAreThoseFound(t *testing.T) {
	w := window(t, joint{120, 60, 1e-2, 1e-2}.adjust(t, 1))
	text, err := w.MarshalBinary()
	require.NoError(t, err)
	kept, err := ReadWindow(text)
	require.NoError(t, err)
	for _, field := range reflect.VisibleFields(reflect.TypeFor[Window]()) {
		if !slices.Contains([]string{"Curves", "Never"}, field.Name) {
			assert.Equal(t, reflect.ValueOf(*w).FieldByIndex(field.Index).Interface(), reflect.ValueOf(*kept).FieldByIndex(field.Index).Interface(), field.Name)
		}
	}
	for _, of := range []*Window{w, kept} {
		for i := range of.Curves {
			for k := range of.Curves[i].Points {
				p := &of.Curves[i].Points[k]
				p.guess, p.margin, p.sharp = 0, 0, false
			}
		}
	}
	assert.Equal(t, w.Curves, kept.Curves)
	again, err := kept.MarshalBinary()
	require.NoError(t, err)
	assert.Equal(t, text, again)
	_, err = ReadWindow(text[:len(text)/2])
	assert.Error(t, err)
}

// A search that goes on from what it kept finds the same and does no step again.
func TestAWindowGoesOnFromItsSteps(t *testing.T) {
	want := missionWindow(t, 1, 2, 6)
	kept := map[string][]byte{}
	did := 0
	var mutex sync.Mutex
	a := missionAdjust(t, 1, 2, 6)
	a.Once = func(step string, do func() ([]byte, error), read func([]byte) error) error {
		mutex.Lock()
		text, ok := kept[step]
		mutex.Unlock()
		if ok {
			return read(text)
		}
		text, err := do()
		mutex.Lock()
		defer mutex.Unlock()
		did++
		kept[step] = text
		return err
	}
	for range 2 {
		got, err := a.Window(background)
		require.NoError(t, err)
		assert.Equal(t, want.Lower, got.Lower)
		assert.Equal(t, want.Upper, got.Upper)
		assert.Equal(t, want.Tolerance, got.Tolerance)
	}
	assert.Len(t, kept, did)
	assert.Greater(t, did, 4)
	for step := range kept {
		kept[step] = nil
		break
	}
	_, err := a.Window(background)
	assert.Error(t, err, "what is damaged is no step")
}
