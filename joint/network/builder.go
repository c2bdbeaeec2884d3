package network

import "fmt"

// ground is the far end of a link to the reference.
const ground = -1

// element is one conductance between two nodes, or from a node to the
// reference (b = ground).
type element struct{ a, b int }

// Builder collects the pattern of a network. The zero value is empty and ready.
// It is not safe for concurrent use.
type Builder struct {
	names    []string
	elements []element
}

// Node adds a node and returns its index, counted from 0 in the order of the
// calls. Names are for messages and reports; Compile refuses one that is empty
// or used twice.
func (b *Builder) Node(name string) int {
	b.names = append(b.names, name)
	return len(b.names) - 1
}

// Link joins two nodes by a conductance and returns the element's index,
// counted from 0 over links and grounds alike in the order of the calls. Links
// that join the same two nodes are in parallel. It panics when a node does not
// exist or both are the same.
func (b *Builder) Link(first, second int) int {
	b.mustExist(first)
	b.mustExist(second)
	if first == second {
		panic(fmt.Sprintf("network: node %q linked to itself", b.names[first]))
	}
	return b.add(element{first, second})
}

// Ground joins a node to the reference by a conductance and returns the
// element's index. It panics when the node does not exist.
func (b *Builder) Ground(node int) int {
	b.mustExist(node)
	return b.add(element{node, ground})
}

func (b *Builder) add(e element) int {
	b.elements = append(b.elements, e)
	return len(b.elements) - 1
}

func (b *Builder) mustExist(node int) {
	if node < 0 || node >= len(b.names) {
		panic(fmt.Sprintf("network: no node %d among %d", node, len(b.names)))
	}
}

// check refuses unusable names and nodes from which no chain of elements
// reaches the reference.
func (b *Builder) check() error {
	if len(b.names) == 0 {
		return fmt.Errorf("network: no nodes")
	}
	seen := make(map[string]bool, len(b.names))
	for i, name := range b.names {
		if name == "" {
			return fmt.Errorf("network: node %d has no name", i)
		}
		if seen[name] {
			return fmt.Errorf("network: two nodes are named %q", name)
		}
		seen[name] = true
	}
	for i, reached := range b.grounded() {
		if !reached {
			return fmt.Errorf("network: node %q has no path to the reference", b.names[i])
		}
	}
	return nil
}

// grounded marks the nodes that some chain of elements joins to the reference.
func (b *Builder) grounded() []bool {
	reached := make([]bool, len(b.names))
	for changed := true; changed; {
		changed = false
		for _, e := range b.elements {
			if e.b == ground {
				changed = changed || !reached[e.a]
				reached[e.a] = true
			} else if reached[e.a] != reached[e.b] {
				reached[e.a], reached[e.b] = true, true
				changed = true
			}
		}
	}
	return reached
}
