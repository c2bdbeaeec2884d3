package readings

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Problem is one thing wrong with a file.
type Problem struct {
	Line    int    // from 1; 0 when the file as a whole is meant
	Column  int    // from 1; 0 when the line as a whole is meant
	Header  string // of the column; may be empty
	Value   string // the cell, cut to 40 bytes; empty when no cell is meant
	Message string
	Hint    string // may be empty
}

// String is the problem in one line:
//
//	line 12, column 3 (torque): "2,48": not a number (with decimal commas?)
func (p Problem) String() string {
	var parts []string
	if p.Line > 0 {
		place := "line " + strconv.Itoa(p.Line)
		if p.Column > 0 {
			place += ", column " + strconv.Itoa(p.Column)
			if p.Header != "" {
				place += " (" + p.Header + ")"
			}
		}
		parts = append(parts, place)
	}
	if p.Value != "" {
		parts = append(parts, strconv.Quote(p.Value))
	}
	text := strings.Join(append(parts, p.Message), ": ")
	if p.Hint != "" {
		text += " (" + p.Hint + ")"
	}
	return text
}

// Error is String, so that a problem that ends the reading can be an error.
func (p Problem) Error() string { return p.String() }

// mostProblems is how many problems are listed; the rest is counted.
const mostProblems = 50

// Problems is everything wrong with a file, in the order of its lines: the first
// 50, and the number of the others.
type Problems struct {
	Listed []Problem
	More   int
}

// Error has one line for each listed problem.
func (p *Problems) Error() string {
	lines := make([]string, len(p.Listed))
	for i := range p.Listed {
		lines[i] = p.Listed[i].String()
	}
	if p.More > 0 {
		lines = append(lines, fmt.Sprintf("and %d more", p.More))
	}
	return strings.Join(lines, "\n")
}

func (p *Problems) add(problem Problem) {
	const longest = 40
	if len(problem.Value) > longest {
		problem.Value = problem.Value[:longest] + "..."
	}
	if len(p.Listed) == mostProblems {
		p.More++
		return
	}
	p.Listed = append(p.Listed, problem)
}

// merge adds other problems of the file, in the order of the lines.
func (p *Problems) merge(other Problems) {
	all := slices.Concat(p.Listed, other.Listed)
	slices.SortStableFunc(all, func(a, b Problem) int { return cmp.Compare(a.Line, b.Line) })
	listed := min(len(all), mostProblems)
	p.Listed, p.More = all[:listed], p.More+other.More+len(all)-listed
}

// err is p as an error, nil if there is no problem.
func (p *Problems) err() error {
	if len(p.Listed) == 0 {
		return nil
	}
	return p
}
