package card

import (
	"strconv"

	"clampodds/joint/network"
)

// wiring is the thermal network of a layout and where its parts are in it.
type wiring struct {
	*network.Network
	card       int
	edges      [edges]edgeWiring
	components []part
}

// part is a node and the element that joins it to the rest.
type part struct{ node, element int }

// wallFace is a face on a wall: the node behind it, its element, and how far along
// the edge it lies, 0 at the first piece, 1 at the last.
type wallFace struct {
	part
	along float64
}

// edgeWiring holds the nodes and elements of one edge. Slices over the pieces
// are indexed from 0.
type edgeWiring struct {
	inner, under, pieces []int  // nodes: flange at the card, flange under the clamp, piece
	walls                []part // lower rail, upper rail, side wall (four-face only)
	frame                []int  // elements: card to inner
	spread               []int  // inner to under
	along                []int  // inner to next inner
	faces                []int  // in the order of Layout.faces
	onWall               [walls][]wallFace
}

func wire(l *Layout) (*wiring, error) {
	b := &network.Builder{}
	w := &wiring{card: b.Node("card")}
	for _, name := range l.Components {
		node := b.Node("component/" + name)
		w.components = append(w.components, part{node, b.Link(node, w.card)})
	}
	for e := range edges {
		w.edges[e] = wireEdge(b, l, w.card, edgeName(e))
	}
	var err error
	w.Network, err = b.Compile()
	return w, err
}

func wireEdge(b *network.Builder, l *Layout, card int, edge string) edgeWiring {
	var w edgeWiring
	for _, wall := range wallNames(l.Family) {
		node := b.Node(edge + "/" + wall)
		w.walls = append(w.walls, part{node, b.Ground(node)})
	}
	for i := range l.Pieces {
		at := "/" + strconv.Itoa(i+1)
		w.inner = append(w.inner, b.Node(edge+"/flange"+at))
		w.under = append(w.under, b.Node(edge+"/under"+at))
		w.pieces = append(w.pieces, b.Node(edge+"/piece"+at))
		w.frame = append(w.frame, b.Link(card, w.inner[i]))
		w.spread = append(w.spread, b.Link(w.inner[i], w.under[i]))
		if i > 0 {
			w.along = append(w.along, b.Link(w.inner[i-1], w.inner[i]))
		}
	}
	for _, f := range l.faces() {
		first, second := w.ends(f)
		w.faces = append(w.faces, b.Link(first, second))
		for i, wall := range w.walls {
			if second == wall.node {
				w.onWall[i] = append(w.onWall[i], wallFace{part{first, w.faces[len(w.faces)-1]}, float64(f.position-1) / float64(l.Pieces-1)})
			}
		}
	}
	return w
}

// The walls of an edge, in the order of edgeWiring.walls.
const (
	lowerRail = iota
	upperRail
	sideWall
	walls
)

func wallNames(f Family) []string {
	names := []string{lowerRail: "lower_rail", upperRail: "upper_rail", sideWall: "side_wall"}
	if f == TwoFace {
		return names[:sideWall]
	}
	return names
}

// ends returns the two nodes that a face joins, the one on the flange's side first.
func (w *edgeWiring) ends(f face) (first, second int) {
	i := f.position - 1
	switch f.kind {
	case direct:
		return w.under[i], w.walls[lowerRail].node
	case piece:
		return w.under[i], w.pieces[i]
	case upper:
		return w.pieces[i], w.walls[upperRail].node
	case side:
		return w.pieces[i], w.walls[sideWall].node
	case rib:
		return w.inner[i], w.pieces[i]
	}
	// Ramp: the odd piece, which the flange heats, comes first.
	if f.position%2 == 0 {
		return w.pieces[i+1], w.pieces[i]
	}
	return w.pieces[i], w.pieces[i+1]
}
