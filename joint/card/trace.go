package card

import (
	"fmt"
	"math"

	"clampodds/joint/contact"
	"clampodds/joint/force"
	"clampodds/joint/lanes"
)

// Trace is one card with every intermediate result. Numbers are in SI units;
// those of a card that could not be clamped are as in Model.Outputs, +Inf
// included, and its faces, nodes and links are left out; so are the forces of one
// with a misfit.
type Trace struct {
	Inputs   []InputValue
	Heat     float64 // put in, W
	Leaving  float64 // into the cold wall, W
	Residual float64 // largest imbalance of a node, W
	Edges    [edges]EdgeTrace
	Nodes    []NodeValue
	Links    []LinkValue
	Outputs  []OutputValue
}

// InputValue is an input as the model used it.
type InputValue struct {
	Key      string
	Instance string // Instance.Name
	Unit     string
	Value    float64
}

// EdgeTrace is one edge.
type EdgeTrace struct {
	Name           string // "left", "right"
	Fit            force.Fit
	Expansion      float64 // m
	Travel         float64 // usable, m
	Overlap        float64 // of neighbouring ramps, along the slope, m
	Gas            contact.GasState
	Joint          float64 // temperature of the joint, K
	TightenedForce float64 // of the screw after tightening, N
	ThreadTorque   float64 // that twists the screw, the prevailing torque of a locking thread included, N*m
	AxialForce     float64 // of the screw now, N
	Train          force.TrainForces
	Faces          []FaceTrace
	Paths          []PathTrace
}

// FaceTrace is one contact face.
type FaceTrace struct {
	Name string `json:"name"` // "direct/1"
	contact.Face
	Force float64 `json:"force_N"`
	contact.Evaluation
	Bodies float64 `json:"bodies_in_series_K_W"`        // resistance of the bodies behind the face
	Joined float64 `json:"conductance_with_bodies_W_K"` // face and bodies, face factor included
	Heat   float64 `json:"heat_W"`                      // from the flange towards the chassis; through a ramp from the odd piece
}

// PathTrace is one way from the edge to the cold wall.
type PathTrace struct {
	Name       string  // "lower_rail", "upper_rail", "side_wall"
	Heat       float64 // W
	Resistance float64 // edge less cold wall over the heat, K/W; +Inf without heat
}

// NodeValue is a node of the network and its temperature, K.
type NodeValue struct {
	Name        string
	Temperature float64
}

// LinkValue is an element of the network: its nodes ("wall" for the cold wall),
// conductance in W/K, and the heat through it in W. Of a component off the middle it
// is the heat that the card's middle takes; the rest enters the flange.
type LinkValue struct {
	From        string  `json:"from"`
	To          string  `json:"to"`
	Conductance float64 `json:"conductance_W_K"`
	Heat        float64 `json:"heat_W"`
}

// OutputValue is an output with its value.
type OutputValue struct {
	Output
	Value float64
}

// Trace evaluates one row, x[i] being input column i, by the same steps as
// Evaluate and keeps all of it. It panics when x has too few values.
func (m *Model) Trace(x []float64) Trace {
	if len(x) < m.columns {
		panic(fmt.Sprintf("card: Trace got %d inputs; want %d", len(x), m.columns))
	}
	columns := make([][]float64, len(x))
	for i := range x {
		columns[i] = x[i : i+1]
	}
	s := m.newState()
	s.gather(m.drawn, columns, 0, 1)
	m.evaluateBlock(s)
	for e := range s.edges { // vectors leave out what only a trace shows
		s.edges[e].findFit()
	}
	if !s.misfit() {
		for e := range s.edges {
			s.edges[e].tighten(&m.layout.Thread, m.train)
		}
	}

	var t Trace
	t.Inputs = m.traceInputs(s)
	for j, i := range m.kept {
		t.Outputs = append(t.Outputs, OutputValue{m.outputs[j], s.out[i][0]})
	}
	for e := range s.edges {
		edge := &s.edges[e]
		t.Edges[e] = EdgeTrace{Name: edgeName(e), Fit: edge.fit, Expansion: edge.expansion, Travel: edge.travel, Overlap: edge.overlap}
	}
	if s.misfit() {
		return t
	}
	for e := range s.edges {
		s.edges[e].traceForces(&t.Edges[e])
	}
	if !s.unclamped() {
		m.traceFlow(s, &t)
	}
	return t
}

func (m *Model) traceInputs(s *state) (list []InputValue) {
	for _, r := range m.rows {
		for j, slot := range r.slots {
			list = append(list, InputValue{r.Key, r.instances[j].Name, r.Unit, s.in.at(slot)})
		}
	}
	return list
}

// traceForces adds what the clamp does.
func (edge *edgeState) traceForces(t *EdgeTrace) {
	t.Gas, t.Joint = edge.gas, edge.joint
	t.TightenedForce, t.ThreadTorque, t.AxialForce = edge.tightened, edge.threadTorque, edge.axial
	t.Train = edge.train
}

// traceFlow adds faces and heat.
func (m *Model) traceFlow(s *state, t *Trace) {
	w := m.wiring
	heat, conductance, temperature := make([]float64, w.Elements()), first(s.conductance), first(s.temperature)
	w.Heat(conductance, temperature, heat)
	t.Heat, t.Residual = s.heat[0], w.Residual(first(s.source), heat)
	m.traceWalls(s, temperature, heat)
	for i, c := range w.components {
		temperature[c.node] = m.component(s, i)
	}
	for i := range w.Nodes() {
		t.Nodes = append(t.Nodes, NodeValue{w.NodeName(i), s.cold[0] + temperature[i]})
	}
	for i := range w.Elements() {
		from, second := w.Ends(i)
		to := "wall"
		if second >= 0 {
			to = w.NodeName(second)
		} else {
			t.Leaving += heat[i]
		}
		t.Links = append(t.Links, LinkValue{w.NodeName(from), to, conductance[i], heat[i]})
	}
	for e := range s.edges {
		m.traceEdge(s, e, heat, &t.Edges[e])
	}
}

func (m *Model) traceEdge(s *state, e int, heat []float64, t *EdgeTrace) {
	edge, w := &s.edges[e], &m.wiring.edges[e]
	for i, f := range m.faces {
		pressed := edge.faces[i].Card(0)
		var whole contact.Evaluation
		pair := *pressed.Pair
		pair.Film = pressed.Film
		contact.Evaluate(&pair, &edge.gas, &pressed.Face, pressed.Force, s.in.at(contactFactor), &whole)
		t.Faces = append(t.Faces, FaceTrace{
			Name: f.String(), Face: pressed.Face, Force: pressed.Force, Evaluation: whole,
			Bodies: edge.joined[i].bodies[0], Joined: s.conductance[w.faces[i]][0], Heat: heat[w.faces[i]],
		})
	}
	rise := s.out[edgeLeft+e][0] - edge.in.at(wallTemperature)
	for i, name := range wallNames(m.layout.Family) {
		path := PathTrace{Name: name, Heat: heat[w.walls[i].element], Resistance: math.Inf(1)}
		if path.Heat > 0 {
			path.Resistance = rise / path.Heat
		}
		t.Paths = append(t.Paths, path)
	}
}

// first are the numbers of the first card.
func first(rows []lanes.Row) []float64 {
	list := make([]float64, len(rows))
	for i := range rows {
		list[i] = rows[i][0]
	}
	return list
}
