package network

import "clampodds/joint/lanes"

// Group holds the number of one place of some networks of one pattern: four vectors, so that while one
// has to wait for its last number the others have theirs.
type Group [4]lanes.Lanes

// groupSize is how many networks are solved at once.
const groupSize = 4 * lanes.Width

// Work is scratch of SolveBlock, from NewWork.
type Work struct {
	fours  []Four
	groups []Group
}

// NewWork makes scratch.
func (n *Network) NewWork() *Work {
	if lanes.Fast {
		return &Work{groups: make([]Group, n.size)}
	}
	return &Work{fours: make([]Four, n.size)}
}

// SolveBlock is Solve for the first count cards of a block, each to the last bit as it is by itself: rows of
// conductances by element, of sources by node; temperature receives rows by node, also of cards beyond count. Safe for
// concurrent use with different work and temperature.
func (n *Network) SolveBlock(conductance, source []lanes.Row, work *Work, temperature []lanes.Row, count int) {
	n.check(len(conductance), len(source), max(len(work.fours), len(work.groups)), len(temperature))
	if work.groups != nil {
		n.solveGroups(conductance, source, work.groups, temperature, count)
		return
	}
	for first := 0; first < count; first += len(Four{}) {
		n.solveFour(conductance, source, work.fours, temperature, first)
	}
}

// solveGroups is SolveBlock by vectors.
func (n *Network) solveGroups(conductance, source []lanes.Row, work []Group, temperature []lanes.Row, count int) {
	for first := 0; first < count; first += groupSize {
		clear(work)
		for e, at := range n.load {
			w, g := &work[at], &conductance[e]
			for i := range w {
				w[i].Set(w[i].Get().Add(g.At(first + i*lanes.Width)))
			}
		}
		for node, at := range n.heat {
			w, q := &work[at], &source[node]
			for i := range w {
				w[i].Set(q.At(first + i*lanes.Width))
			}
		}
		for i := range n.steps {
			n.steps[i].eliminateGroup(work)
		}
		for i := len(n.steps) - 1; i >= 0; i-- {
			n.steps[i].substituteGroup(work)
		}
		for node, at := range n.heat {
			w, t := &work[at], &temperature[node]
			for i := range w {
				t.Put(first+i*lanes.Width, w[i].Get())
			}
		}
	}
	lanes.Done()
}

var zero, one = lanes.Same(0), lanes.Same(1)

// eliminateGroup is eliminateFour by vectors.
func (s *step) eliminateGroup(work []Group) {
	k := work[s.at:][:ofLinks+len(s.to)]
	ground, heat, links := &k[ofGround], &k[ofHeat], k[ofLinks:]
	t0, t1, t2, t3 := ground[0].Get(), ground[1].Get(), ground[2].Get(), ground[3].Get()
	for j := range links {
		l := &links[j]
		t0, t1, t2, t3 = t0.Add(l[0].Get()), t1.Add(l[1].Get()), t2.Add(l[2].Get()), t3.Add(l[3].Get())
	}
	i0, i1, i2, i3 := inverse(t0), inverse(t1), inverse(t2), inverse(t3)
	for j := len(links) - 1; j >= 0; j-- {
		l := &links[j]
		s0, s1, s2, s3 := l[0].Get().Mul(i0), l[1].Get().Mul(i1), l[2].Get().Mul(i2), l[3].Get().Mul(i3)
		l[0].Set(s0)
		l[1].Set(s1)
		l[2].Set(s2)
		l[3].Set(s3)
		to := work[s.to[j]:][:ofLinks]
		g, q := &to[ofGround], &to[ofHeat]
		g[0].Set(g[0].Get().Add(s0.Mul(ground[0].Get())))
		g[1].Set(g[1].Get().Add(s1.Mul(ground[1].Get())))
		g[2].Set(g[2].Get().Add(s2.Mul(ground[2].Get())))
		g[3].Set(g[3].Get().Add(s3.Mul(ground[3].Get())))
		q[0].Set(q[0].Get().Add(s0.Mul(heat[0].Get())))
		q[1].Set(q[1].Get().Add(s1.Mul(heat[1].Get())))
		q[2].Set(q[2].Get().Add(s2.Mul(heat[2].Get())))
		q[3].Set(q[3].Get().Add(s3.Mul(heat[3].Get())))
		for i, at := range s.links(j) {
			pair, first := &work[at], &links[i]
			pair[0].Set(pair[0].Get().Add(s0.Mul(first[0].Get())))
			pair[1].Set(pair[1].Get().Add(s1.Mul(first[1].Get())))
			pair[2].Set(pair[2].Get().Add(s2.Mul(first[2].Get())))
			pair[3].Set(pair[3].Get().Add(s3.Mul(first[3].Get())))
		}
	}
	none := zero.Vector()
	if i0.Equal(none).Or(i1.Equal(none)).Or(i2.Equal(none).Or(i3.Equal(none))).ToBits() != 0 {
		by := Group{}
		by[0].Set(i0)
		by[1].Set(i1)
		by[2].Set(i2)
		by[3].Set(i3)
		lanes.Done()
		hold(heat, &by)
		return
	}
	heat[0].Set(heat[0].Get().Mul(i0))
	heat[1].Set(heat[1].Get().Mul(i1))
	heat[2].Set(heat[2].Get().Mul(i2))
	heat[3].Set(heat[3].Get().Mul(i3))
}

// hold is the end of eliminateGroup where some node is held by nothing.
//
//go:noinline
func hold(heat, inverse *Group) {
	for i := range heat {
		for lane, q := range heat[i] {
			heat[i][lane] = held(q, inverse[i][lane])
		}
	}
}

// inverse is 1/total, 0 for a node that nothing holds, whose shares are 0.
func inverse(total lanes.Vector) lanes.Vector {
	none := zero.Vector()
	return lanes.Drop(total.Equal(none), one.Vector().Div(total))
}

// substituteGroup is substituteFour by vectors.
func (s *step) substituteGroup(work []Group) {
	k := work[s.at:][:ofLinks+len(s.to)]
	heat, links := &k[ofHeat], k[ofLinks:]
	t0, t1, t2, t3 := heat[0].Get(), heat[1].Get(), heat[2].Get(), heat[3].Get()
	for j := len(links) - 1; j >= 0; j-- {
		share, t := &links[j], &work[s.to[j]+ofHeat]
		t0, t1 = t0.Add(share[0].Get().Mul(t[0].Get())), t1.Add(share[1].Get().Mul(t[1].Get()))
		t2, t3 = t2.Add(share[2].Get().Mul(t[2].Get())), t3.Add(share[3].Get().Mul(t[3].Get()))
	}
	sum := t0.Add(t1).Add(t2.Add(t3))
	if sum.Sub(sum).Equal(zero.Vector()).ToBits() != lanes.Every { // an infinite temperature beside an open link
		lanes.Done()
		s.substituteInfinite(work, heat, links)
		return
	}
	heat[0].Set(t0)
	heat[1].Set(t1)
	heat[2].Set(t2)
	heat[3].Set(t3)
}

// substituteInfinite is substituteGroup where an infinite temperature may lie beside an open link. Not inlined:
// a function has vectors or floats.
//
//go:noinline
func (s *step) substituteInfinite(work []Group, heat *Group, links []Group) {
	for i := range heat {
		for lane := range heat[i] {
			for j := len(links) - 1; j >= 0; j-- {
				heat[i][lane] += passed(links[j][i][lane], work[s.to[j]+ofHeat][i][lane])
			}
		}
	}
}
