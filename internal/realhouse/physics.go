// Package realhouse simulates houses as they stand in weather, for tests of the
// estimate: leaks at heights and on facades, air of its own density in every space,
// wind, and a crew with a gauge. It shares no code and no assumption of form with the
// estimate: pressures are those of columns of air, flows are masses, a path is several
// leaks, and a baseline is the same house with the fan off.
package realhouse

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

const (
	gravity  = 9.81
	standard = 1.2 // density of the air for which a leak's coefficient is stated, kg/m³
	smooth   = 0.01
)

// leak is one hole between two spaces at one height.
type leak struct {
	a, b    int
	c, n    float64 // volume flow at 1 Pa, m³/s, in standard air; exponent
	height  float64 // m above the house's lowest floor
	outside float64 // wind pressure on its outer side, Pa
}

// drop is the pressure difference across the leak from a to b, with p the pressures
// of the spaces at floor height and rho their densities.
func (l *leak) drop(p, rho []float64) float64 {
	return p[l.a] - p[l.b] - (rho[l.a]-rho[l.b])*gravity*l.height - l.outside
}

// mass is the mass flow from a to b, kg/s, and its derivative with respect to drop.
func (l *leak) mass(p, rho []float64) (m, slope float64) {
	d := l.drop(p, rho)
	from := rho[l.a]
	if d < 0 {
		from = rho[l.b]
	}
	k := from * l.c * math.Pow(standard/from, 1-l.n)
	s := d*d + smooth*smooth
	power := math.Pow(s, (l.n-1)/2)
	return k * d * power, k * power * (1 + (l.n-1)*d*d/s)
}

// state is a house in one steady state: what stands open, and what fans carry.
type state struct {
	leaks []leak
	rho   []float64
	fixed []bool // spaces whose pressure is given
	p     []float64
}

var errNoBalance = errors.New("the simulated house has no balance")

// solve brings every space whose pressure is not given to balance. The flows are those
// that minimise a convex function of the pressures, so that Newton steps, shortened
// until the imbalance falls, arrive from anywhere.
func (s *state) solve() error {
	var free []int
	for i, f := range s.fixed {
		if !f {
			free = append(free, i)
		}
	}
	if len(free) == 0 {
		return nil
	}
	place := make([]int, len(s.p))
	for i := range place {
		place[i] = -1
	}
	for k, i := range free {
		place[i] = k
	}
	in, slopes := mat.NewVecDense(len(free), nil), mat.NewDense(len(free), len(free), nil)
	size := s.imbalance(place, in, slopes)
	for range 400 {
		if size < 1e-10 {
			return nil
		}
		var step mat.VecDense
		if err := step.SolveVec(slopes, in); err != nil {
			return errNoBalance
		}
		before := append([]float64(nil), s.p...)
		for t := 1.0; ; t /= 2 {
			for k, i := range free {
				s.p[i] = before[i] + t*step.AtVec(k)
			}
			if now := s.imbalance(place, in, slopes); now < size*(1-0.1*t) || t < 1e-4 {
				size = now
				break
			}
		}
	}
	return errNoBalance
}

// imbalance fills the net mass flow into each free space and its derivatives, and
// gives the length of the former.
func (s *state) imbalance(place []int, in *mat.VecDense, slopes *mat.Dense) float64 {
	in.Zero()
	slopes.Zero()
	add := func(i, j int, v float64) {
		if i >= 0 && j >= 0 {
			slopes.Set(i, j, slopes.At(i, j)+v)
		}
	}
	for k := range s.leaks {
		l := &s.leaks[k]
		m, g := l.mass(s.p, s.rho)
		a, b := place[l.a], place[l.b]
		if a >= 0 {
			in.SetVec(a, in.AtVec(a)-m)
		}
		if b >= 0 {
			in.SetVec(b, in.AtVec(b)+m)
		}
		add(a, a, g)
		add(b, b, g)
		add(a, b, -g)
		add(b, a, -g)
	}
	return mat.Norm(in, 2)
}

// out is the mass flow that leaves a space through the leaks.
func (s *state) out(space int) float64 {
	total := 0.0
	for k := range s.leaks {
		m, _ := s.leaks[k].mass(s.p, s.rho)
		switch space {
		case s.leaks[k].a:
			total += m
		case s.leaks[k].b:
			total -= m
		}
	}
	return total
}

// airDensity is that of dry air at sea level, kg/m³, at a temperature in °C.
func airDensity(celsius float64) float64 { return 101325 / (287.055 * (celsius + 273.15)) }
