package readings

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"clampodds/dist/sheet"
)

// Problem is one thing wrong with a file.
type Problem struct {
	Line    int    // from 1; 0 when the file as a whole is meant
	Column  int    // from 1; 0 when the line as a whole is meant
	Sheet   bool   // Line and Column are those of a sheet: cell C7
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
	if place := p.Place(); place != "" {
		if p.Column > 0 && p.Header != "" {
			place += " (" + p.Header + ")"
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

// Place is where it is: "line 12, column 3", "cell C12", empty for the file as a whole.
func (p Problem) Place() string {
	switch {
	case p.Line == 0:
		return ""
	case p.Sheet && p.Column > 0:
		return "cell " + sheet.Cell(p.Column, p.Line)
	case p.Sheet:
		return "row " + strconv.Itoa(p.Line)
	case p.Column > 0:
		return fmt.Sprintf("line %d, column %d", p.Line, p.Column)
	}
	return "line " + strconv.Itoa(p.Line)
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

	sheet bool // of a workbook
	// commas counts the lines with decimal commas where none are expected, by what is said of them
	// at the first, which alone is listed.
	commas map[string]int
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
	problem.Sheet = p.sheet
	if hint := problem.Hint; hint == decimalCommas || hint == commasSplitThem {
		if p.commas == nil {
			p.commas = map[string]int{}
		}
		if p.commas[hint]++; p.commas[hint] > 1 {
			return
		}
	}
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

// countCommas says at the first line with decimal commas how many there are.
func (p *Problems) countCommas() {
	for i := range p.Listed {
		q := &p.Listed[i]
		switch others := p.commas[q.Hint] - 1; {
		case others == 1:
			q.Message += ", as on 1 other line"
		case others > 1:
			q.Message += fmt.Sprintf(", as on %d other lines", others)
		}
	}
}

// blankColumn says once that a column of which nothing was read has nothing but empty cells.
func (p *Problems) blankColumn() {
	if len(p.Listed) < 2 || slices.ContainsFunc(p.Listed, func(q Problem) bool { return q.Message != emptyCell || q.Column != p.Listed[0].Column }) {
		return
	}
	p.Listed, p.More = p.Listed[:1], 0
	p.Listed[0].Message, p.Listed[0].Hint = "every cell of the column is empty", ""
}

// merge adds other problems of the file, in the order of the lines.
func (p *Problems) merge(other Problems) {
	all := slices.Concat(p.Listed, other.Listed)
	slices.SortStableFunc(all, func(a, b Problem) int { return cmp.Compare(a.Line, b.Line) })
	listed := min(len(all), mostProblems)
	p.Listed, p.More = all[:listed], p.More+other.More+len(all)-listed
}

func (p *Problems) err() error {
	if len(p.Listed) == 0 {
		return nil
	}
	return p
}
