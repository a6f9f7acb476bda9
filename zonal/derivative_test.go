package zonal

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// Every derivative of every predicted reading agrees with central differences.
func TestJacobian(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 20 {
		m := testModel(r, 2+r.IntN(3), 4)
		p, err := compile(m)
		require.NoError(t, err)
		e := inUnknowns(p)
		x := p.truth(r, 0.5)
		n, k := e.Terms(), e.Dim()
		jac, res := mat.NewDense(n, k, nil), make([]float64, n)
		require.NoError(t, e.Evaluate(x, res, jac))
		up, down := make([]float64, n), make([]float64, n)
		for j := range k {
			const h = 1e-5
			old := x[j]
			x[j] = old + h
			require.NoError(t, e.Evaluate(x, up, nil))
			x[j] = old - h
			require.NoError(t, e.Evaluate(x, down, nil))
			x[j] = old
			for i := range n {
				want := (up[i] - down[i]) / (2 * h)
				assert.InDelta(t, want, jac.At(i, j), 1e-4*(1+math.Abs(want)), "term %d, unknown %d (%v)", i, j, p.unknowns[j])
			}
		}
	}
}

// Residuals that are said to change in proportion have derivatives that do, and those that
// are said to be linear keep theirs.
func TestNonlinearResiduals(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 7))
	inProportion := 0
	for k := range 20 {
		m := testModel(r, 2+r.IntN(3), 4)
		if k%2 == 1 {
			weathered(m, r)
		}
		p, err := compile(m)
		require.NoError(t, err)
		s := inScores(p)
		at := func() *mat.Dense {
			jac, res := mat.NewDense(s.Terms(), s.Dim(), nil), make([]float64, s.Terms())
			require.NoError(t, s.Evaluate(p.toScores(p.inRange(p.truth(r, 0.5))), res, jac))
			return jac
		}
		var change mat.Dense
		change.Sub(at(), at())
		nonlinear := map[int]bool{}
		for _, d := range s.Nonlinear() {
			nonlinear[d.Index] = true
			if d.Base != d.Index {
				inProportion++
			}
			for j := range s.Dim() {
				want := d.Factor * change.At(d.Base, j)
				assert.InDelta(t, want, change.At(d.Index, j), 1e-6*(1+math.Abs(want)), "term %d", d.Index)
			}
		}
		for i := range s.Terms() {
			if !nonlinear[i] {
				assert.Zero(t, mat.Norm(change.RowView(i), 1), "term %d", i)
			}
		}
	}
	assert.Positive(t, inProportion)
}

// What a reading should have been is the same from the residuals kept as from the
// holds solved anew, but for how closely draws solve them.
func TestForetoldFromResiduals(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	for range 5 {
		post, err := Infer(testModel(r, 2, 4), Options{})
		require.NoError(t, err)
		require.NotNil(t, post.residuals)
		for i := range post.problem.terms {
			want := post.values([]quantity{post.problem.predicted(i)}, post.draws)[0]
			for k, x := range post.draws {
				got := post.problem.terms[i].predictedReading(post.residuals[k][i], x)
				sd := post.problem.terms[i].sd
				if kind := post.problem.terms[i].kind; kind != houseTerm && kind != pressureTerm {
					sd *= got
				}
				require.InDelta(t, want[k], got, 0.005*math.Abs(sd), "term %d, draw %d", i, k)
			}
		}
	}
	for _, y := range []float64{-3, 0, 0.2, 0.5, 0.7, 40} {
		v, _ := lnRatio(y)
		assert.InDelta(t, y, fromLnRatio(v), 1e-14*(1+math.Abs(y)))
	}
}

// Of many draws some are kept, each once, with the weight of all it stands for.
func TestFewerDraws(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 9))
	weights, total := make([]float64, 5000), 0.0
	for i := range weights {
		weights[i] = math.Exp(2 * r.NormFloat64())
		total += weights[i]
	}
	for i := range weights {
		weights[i] /= total
	}
	all, same := thinned(weights, len(weights))
	assert.Len(t, all, len(weights))
	assert.Equal(t, weights, same)
	rows, kept := thinned(weights, 1200)
	assert.Len(t, kept, len(rows))
	assert.Less(t, len(rows), 1000)
	sum, before, want := 0.0, 0.0, 0.0
	next := 0
	for k, i := range rows {
		for ; next <= i; next++ {
			want += weights[next]
		}
		before = sum
		sum += kept[k]
		assert.Less(t, before, want, "in order, none twice")
		assert.InDelta(t, want, sum, weights[i]+1.0/1200)
	}
	assert.InDelta(t, 1, sum, 1e-12)
}

// The gradient of the log posterior in the chart's coordinates, its Jacobian
// factor included, agrees with central differences.
func TestDensityGradient(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 20 {
		m := testModel(r, 1+r.IntN(4), 3)
		p, err := compile(m)
		require.NoError(t, err)
		d := newDensity(p, nil)
		u := make([]float64, d.Dim())
		require.True(t, d.chart.toChart(p.truth(r, 0.5), u))
		checkGradient(t, d, u)
	}
}

func checkGradient(t *testing.T, d *density, u []float64) {
	t.Helper()
	grad, scratch := make([]float64, len(u)), make([]float64, len(u))
	require.False(t, math.IsInf(d.LogDensity(u, grad), 0))
	for j := range u {
		const h = 1e-5
		old := u[j]
		u[j] = old + h
		up := d.LogDensity(u, scratch)
		u[j] = old - h
		down := d.LogDensity(u, scratch)
		u[j] = old
		want := (up - down) / (2 * h)
		assert.InDelta(t, want, grad[j], 1e-3*(1+math.Abs(want)), "coordinate %d %v", j, d.problem.unknowns[j])
	}
}

// The chart's factor is the determinant of its own derivative.
func TestChartJacobian(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 10 {
		m := testModel(r, 1+r.IntN(3), 2)
		p, err := compile(m)
		require.NoError(t, err)
		c := newChart(p, nil)
		n := len(p.unknowns)
		u := make([]float64, n)
		require.True(t, c.toChart(p.truth(r, 0.5), u))
		at := func(u []float64) (ln, numeric float64) {
			up, down := make([]float64, n), make([]float64, n)
			jac := mat.NewDense(n, n, nil)
			for j := range n {
				const h = 1e-5
				old := u[j]
				u[j] = old + h
				require.True(t, c.toModel(u, up))
				u[j] = old - h
				require.True(t, c.toModel(u, down))
				u[j] = old
				for i := range n {
					jac.Set(i, j, (up[i]-down[i])/(2*h))
				}
			}
			require.True(t, c.toModel(u, up))
			numeric, _ = mat.LogDet(jac)
			clear(c.gx)
			clear(c.gp)
			ln = c.lnJacobian(u, c.gx, c.gp, make([]float64, n))
			for i, v := range p.unknowns { // scores bring a factor that density leaves to the prior
				if v.kind == pathExponent {
					ln += math.Log(c.slope[i])
				}
			}
			return ln, numeric
		}
		ln0, num0 := at(u)
		for i := range u {
			u[i] += 0.1 * r.NormFloat64()
		}
		if !c.toModel(u, c.x) {
			continue
		}
		ln1, num1 := at(u)
		assert.InDelta(t, num1-num0, ln1-ln0, 1e-4)
	}
}

// From the chart to the parameters and back.
func TestChartRoundTrip(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for range 50 {
		p, err := compile(testModel(r, 1+r.IntN(4), 3))
		require.NoError(t, err)
		c := newChart(p, nil)
		x := p.truth(r, 0.5)
		u, back := make([]float64, len(x)), make([]float64, len(x))
		require.True(t, c.toChart(x, u))
		require.True(t, c.toModel(u, back))
		for i := range x {
			assert.InDelta(t, x[i], back[i], 1e-6, "%v", p.unknowns[i])
		}
	}
}
