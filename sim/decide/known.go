package decide

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

// judged is the record at a place and setting, judged once.
func (k *known) judged(setting float64, p Place, judge func() (Record, error)) (Record, error) {
	if r, ok := (*k)[setting][p]; ok {
		return r, nil
	}
	r, err := judge()
	if err == nil {
		k.keep(setting, p, r)
	}
	return r, err
}
