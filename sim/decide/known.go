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
