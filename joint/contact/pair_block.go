package contact

import "clampodds/joint/lanes"

// PairBlock is a pair of bodies of every card.
type PairBlock struct {
	Conductivity lanes.Row // k_s, W/mK

	spotScale, gapScale, softness, openness, spread, yieldBearing, film lanes.Row

	bodies [2]*BodyBlock
	coated bool      // a card's is
	coats  lanes.Row // 1 where it is, else 0
	alike  bool      // both sides are, of every card
	sides  [2]sideBlock

	pairs [lanes.Count]*Pair // in place of bodies, where cards are worked on one by one
}

// Set gives a card its pair, which has to stay as it is until the block's faces are worked out card by card.
func (b *PairBlock) Set(lane int, p *Pair) {
	b.pairs[lane], b.film[lane], b.Conductivity[lane] = p, p.CoatResistance, p.Conductivity
}

// card is that of one. A pair of bodies is made anew.
func (b *PairBlock) card(lane int) *Pair {
	if b.bodies[0] == nil {
		return b.pairs[lane]
	}
	p, first, second := new(Pair), b.bodies[0].card(lane), b.bodies[1].card(lane)
	p.Join(&first, &second, 0)
	return p
}

// Join makes the pairs that Pair.Join makes of the first count cards' bodies, which are prepared, to the last bit: by
// vectors, for vectors.
func (b *Bench) Join(p *PairBlock, first, second *BodyBlock, count int) {
	p.bodies, p.coated = [2]*BodyBlock{first, second}, first.coated || second.coated
	b.pair.begin(p, count)
	for i, body := range p.bodies {
		if i == 1 && first == second {
			b.pair.hardness[1] = b.pair.hardness[0]
			break
		}
		body.hardnesses(&b.pair.depth, &b.pair.hardness[i], count)
	}
	b.pair.finish(p, count)
	p.alike = first == second
	if !p.coated {
		return
	}
	b.pair.share(p, count)
	for i, body := range p.bodies {
		side := &p.sides[i]
		if i == 1 && p.alike {
			*side = p.sides[0]
			break
		}
		side.place = side.tau
		b.logarithms(&side.place, count)
		side.coat(body, &b.pair.shares[i], count)
	}
}

// pairBench is the scratch of Join.
type pairBench struct {
	modulus, roughness, slope, depth lanes.Row
	hardness, shares                 [2]lanes.Row
}

func (t *pairBench) begin(p *PairBlock, count int) {
	whole, twice := one.Vector(), two.Vector()
	first, second := p.bodies[0], p.bodies[1]
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		k0, k1 := first.Conductivity.At(i), second.Conductivity.At(i)
		p.Conductivity.Put(i, twice.Mul(k0).Mul(k1).Div(k0.Add(k1)))
		t.modulus.Put(i, whole.Div(first.compliance.At(i).Add(second.compliance.At(i))))
		x, y := first.Roughness.At(i), second.Roughness.At(i)
		roughness := x.Mul(x).Add(y.Mul(y)).Sqrt()
		t.roughness.Put(i, roughness)
		t.depth.Put(i, depthOfSpots.Vector().Mul(roughness))
		x, y = first.slope.At(i), second.slope.At(i)
		t.slope.Put(i, x.Mul(x).Add(y.Mul(y)).Sqrt())
		p.film.Put(i, first.resistance.At(i).Add(second.resistance.At(i)))
	}
	lanes.Done()
}

func (t *pairBench) finish(p *PairBlock, count int) {
	none, whole := zero.Vector(), one.Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		modulus, roughness, slope, k := t.modulus.At(i), t.roughness.At(i), t.slope.At(i), p.Conductivity.At(i)
		hardness := modulus.Mul(slope).Div(rootOfTwo.Vector()).Min(t.hardness[0].At(i).Min(t.hardness[1].At(i)))
		p.softness.Put(i, whole.Div(hardness))
		p.spotScale.Put(i, spotTimes.Vector().Mul(k).Mul(slope).Div(roughness))
		p.gapScale.Put(i, gapTimes.Vector().Mul(roughness))
		p.openness.Put(i, four.Vector().Div(halfCircle.Vector().Mul(modulus)))
		p.spread.Put(i, whole.Div(halfCircle.Vector().Mul(k)))
		yield := p.bodies[0].Yield.At(i).Min(p.bodies[1].Yield.At(i))
		p.yieldBearing.Put(i, lanes.Pick(yield.Greater(none), yieldTimes.Vector().Mul(yield), infinite.Vector()))
	}
	lanes.Done()
}

// share finds the sides' shares and the taus of their coats, and whether they are alike.
func (t *pairBench) share(p *PairBlock, count int) {
	none, whole, alike := zero.Vector(), one.Vector(), uint8(lanes.Every)
	first, second := p.bodies[0], p.bodies[1]
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		k0, k1 := first.Conductivity.At(i), second.Conductivity.At(i)
		sum := whole.Div(k0).Add(whole.Div(k1))
		share0, share1 := whole.Div(k0.Mul(sum)), whole.Div(k1.Mul(sum))
		t.shares[0].Put(i, share0)
		t.shares[1].Put(i, share1)
		thick0, thick1 := first.CoatThickness.At(i), second.CoatThickness.At(i)
		p.coats.Put(i, lanes.Keep(thick0.Add(thick1).Greater(none), whole))
		same := thick0.Equal(thick1).And(share0.Equal(share1)).And(first.ratio.At(i).Equal(second.ratio.At(i)))
		alike &= same.ToBits()
		spacing := t.roughness.At(i).Div(t.slope.At(i))
		p.sides[0].tau.Put(i, thick0.Div(spacing))
		p.sides[1].tau.Put(i, thick1.Div(spacing))
	}
	lanes.Done()
	p.alike = p.alike || alike == lanes.Every
}

// sideBlock is the side of a pair of every card, as coated is of one. A side without coat
// is one with a thick coat of the body's own metal.
type sideBlock struct {
	ratio, weight, tau, place, near, far lanes.Row
	cut                                  *lanes.Cut // nil: no card's has a coat
}

// coat is coated.set, after tau and, in place, its logarithm.
func (s *sideBlock) coat(body *BodyBlock, share *lanes.Row, count int) {
	s.cut = nil
	if body.coated {
		s.cut = &body.cut
	}
	none, whole, bare := zero.Vector(), one.Vector(), coats().bareConstant[0].Vector()
	for i := 0; i < min(count, lanes.Count); i += lanes.Width {
		tau, ratio := s.tau.At(i), body.ratio.At(i)
		coated := tau.Greater(none)
		s.ratio.Put(i, ratio)
		s.weight.Put(i, share.At(i).Div(ratio))
		s.place.Put(i, s.place.At(i).Sub(tauStart.Vector()).Mul(perStep.Vector()))
		near := fourPerCircle.Vector().Mul(whole.Add(ratio)).Mul(tau)
		s.near.Put(i, lanes.Pick(coated, near, whole))
		s.far.Put(i, lanes.Pick(coated, near.Div(bare), whole))
		s.tau.Put(i, lanes.Pick(coated, tau, infinite.Vector()))
	}
	lanes.Done()
}
