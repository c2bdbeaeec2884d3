package question

import (
	"fmt"
	"strconv"
	"strings"
)

// DivisionOf reads a part as typed, N/M, or takes it from the variables that Slurm sets in an array job.
func DivisionOf(typed string, getenv func(string) string) (Division, error) {
	wrong := func(format string, values ...any) (Division, error) {
		return Division{}, fmt.Errorf(format, values...)
	}
	number := func(text string) (int, bool) {
		n, err := strconv.Atoi(text)
		return n, err == nil && n >= 1 && n <= MostParts
	}
	part, parts, ok := strings.Cut(typed, "/")
	if typed != "" && !ok {
		return wrong("--part %q: N/M expected, 3/16", typed)
	}
	if part == "" {
		part = getenv("SLURM_ARRAY_TASK_ID")
	}
	if typed == "" {
		// An array of some of the tasks, to repeat them, has another count: it has to name M.
		parts = getenv("SLURM_ARRAY_TASK_COUNT")
		if getenv("SLURM_ARRAY_TASK_MIN") != "1" || getenv("SLURM_ARRAY_TASK_MAX") != parts {
			return wrong("-o: which part? Give --part N/M, or --part /M in a Slurm array job; without it that has to be from 1 to M")
		}
	}
	n, okN := number(part)
	m, okM := number(parts)
	switch {
	case part == "":
		return wrong("--part %s: no SLURM_ARRAY_TASK_ID tells which; give N/M", typed)
	case !okN || !okM || n > m:
		return wrong("part %s/%s: N/M expected, N from 1 to M, M up to %d", part, parts, MostParts)
	}
	return Division{Number: n, Parts: m}, nil
}
