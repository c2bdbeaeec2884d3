package card

import (
	"slices"
	"strconv"
)

// edges is the number of clamped edges of a card.
const edges = 2

// edgeName names the edges in instances, outputs and nodes.
func edgeName(edge int) string { return [edges]string{"left", "right"}[edge] }

// Instance is one place of the card that a parameter has a value for.
type Instance struct {
	Edge int // 0 left, 1 right; 0 for a card parameter
	Face int // index within the parameter's faces of that edge; 0 unless the scope is PerFace
	// Name is stable: "" for a card parameter, "left" for an edge, "left/3" for
	// the face at piece or ramp 3, "left/ramp/3" where the parameter has faces of
	// several kinds.
	Name string
}

// row is a parameter of a layout with its instances and the slots of the input
// vector that hold them. The vector holds the card's parameters, then the
// block of each edge: its own parameters, its bodies', its faces'.
type row struct {
	Parameter
	instances []Instance
	slots     []int
}

// cardSlots is the size of the card's block of the input vector.
func (l *Layout) cardSlots() int { return cardParameters + ofComponent*len(l.Components) }

// edgeSlots is the size of an edge's block.
func (l *Layout) edgeSlots() int { return edgeParameters + l.faceCount()*faceParameters }

// rows lists every parameter of the layout in the order of Parameters.
func (l *Layout) rows() []row {
	var rows []row
	for i, p := range cardTable(l.Components) {
		rows = append(rows, row{p, []Instance{{}}, []int{i}})
	}
	for i, p := range edgeTable() {
		if !l.has(p) {
			continue
		}
		r := row{Parameter: p}
		for e := range edges {
			r.instances = append(r.instances, Instance{Edge: e, Name: edgeName(e)})
			r.slots = append(r.slots, l.cardSlots()+e*l.edgeSlots()+i)
		}
		rows = append(rows, r)
	}
	faces := l.faces()
	for _, f := range l.faceTable() {
		rows = append(rows, l.faceRowOf(f, faces))
	}
	return rows
}

func (l *Layout) has(p Parameter) bool { return !p.fourFace || l.Family == FourFace }

func (l *Layout) faceRowOf(f faceRow, faces []face) row {
	r := row{Parameter: f.Parameter}
	for e := range edges {
		count := 0
		for i, at := range faces {
			if !slices.Contains(f.kinds, at.kind) {
				continue
			}
			name := edgeName(e) + "/" + at.String()
			if len(f.kinds) == 1 {
				name = edgeName(e) + "/" + strconv.Itoa(at.position)
			}
			r.instances = append(r.instances, Instance{Edge: e, Face: count, Name: name})
			r.slots = append(r.slots, l.cardSlots()+e*l.edgeSlots()+edgeParameters+i*faceParameters+f.property)
			count++
		}
	}
	return r
}

// Parameters lists the inputs of a card of the given layout, in a fixed order:
// per card, per edge, per face. The layout must be valid.
func Parameters(l *Layout) []Parameter {
	list := cardTable(l.Components)
	for _, p := range edgeTable() {
		if l.has(p) {
			list = append(list, p)
		}
	}
	for _, f := range l.faceTable() {
		list = append(list, f.Parameter)
	}
	return list
}
