package study

import (
	"fmt"
	"slices"
)

// didYouMean is the hint that names the known word nearest to the one typed, or
// nothing when none is near.
func didYouMean(typed string, known []string) string {
	if len(typed) > maxQuoted {
		return "" // no slip of the pen
	}
	best, bestDistance := "", 1+max(2, len(typed)/3)
	for _, k := range slices.Sorted(slices.Values(known)) {
		if d := editDistance(typed, k); d < bestDistance {
			best, bestDistance = k, d
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf("did you mean %s?", best)
}

// editDistance is the Levenshtein distance in bytes: insertions, deletions and
// replacements that turn a into b.
func editDistance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diagonal
			if a[i] != b[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, diagonal+1)
		}
	}
	return row[len(b)]
}
