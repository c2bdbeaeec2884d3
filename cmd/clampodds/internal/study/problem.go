package study

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// Problem is one thing wrong with a study.
type Problem struct {
	File string
	Line int // from 1; 0 when the file as a whole is meant
	// Key is the full key, "screw.torque.mean"; empty for a problem of syntax.
	Key string
	// Value is the value as the study has it, strings in quotes; empty when there
	// is none, or when it is a table.
	Value   string
	Message string
	Hint    string // may be empty
}

// String is the problem in one line:
//
//	two-face.toml:12: screw.torque = "70 N*m": allowed is 0 to 20 N·m (hint)
func (p Problem) String() string {
	var b strings.Builder
	b.WriteString(p.File)
	if p.Line > 0 {
		b.WriteString(":" + strconv.Itoa(p.Line))
	}
	b.WriteString(": ")
	if p.Key != "" {
		b.WriteString(p.Key)
		if p.Value != "" {
			b.WriteString(" = " + p.Value)
		}
		b.WriteString(": ")
	}
	b.WriteString(p.Message)
	if p.Hint != "" {
		b.WriteString(" (" + p.Hint + ")")
	}
	return b.String()
}

// Problems is everything wrong with a study, in the order of its lines. It is
// the error that Load and Parse return.
type Problems []Problem

// Error has one line for each problem.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i := range p {
		lines[i] = p[i].String()
	}
	return strings.Join(lines, "\n")
}

// sort puts the problems in the order of files (bases first) and lines, each
// once: a condition finds again what the study it belongs to has found.
func (p Problems) sort(files []string) Problems {
	var sorted Problems
	seen := map[Problem]bool{}
	for _, problem := range p {
		if !seen[problem] {
			sorted = append(sorted, problem)
		}
		seen[problem] = true
	}
	slices.SortStableFunc(sorted, func(a, b Problem) int {
		return cmp.Or(
			cmp.Compare(slices.Index(files, a.File), slices.Index(files, b.File)),
			cmp.Compare(a.Line, b.Line))
	})
	return sorted
}

// maxQuoted bounds how much of a text a problem repeats, bytes.
const maxQuoted = 100

// quoted is a value of the file as a problem shows it.
func quoted(value any) string {
	switch v := value.(type) {
	case string:
		if len(v) > maxQuoted {
			v = strings.ToValidUTF8(v[:maxQuoted], "") + "..."
		}
		return strconv.Quote(v)
	case map[string]any, []any, nil:
		return ""
	}
	return fmt.Sprint(value)
}

// didYouMean is the hint that names the known word nearest to the one typed, or
// nothing when none is near.
func didYouMean(typed string, known []string) string {
	if len(typed) > maxQuoted {
		return "" // no slip of the pen
	}
	best, bestDistance := "", 1+max(2, len(typed)/3)
	for _, k := range slices.Sorted(slices.Values(known)) {
		d := editDistance(typed, k)
		if d < bestDistance || d == bestDistance && best != "" && alike(typed, k) > alike(typed, best) {
			best, bestDistance = k, d
		}
	}
	if best == "" {
		best = beginning(typed, known)
	}
	if best == "" {
		best = strings.Join(kindred(typed, known), " or ")
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf("did you mean %s?", best)
}

// DidYouMean is that hint in brackets behind a blank, for other messages.
func DidYouMean(typed string, known []string) string {
	if hint := didYouMean(typed, known); hint != "" {
		return " (" + hint + ")"
	}
	return ""
}

// NearestFile is that hint for a file that is not there: the one beside it with the nearest name; empty for another error.
func NearestFile(file string, err error) string {
	if hint := nearestFile(file, err); hint != "" {
		return " (" + hint + ")"
	}
	return ""
}

func nearestFile(file string, err error) string {
	if !errors.Is(err, fs.ErrNotExist) {
		return ""
	}
	beside, _ := filepath.Glob(filepath.Join(filepath.Dir(file), "*")) // fails for a bad pattern only
	return didYouMean(filepath.Clean(file), beside)
}

// kindred are the known names, a few at most, of several words that begin as most of those typed: "hard anodised" is a hard anodic film.
func kindred(typed string, known []string) (list []string) {
	const least, letters, most = 4, 5, 3
	best := 1
	for _, k := range known {
		shared, words := 0, strings.Fields(k)
		for _, t := range strings.Fields(typed) {
			if len(t) >= least && len(words) > 1 && slices.ContainsFunc(words, func(w string) bool { return strings.HasPrefix(w, t[:min(letters, len(t))]) }) {
				shared++
			}
		}
		if shared > best {
			best, list = shared, nil
		}
		if shared == best {
			list = append(list, k)
		}
	}
	if len(list) > most {
		return nil
	}
	return list
}

// beginning is the one known word that begins with what was typed; empty where there are none or several. Of a key the
// last part is what is cut short.
func beginning(typed string, known []string) (found string) {
	if last := typed[strings.LastIndex(typed, ".")+1:]; len(last) < 3 {
		return ""
	}
	for _, k := range known {
		if strings.HasPrefix(k, typed) && !strings.Contains(k[len(typed):], ".") {
			if found != "" {
				return ""
			}
			found = k
		}
	}
	return found
}

// alike is how many letters at the beginning are the same: a slip is rarely in the first ones.
func alike(a, b string) (n int) {
	for n < min(len(a), len(b)) && a[n] == b[n] {
		n++
	}
	return n
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
