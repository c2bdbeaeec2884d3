package acceptance

// Row is one plan of a table of operating characteristics.
type Row struct {
	Plan Plan
	// Probability of acceptance at each share of defectives asked for.
	Probability []float64
	// Quality is the share of defectives at each probability of acceptance
	// asked for.
	Quality []float64
}

// Table returns one row per plan: Plan.Probability at each of defectives (in
// [0, 1]) and Plan.Quality at each of probabilities (in (0, 1)).
func Table(plans []Plan, defectives, probabilities []float64) []Row {
	rows := make([]Row, len(plans))
	for i, plan := range plans {
		rows[i].Plan = plan
		for _, p := range defectives {
			rows[i].Probability = append(rows[i].Probability, plan.Probability(p))
		}
		for _, pa := range probabilities {
			rows[i].Quality = append(rows[i].Quality, plan.Quality(pa))
		}
	}
	return rows
}
