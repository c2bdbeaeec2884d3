package network

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	_ "clampodds/testdata/fixedseed"
)

// problem is a random network with its values.
type problem struct {
	*Network
	g, q []float64
}

// drawProblem makes a network of up to nine nodes, each joined to an earlier
// one or to the reference, with links added at random, parallel ones included.
// Conductances spread over 10^-decades to 10^decades W/K.
func drawProblem(t *rapid.T, decades float64) problem {
	b := &Builder{}
	nodes := rapid.IntRange(1, 9).Draw(t, "nodes")
	for i := range nodes {
		node := b.Node(string(rune('a' + i)))
		if i == 0 || rapid.Bool().Draw(t, "grounded") {
			b.Ground(node)
		} else {
			b.Link(node, rapid.IntRange(0, i-1).Draw(t, "to"))
		}
	}
	for range rapid.IntRange(0, 20).Draw(t, "extra links") {
		first, second := rapid.IntRange(0, nodes-1).Draw(t, "first"), rapid.IntRange(0, nodes-1).Draw(t, "second")
		if first != second {
			b.Link(first, second)
		}
	}
	n, err := b.Compile()
	require.NoError(t, err)
	p := problem{Network: n, g: make([]float64, n.Elements()), q: make([]float64, nodes)}
	for i := range p.g {
		p.g[i] = math.Pow(10, rapid.Float64Range(-decades, decades).Draw(t, "log g"))
	}
	for i := range p.q {
		p.q[i] = rapid.Float64Range(0, 100).Draw(t, "q")
	}
	return p
}

func (p problem) solve() []float64 {
	return p.Solve(p.g, p.q)
}

func (p problem) heat(t []float64) []float64 {
	heat := make([]float64, p.Elements())
	p.Heat(p.g, t, heat)
	return heat
}

func TestSolveAgainstDense(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 2)
		a := mat.NewSymDense(p.Nodes(), nil)
		add := func(i, j int, g float64) { a.SetSym(i, j, a.At(i, j)+g) }
		for e, g := range p.g {
			i, j := p.Ends(e)
			add(i, i, g)
			if j >= 0 {
				add(j, j, g)
				add(i, j, -g)
			}
		}
		var want mat.VecDense
		require.NoError(t, want.SolveVec(a, mat.NewVecDense(p.Nodes(), p.q)))
		for i, got := range p.solve() {
			// The dense solve loses condition (up to 1e5 or so) times 1e-16.
			assert.InEpsilon(t, want.AtVec(i)+1e-9, got+1e-9, 1e-9, p.NodeName(i))
		}
	})
}

// Componentwise accuracy is the reason for the method: 16 decades between the
// conductances, against Gaussian elimination in 2000-bit arithmetic.
func TestSolveKeepsEveryDigit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 8)
		for i, want := range solveExactly(p) {
			if want == 0 {
				continue
			}
			// 9 nodes: fewer than 100 roundings of 1.1e-16 on any path.
			assert.InEpsilon(t, want, p.solve()[i], 1e-14, p.NodeName(i))
		}
	})
}

func solveExactly(p problem) []float64 {
	n := p.Nodes()
	number := func(x float64) *big.Float { return new(big.Float).SetPrec(2000).SetFloat64(x) }
	a := make([][]*big.Float, n)
	for i := range a {
		a[i] = make([]*big.Float, n+1)
		for j := range a[i] {
			a[i][j] = number(0)
		}
		a[i][n].SetFloat64(p.q[i])
	}
	for e, g := range p.g {
		i, j := p.Ends(e)
		a[i][i].Add(a[i][i], number(g))
		if j >= 0 {
			a[j][j].Add(a[j][j], number(g))
			a[i][j].Sub(a[i][j], number(g))
			a[j][i].Sub(a[j][i], number(g))
		}
	}
	for k := range a { // Gauss-Jordan; the matrix is positive definite, no pivoting
		for i := range a {
			if i == k {
				continue
			}
			f := new(big.Float).Quo(a[i][k], a[k][k])
			for j := k; j <= n; j++ {
				a[i][j].Sub(a[i][j], new(big.Float).Mul(f, a[k][j]))
			}
		}
	}
	x := make([]float64, n)
	for i := range x {
		x[i], _ = new(big.Float).Quo(a[i][n], a[i][i]).Float64()
	}
	return x
}

// Rayleigh's monotonicity law: raising any conductance lowers, or leaves, the
// dissipation sum of Q T, which for one source is that node's temperature.
func TestRayleighMonotonicity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 3)
		dissipation := func() (sum float64) {
			for i, temperature := range p.solve() {
				sum += p.q[i] * temperature
			}
			return sum
		}
		before := dissipation()
		p.g[rapid.IntRange(0, len(p.g)-1).Draw(t, "which")] *= rapid.Float64Range(1, 100).Draw(t, "factor")
		assert.LessOrEqual(t, dissipation(), before*(1+1e-13)) // roundings
	})
}

func TestHeatBalances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 3)
		temperatures := p.solve()
		heat := p.heat(temperatures)
		in, out, strongest := 0.0, 0.0, 0.0
		for i, q := range p.q {
			in += q
			strongest = math.Max(strongest, temperatures[i])
		}
		for e := range heat {
			if _, second := p.Ends(e); second < 0 {
				out += heat[e]
			}
		}
		assert.InDelta(t, in, out, 1e-10*in)
		// A node's own balance is a difference of numbers up to g T.
		assert.LessOrEqual(t, p.Residual(p.q, heat), 1e-10*in+1e-13*1e3*strongest)
	})
}

func TestResidualSeesOneWrongHeat(t *testing.T) {
	b := &Builder{}
	hot, cold := b.Node("hot"), b.Node("cold")
	b.Link(hot, cold)
	b.Ground(cold)
	n, err := b.Compile()
	require.NoError(t, err)
	assert.InDelta(t, 0.25, n.Residual([]float64{2, 0}, []float64{2, 1.75}), 1e-15)
}

// Powers of two scale without rounding, so the results are equal to the bit; but for
// numbers below the normal ones, which have fewer digits.
func TestScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 3)
		for i, q := range p.q {
			if q < 1e-200 {
				p.q[i] = 0
			}
		}
		base := p.solve()
		for i := range p.q {
			p.q[i] *= 8
		}
		for i := range p.g {
			p.g[i] *= 2
		}
		for i, got := range p.solve() {
			assert.Equal(t, 4*base[i], got)
		}
	})
}

func TestReciprocity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 3)
		i, j := rapid.IntRange(0, p.Nodes()-1).Draw(t, "i"), rapid.IntRange(0, p.Nodes()-1).Draw(t, "j")
		response := func(source, at int) float64 {
			clear(p.q)
			p.q[source] = 1
			return p.solve()[at]
		}
		forward, back := response(i, j), response(j, i)
		assert.InDelta(t, forward, back, 1e-13*forward) // roundings
	})
}

func TestParallelLinksMerge(t *testing.T) {
	b := &Builder{}
	hot, cold := b.Node("hot"), b.Node("cold")
	b.Link(hot, cold)
	b.Link(cold, hot)
	b.Ground(cold)
	b.Ground(cold)
	n, err := b.Compile()
	require.NoError(t, err)
	p := problem{n, []float64{1, 3, 2, 6}, []float64{16, 0}}
	assert.Equal(t, []float64{6, 2}, p.solve())
	assert.Equal(t, []float64{4, -12, 4, 12}, p.heat(p.solve()))
}

func TestCompileRefuses(t *testing.T) {
	cases := map[string]struct {
		build func(*Builder)
		says  string
	}{
		"empty":       {func(*Builder) {}, "no nodes"},
		"no name":     {func(b *Builder) { b.Ground(b.Node("")) }, "node 0 has no name"},
		"name twice":  {func(b *Builder) { b.Ground(b.Node("rail")); b.Ground(b.Node("rail")) }, `two nodes are named "rail"`},
		"isolated":    {func(b *Builder) { b.Ground(b.Node("rail")); b.Node("card") }, `node "card" has no path`},
		"island":      {func(b *Builder) { b.Ground(b.Node("rail")); b.Link(b.Node("card"), b.Node("flange")) }, `node "card" has no path`},
		"no grounded": {func(b *Builder) { b.Link(b.Node("card"), b.Node("flange")) }, `node "card" has no path`},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			b := &Builder{}
			c.build(b)
			_, err := b.Compile()
			assert.ErrorContains(t, err, c.says)
		})
	}
}

func TestBuilderPanics(t *testing.T) {
	b := &Builder{}
	node := b.Node("only")
	assert.Panics(t, func() { b.Link(node, node) })
	assert.Panics(t, func() { b.Link(node, 1) })
	assert.Panics(t, func() { b.Ground(-1) })
}

func TestSolvePanicsOnWrongLength(t *testing.T) {
	b := &Builder{}
	b.Ground(b.Node("only"))
	n, err := b.Compile()
	require.NoError(t, err)
	assert.Panics(t, func() { n.Solve(nil, []float64{1}) })
	assert.Panics(t, func() { n.Heat([]float64{1}, []float64{1}, nil) })
}

// Open links at run time: a heated island is infinitely hot, an unheated one
// stays at the reference, and neither spoils the rest.
func TestOpenLinks(t *testing.T) {
	for _, island := range []struct{ heat, want float64 }{{5, math.Inf(1)}, {0, 0}, {-5, math.Inf(-1)}} {
		b := &Builder{}
		rail, flange, screw, washer := b.Node("rail"), b.Node("flange"), b.Node("screw"), b.Node("washer")
		b.Ground(rail)
		b.Link(rail, flange)
		b.Link(flange, screw) // open
		b.Link(screw, washer)
		b.Link(washer, rail) // open
		n, err := b.Compile()
		require.NoError(t, err)
		p := problem{n, []float64{2, 1, 0, 3, 0}, []float64{0, 4, island.heat, 0}}
		got := p.solve()
		assert.Equal(t, []float64{2, 6, island.want, island.want}, got)
		heat := p.heat(got)
		assert.Equal(t, []float64{4, -4, 0}, heat[:3])
		assert.Zero(t, heat[4])
	}
}
