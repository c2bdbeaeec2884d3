package decide

import "context"

// known are records that are judged already, by setting and place: a search meets many
// twice. The zero value has none.
type known map[float64]map[Place]Record

func (k *known) keep(setting float64, p Place, r Record) {
	if *k == nil {
		*k = known{}
	}
	if (*k)[setting] == nil {
		(*k)[setting] = map[Place]Record{}
	}
	(*k)[setting][p] = r
}

// judged is the record at a place of the members that at makes at a setting, judged once.
func (k *known) judged(ctx context.Context, s *Setup, at func(float64) ([]Member, error), setting float64, p Place) (Record, error) {
	if r, ok := (*k)[setting][p]; ok {
		return r, nil
	}
	members, err := at(setting)
	if err != nil {
		return Record{}, err
	}
	r, err := s.Record(ctx, members[p.Member].Scenario, p.Requirement)
	if err == nil {
		k.keep(setting, p, r)
	}
	return r, err
}
