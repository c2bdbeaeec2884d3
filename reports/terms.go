package reports

// Terms explains the words and signs of a report.
func Terms() *Table {
	t := newTable("terms", "Symbols and terms", texts("term", "meaning"))
	for _, row := range [][]string{
		{"probability per card, per chassis", "share of cards that exceed the limit; of chassis with at least one such card"},
		{"number of record", "the probability that decides: a function of study, condition, requirement and seed, the same in every command"},
		{"low, high; a … b; (a to b)", "ends of the interval of the sampling, at the level stated; more cards narrow it"},
		{"none seen, ≤", "no card exceeded; the probability is below the bound, at the level stated"},
		{"7.2e-4", "7.2 times ten to the power of -4: 0.72 in 1000"},
		{"lack of knowledge, *", "one number for the whole design that is not known; readings or a test narrow it, cards do not"},
		{"met, not met, undecided", "upper ends, of the sampling and over what is not known, at or below the target; lower end above it; neither"},
		{"P1 … P99.9", "percentiles: P99 is exceeded by one card in a hundred"},
		{"sd", "standard deviation"},
		{"spot, edge", "hottest node of the flange edges; mean of an edge"},
		{"contact factor", "measured over computed conductance of the faces: the error of the correlations, median 1"},
	} {
		t.AddRow(row...)
	}
	return t
}
