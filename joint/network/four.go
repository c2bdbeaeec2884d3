package network

import "clampodds/joint/lanes"

// Four holds the number of one place of four networks of one pattern.
type Four [4]float64

// solveFour is SolveBlock for four cards from first on: where the numbers lie is looked up once for all, and
// while one has to wait for its last number the others have theirs.
func (n *Network) solveFour(conductance, source []lanes.Row, work []Four, temperature []lanes.Row, first int) {
	clear(work)
	for e, at := range n.load {
		w, g := &work[at], (*Four)(conductance[e][first:])
		w[0] += g[0]
		w[1] += g[1]
		w[2] += g[2]
		w[3] += g[3]
	}
	for node, at := range n.heat {
		work[at] = Four(source[node][first:])
	}
	for i := range n.steps {
		n.steps[i].eliminateFour(work)
	}
	for i := len(n.steps) - 1; i >= 0; i-- {
		s := &n.steps[i]
		*(*Four)(temperature[s.node][first:]) = *s.substituteFour(work)
	}
}

// eliminateFour spreads the node over its neighbours. It leaves the shares g_ki / G_k
// in place of the links, and Q_k / G_k in that of the heat. The conversions keep a compiler from
// fusing product and sum: vectors have the same bits.
func (s *step) eliminateFour(work []Four) {
	k := work[s.at:][:ofLinks+len(s.to)]
	ground, heat, links := &k[ofGround], &k[ofHeat], k[ofLinks:]
	t0, t1, t2, t3 := ground[0], ground[1], ground[2], ground[3]
	for j := range links {
		l := &links[j]
		t0, t1, t2, t3 = t0+l[0], t1+l[1], t2+l[2], t3+l[3]
	}
	i0, i1, i2, i3 := inverseOf(t0), inverseOf(t1), inverseOf(t2), inverseOf(t3)
	// From the last neighbour down, so that the links of the earlier ones are
	// still conductances when a pair needs them.
	for j := len(links) - 1; j >= 0; j-- {
		l := &links[j]
		s0, s1, s2, s3 := l[0]*i0, l[1]*i1, l[2]*i2, l[3]*i3
		l[0], l[1], l[2], l[3] = s0, s1, s2, s3
		to := work[s.to[j]:][:ofLinks]
		g, h := &to[ofGround], &to[ofHeat]
		g[0] += float64(s0 * ground[0])
		g[1] += float64(s1 * ground[1])
		g[2] += float64(s2 * ground[2])
		g[3] += float64(s3 * ground[3])
		h[0] += float64(s0 * heat[0])
		h[1] += float64(s1 * heat[1])
		h[2] += float64(s2 * heat[2])
		h[3] += float64(s3 * heat[3])
		for i, at := range s.links(j) {
			pair, first := &work[at], &links[i]
			pair[0] += float64(s0 * first[0])
			pair[1] += float64(s1 * first[1])
			pair[2] += float64(s2 * first[2])
			pair[3] += float64(s3 * first[3])
		}
	}
	heat[0], heat[1], heat[2], heat[3] = held(heat[0], i0), held(heat[1], i1), held(heat[2], i2), held(heat[3], i3)
}

// inverseOf is 1/total, 0 for a node that nothing holds, whose shares are 0.
func inverseOf(total float64) float64 {
	if total == 0 {
		return 0
	}
	return 1 / total
}

// held is Q_k / G_k.
func held(heat, inverse float64) float64 {
	if inverse == 0 {
		return unheld(heat)
	}
	return heat * inverse
}

// substituteFour returns the node's temperature, adding what those of its neighbours
// contribute, and leaves it in place of the heat.
func (s *step) substituteFour(work []Four) *Four {
	k := work[s.at:][:ofLinks+len(s.to)]
	heat, links := &k[ofHeat], k[ofLinks:]
	t0, t1, t2, t3 := heat[0], heat[1], heat[2], heat[3]
	for j := len(links) - 1; j >= 0; j-- {
		share, t := &links[j], &work[s.to[j]+ofHeat]
		t0, t1, t2, t3 = t0+float64(share[0]*t[0]), t1+float64(share[1]*t[1]), t2+float64(share[2]*t[2]), t3+float64(share[3]*t[3])
	}
	if sum := t0 + t1 + t2 + t3; sum-sum != 0 { // an infinite temperature beside an open link
		for lane := range heat {
			for j := len(links) - 1; j >= 0; j-- {
				heat[lane] += passed(links[j][lane], work[s.to[j]+ofHeat][lane])
			}
		}
		return heat
	}
	heat[0], heat[1], heat[2], heat[3] = t0, t1, t2, t3
	return heat
}
