package sim

import (
	"fmt"

	"clampodds/dist"
)

// Level says how widely one draw of a variable is shared.
type Level int

// The levels, from the widest. Design, lot and chassis draws are shared by all
// cards of one chassis; card, edge and face draws are each card's own. A card
// has a variable of its own for each edge or face that draws separately.
const (
	Design Level = iota + 1
	Lot
	Chassis
	Card
	Edge
	Face
)

// levelNames are the words of study files.
var levelNames = [...]string{Design: "design", Lot: "lot", Chassis: "chassis", Card: "card", Edge: "edge", Face: "face"}

// String returns the level's word, "lot".
func (l Level) String() string {
	if l < Design || l > Face {
		return fmt.Sprintf("level %d", int(l))
	}
	return levelNames[l]
}

// Shared reports whether all rows of one group (cards of one chassis) share
// the draw.
func (l Level) Shared() bool { return l <= Chassis }

// Variable is one random column of the model's input.
type Variable struct {
	// Name is unique among the inputs ("screw.torque/left") and keys the
	// variable's random numbers: the same name, seed and trial give the same
	// point of the unit interval, whatever other variables exist.
	Name string
	// Input is the study input the variable is an instance of ("screw.torque").
	Input string
	Level Level
	Dist  dist.Distribution
	// Knowledge marks lack of knowledge as against variation.
	Knowledge bool
}

// Correlation is a rank correlation (Spearman) between two variables.
type Correlation struct {
	A, B string // names of variables of the same level
	Rank float64
}

// Output describes one column of the model's output.
type Output struct {
	// Name is unique, "edge.hotter".
	Name string
	// Unit is the SI unit, for reports.
	Unit string
	// Bin is the width of the histogram bins in that unit; 0 marks an event,
	// whose value is 0 or 1 and which is counted.
	Bin float64
}

// Model is what sim sees of the physics.
type Model interface {
	// Outputs lists the output columns in order.
	Outputs() []Output
	// Evaluate computes rows of outputs: x[i][r] is variable i of the inputs in
	// row r, y[j][r] receives output j. It changes nothing else, keeps no
	// reference, and is safe for concurrent use. +Inf in a quantity stands for
	// an outcome with no value (a card that could not be clamped); it counts
	// as exceeding every upper limit.
	Evaluate(x, y [][]float64)
}

// Formula is a model of one output, computed card by card: the shortest way to a model of
// one's own.
type Formula struct {
	Output
	// Of returns the output of one row; x has the variables in the order of the inputs.
	// It must be safe for concurrent use and must not keep x.
	Of func(x []float64) float64
}

func (f Formula) Outputs() []Output { return []Output{f.Output} }

func (f Formula) Evaluate(x, y [][]float64) {
	row := make([]float64, len(x))
	for r := range y[0] {
		for i, column := range x {
			row[i] = column[r]
		}
		y[0][r] = f.Of(row)
	}
}
