package decide

import (
	"bytes"
	"encoding/gob"
	"errors"
	"fmt"
	"slices"

	"clampodds/sim"
)

// missionForm is what is kept of a mission: all but the members, which whoever reads it has.
type missionForm struct {
	Records [][]Record
	Verdict sim.Verdict
	Worst   Place
	Exceeds [][][]bool
	Margins [][]float64
}

// MarshalBinary writes what was judged. It does not say of which members, seed and accuracy: whoever
// keeps it has to. The form is that of one version of this module.
func (m *Mission) MarshalBinary() ([]byte, error) {
	return encoded(missionForm{m.Records, m.Verdict, m.Worst, m.exceeds, m.margins})
}

// ReadMission is the mission of these members of which MarshalBinary has written what was judged.
// Records of other requirements than theirs are an error.
func ReadMission(members []Member, text []byte) (*Mission, error) {
	var form missionForm
	if err := gob.NewDecoder(bytes.NewReader(text)).Decode(&form); err != nil {
		return nil, err
	}
	if len(form.Records) != len(members) {
		return nil, fmt.Errorf("it has %d conditions, not %d", len(form.Records), len(members))
	}
	for i, member := range members {
		if !slices.EqualFunc(form.Records[i], member.Requirements, func(r Record, q sim.Requirement) bool { return r.Requirement == q }) {
			return nil, fmt.Errorf("its requirements are not those of %s", member.Name)
		}
	}
	return &Mission{Members: members, Records: form.Records, Verdict: form.Verdict, Worst: form.Worst, exceeds: form.Exceeds, margins: form.Margins}, nil
}

// changedForm is what is kept of a change: all but its missions.
type changedForm struct {
	Changes                  []ChangeRecord
	Difference, Target, Safe sim.Verdict
	Deciding, Judged         int
}

// MarshalBinary writes what a change does, without its missions.
func (r *Changed) MarshalBinary() ([]byte, error) {
	return encoded(changedForm{r.Changes, r.Difference, r.Target, r.Safe, r.Deciding, r.Judged})
}

// ReadChanged is the change from one mission to another that MarshalBinary has written.
func ReadChanged(before, after *Mission, text []byte) (*Changed, error) {
	var f changedForm
	if err := gob.NewDecoder(bytes.NewReader(text)).Decode(&f); err != nil {
		return nil, err
	}
	for _, one := range f.Changes {
		if !before.has(one.Before) || !after.has(one.After) {
			return nil, errors.New("it is of other missions")
		}
	}
	return &Changed{Before: before, After: after, Changes: f.Changes, Difference: f.Difference, Target: f.Target, Safe: f.Safe, Deciding: f.Deciding, Judged: f.Judged}, nil
}

func (m *Mission) has(p Place) bool {
	return p.Member >= 0 && p.Member < len(m.Records) && p.Requirement >= 0 && p.Requirement < len(m.Records[p.Member])
}

func readRecord(q sim.Requirement, text []byte) (r Record, err error) {
	err = gob.NewDecoder(bytes.NewReader(text)).Decode(&r)
	if err == nil && r.Requirement != q {
		err = errors.New("it is of another requirement")
	}
	return r, err
}

// Once lets a search that takes long go on where one was ended: it does a step, told by a name that is its own
// among those of the search, and keeps what that wrote, or has what was kept read. It is called concurrently.
type Once func(step string, do func() ([]byte, error), read func([]byte) error) error

// do does a step where nothing is kept.
func (o Once) do(step string, do func() ([]byte, error), read func([]byte) error) error {
	if o != nil {
		return o(step, do, read)
	}
	_, err := do()
	return err
}

// MarshalBinary writes a window. It does not say of which design and search: whoever keeps it has to.
func (w *Window) MarshalBinary() ([]byte, error) {
	type form Window // without methods
	return encoded((*form)(w))
}

// ReadWindow is the window that MarshalBinary has written.
func ReadWindow(text []byte) (*Window, error) {
	type form Window
	w := &Window{}
	return w, gob.NewDecoder(bytes.NewReader(text)).Decode((*form)(w))
}

func encoded(form any) ([]byte, error) {
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(form)
	return b.Bytes(), err
}
