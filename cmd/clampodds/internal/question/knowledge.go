package question

import (
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// AddRecords puts the numbers of record in the place of the counts of the cards that are
// shown, and keeps apart what is not known.
func (r *Counted) AddRecords(records []decide.Record) {
	for i, record := range records {
		if record.Verdict == sim.NoTarget {
			continue // nothing was judged: the count stands
		}
		q := &r.Result.Requirements[i]
		if u := r.Result.Until; u == nil || u.Limit != q.Name {
			if counted := q.PerCard; reports.CountedNarrower*(counted.High-counted.Low) <= record.Mean.High-record.Mean.Low {
				q.Counted = &counted
			}
			q.PerCard = record.Mean
		}
		q.Verdict = record.Verdict.String()
		u := record.Unknown
		if u == nil {
			continue
		}
		r.Result.Knowledge = append(r.Result.Knowledge, reports.Unknown{
			Name: q.Name, Label: q.Label, Mixed: record.Mean, Median: u.Median, Below: record.Bound,
			Confidence: u.Confidence, Inputs: u.Inputs, Evaluations: u.Evaluations,
			Spread: u.Spread, Misfit: u.Misfit,
		})
		for _, w := range u.Warnings {
			r.Result.Warnings = append(r.Result.Warnings, reports.Warning{Code: w.Code, Text: q.Label + ": " + w.Text})
		}
	}
}
