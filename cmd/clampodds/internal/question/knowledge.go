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
			q.PerCard = reports.NewEstimate(record.Mean)
		}
		q.Verdict = record.Verdict.String()
		u := record.Unknown
		if u == nil {
			continue
		}
		r.Result.Knowledge = append(r.Result.Knowledge, reports.Unknown{
			Name: q.Name, Label: q.Label, Mixed: reports.NewEstimate(record.Mean), Median: reports.NewEstimate(u.Median), Below: reports.NewEstimate(record.Bound),
			Confidence: real(u.Confidence), Inputs: u.Inputs, Evaluations: u.Evaluations,
			Spread: real(u.Spread), Misfit: real(u.Misfit),
		})
		for _, w := range u.Warnings {
			r.Result.Warnings = append(r.Result.Warnings, reports.Warning{Code: string(w.Code), Text: q.Label + ": " + w.Text})
		}
	}
}
