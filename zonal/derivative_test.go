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
		e := newEvaluator(p)
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
		assert.InDelta(t, want, grad[j], 1e-3*(1+math.Abs(want)), "coordinate %d %v", j, d.unknowns[j])
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
