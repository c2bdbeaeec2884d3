package reports

import (
	"slices"
	"strings"
)

// bothEdges says of which edge a row is that stands for two.
const bothEdges = "either edge: left and right are the same in all digits shown; the JSON has both."

// onceIfAlike are the edges to be shown: one that stands for both where their tables are the same.
func onceIfAlike(edges []NominalEdge) []NominalEdge {
	alike := func(a, b *Table) bool { return slices.EqualFunc(a.Rows, b.Rows, slices.Equal) }
	if len(edges) != 2 || edges[0].Fit != edges[1].Fit || !slices.EqualFunc(edges[0].tables(), edges[1].tables(), alike) {
		return edges
	}
	one := edges[0]
	one.Name = "either"
	return []NominalEdge{one}
}

// foldSides joins a row of the left edge and one of the right that say the same.
func (t *Table) foldSides() *Table {
	kept := t.Rows[:0:0]
	for _, row := range t.Rows {
		leftOf := strings.Replace(row[0], "right", "left", 1)
		at := slices.IndexFunc(kept, func(k []string) bool { return leftOf != row[0] && k[0] == leftOf && slices.Equal(k[1:], row[1:]) })
		if at < 0 {
			kept = append(kept, slices.Clone(row))
			continue
		}
		if kept[at][0] = ofEitherEdge(leftOf); kept[at][0] == leftOf { // the side by itself
			kept[at][0] = "either"
		}
		if !slices.Contains(t.Notes, bothEdges) {
			t.note(bothEdges)
		}
	}
	t.Rows = kept
	return t
}
