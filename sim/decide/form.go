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
	Ever    []sim.Estimate
	Rows    int
	// Exceeds has a bit of each row, by member and requirement.
	Exceeds [][][]byte
}

// MarshalBinary writes what was judged. It does not say of which members, seed and accuracy: whoever
// keeps it has to. The form is that of one version of this module.
func (m *Mission) MarshalBinary() ([]byte, error) {
	form := missionForm{Records: m.Records, Verdict: m.Verdict, Worst: m.Worst, Ever: m.Ever}
	for _, member := range m.exceeds {
		var bits [][]byte
		for _, rows := range member {
			form.Rows = len(rows)
			bits = append(bits, packBits(rows))
		}
		form.Exceeds = append(form.Exceeds, bits)
	}
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(form)
	return b.Bytes(), err
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
	m := &Mission{Members: members, Records: form.Records, Verdict: form.Verdict, Worst: form.Worst, Ever: form.Ever}
	for _, member := range form.Exceeds {
		var rows [][]bool
		for _, bits := range member {
			rows = append(rows, unpackBits(bits, form.Rows))
		}
		m.exceeds = append(m.exceeds, rows)
	}
	return m, nil
}

func packBits(yes []bool) []byte {
	b := make([]byte, (len(yes)+7)/8)
	for i, y := range yes {
		if y {
			b[i/8] |= 1 << (i % 8)
		}
	}
	return b
}

func unpackBits(b []byte, n int) []bool {
	yes := make([]bool, min(n, 8*len(b)))
	for i := range yes {
		yes[i] = b[i/8]>>(i%8)&1 == 1
	}
	return yes
}

// changedForm is what is kept of a change: all but its missions.
type changedForm struct {
	Changes                  []ChangeRecord
	Difference, Target, Safe sim.Verdict
	Deciding, Judged         int
}

// MarshalBinary writes what a change does, without its missions.
func (r *Changed) MarshalBinary() ([]byte, error) {
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(changedForm{r.Changes, r.Difference, r.Target, r.Safe, r.Deciding, r.Judged})
	return b.Bytes(), err
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
