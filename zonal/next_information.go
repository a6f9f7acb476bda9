package zonal

import (
	"fmt"
	"math"

	"holdbook/internal/fit"
)

const (
	visitHouses = 96   // drawn from the priors, that a visit is planned on
	flatSD      = 30.0 // in scores, of an unknown without a prior: as good as none
	choiceDraws = 16   // errors of the targets, for the chance of the right choice
)

// informedHouse is one house with the joint covariance of the targets (logarithms
// of flows) and of every reading of every candidate, each over its own error.
type informedHouse struct {
	row     []float64   // its parameters, in the model without candidates
	cov     [][]float64 // targets first, then readings
	targets []float64   // their true values
	from    []int       // first reading of each candidate in cov; one more at the end
	errors  [][]float64 // standard normal numbers, a row a draw
}

// informed prepares the houses that rows stand for.
func (n *planner) informed(list []Candidate, rows [][]float64) ([]*informedHouse, error) {
	all := joined(n.post.problem.model, list)
	p, err := n.post.extended(all)
	if err != nil {
		return nil, fmt.Errorf("the candidates together: %w", err)
	}
	slopes, values := n.targetSlopes(rows)
	e := inScores(p)
	places := p.places(n.post.problem)
	normal := newNormals(n.post.seed)
	var out []*informedHouse
	for k, row := range rows {
		x := make([]float64, len(p.unknowns))
		p.carryOver(x, row, places, normal)
		h := &informedHouse{row: row, targets: values[k]}
		if h.fill(e, p, len(n.post.problem.holds), list, x, slopes[k], places) {
			h.errors = normals(normal, choiceDraws, len(h.targets))
			out = append(out, h)
		}
	}
	if len(out) == 0 {
		return nil, errNoBalance
	}
	return out, nil
}

func normals(normal func() float64, rows, n int) [][]float64 {
	out := make([][]float64, rows)
	for i := range out {
		for range n {
			out[i] = append(out[i], normal())
		}
	}
	return out
}

// joined is all candidates as one, with openings and paths numbered on.
func joined(m *Model, list []Candidate) Candidate {
	var all Candidate
	for _, c := range list {
		openings, paths := len(all.Openings), len(all.Paths)
		for _, h := range c.Holds {
			h.Opened = moved(h.Opened, len(m.Openings), openings)
			h.Sealed = moved(h.Sealed, len(m.Paths), paths)
			h.Covered = moved(h.Covered, len(m.Paths), paths)
			all.Holds = append(all.Holds, h)
		}
		all.Openings, all.Paths = append(all.Openings, c.Openings...), append(all.Paths, c.Paths...)
	}
	return all
}

// moved adds by to the numbers from first on.
func moved(list []int, first, by int) []int {
	var out []int
	for _, i := range list {
		if i >= first {
			i += by
		}
		out = append(out, i)
	}
	return out
}

// fill finds the joint covariance in the house x. It is false where some
// candidate cannot be made there.
func (h *informedHouse) fill(e *objective, p *problem, first int, list []Candidate, x []float64, slopes [][]float64, places []int) bool {
	e.toModel(p.toScores(p.inRange(x)), e.x) // for the slopes of the scores
	var all [][]float64
	for _, g := range slopes { // over the unknowns of the model without candidates
		row := make([]float64, len(x))
		for i, j := range places {
			if j >= 0 {
				row[i] = g[j] * e.slope[i]
			}
		}
		all = append(all, row)
	}
	hold := first
	for _, c := range list {
		h.from = append(h.from, len(all))
		for range c.Holds {
			if c.Trimmed && len(p.holds[hold].fans) > 0 {
				e.trim(hold, x, 0)
			}
			if !e.solve(hold, x) || !p.holds[hold].rest && p.holds[hold].direction*e.nets[hold].fanFlow() <= 0 {
				return false
			}
			all = append(all, e.readingSlopes(hold, x)...)
			hold++
		}
		if stack := p.visits[0].stack; c.StackSD > 0 && stack != none {
			row := make([]float64, len(x))
			row[stack] = e.slope[stack] / c.StackSD
			all = append(all, row)
		}
	}
	h.from = append(h.from, len(all))
	h.cov = p.covariance(all)
	return true
}

// readingSlopes are the derivatives of the readings of a hold, each over its sd,
// with respect to the scores, at the solution of the hold.
func (s *objective) readingSlopes(hold int, x []float64) [][]float64 {
	var out [][]float64
	for _, i := range s.problem.holds[hold].terms {
		t := s.problem.terms[i]
		if t.isFlow() {
			t.read = math.Max(s.flowOf(&t, x), 1e-9) // the reading is right here
		}
		row := make([]float64, len(x))
		_, slope := s.residual(&t, x)
		s.gradient(&t, x, slope, row)
		for j := range row {
			row[j] *= -s.slope[j]
		}
		out = append(out, row)
	}
	return out
}

// covariance is that of linear functions of the scores under the priors.
func (p *problem) covariance(rows [][]float64) [][]float64 {
	cov := make([][]float64, len(rows))
	for i := range cov {
		cov[i] = make([]float64, len(rows))
	}
	for k, u := range p.unknowns {
		v := 1.0
		if u.sd == 0 {
			v = flatSD * flatSD
		}
		for i := range rows {
			if rows[i][k] == 0 {
				continue
			}
			for j := range i + 1 {
				cov[i][j] += v * rows[i][k] * rows[j][k]
			}
		}
	}
	for i := range rows {
		for j := range i {
			cov[j][i] = cov[i][j]
		}
	}
	return cov
}

// targetSlopes are the derivatives of the logarithm of each target with respect
// to the unknowns, and its value, at each row: central differences of smooth
// functions, for an expectation over houses.
func (n *planner) targetSlopes(rows [][]float64) (slopes [][][]float64, values [][]float64) {
	const step = 1e-3
	dim := len(n.post.problem.unknowns)
	var around [][]float64
	for _, row := range rows {
		around = append(around, row)
		for j := range dim {
			for _, d := range []float64{step, -step} {
				x := append([]float64(nil), row...)
				x[j] += d
				around = append(around, x)
			}
		}
	}
	ln := n.post.values(n.asked(), around)
	for k := range rows {
		at := k * (2*dim + 1)
		g, v := make([][]float64, len(ln)), make([]float64, len(ln))
		for i := range ln {
			v[i] = lnAtLeast(ln[i][at])
			g[i] = make([]float64, dim)
			for j := range dim {
				g[i][j] = (lnAtLeast(ln[i][at+1+2*j]) - lnAtLeast(ln[i][at+2+2*j])) / (2 * step)
			}
		}
		slopes, values = append(slopes, g), append(values, v)
	}
	return slopes, values
}

// conditionedOn is the covariance of the targets once candidate i has been read as well.
func (h *informedHouse) conditionedOn(i int) [][]float64 {
	n := len(h.targets)
	var index []int
	for k := range n {
		index = append(index, k)
	}
	for k := h.from[i]; k < h.from[i+1]; k++ {
		index = append(index, k)
	}
	cov := make([][]float64, len(index))
	for a, k := range index {
		cov[a] = make([]float64, len(index))
		for b, l := range index {
			cov[a][b] = h.cov[k][l]
		}
	}
	for a := n; a < len(index); a++ {
		condition(cov, a)
	}
	return cov
}

// condition makes candidate i read.
func (h *informedHouse) condition(i int) {
	for k := h.from[i]; k < h.from[i+1]; k++ {
		condition(h.cov, k)
	}
}

// condition is the covariance once the reading k, of unit variance, is known.
func condition(cov [][]float64, k int) {
	col := make([]float64, len(cov))
	for i := range cov {
		col[i] = cov[i][k]
	}
	total := col[k] + 1
	for i := range cov {
		f := col[i] / total
		for j := range cov {
			cov[i][j] -= f * col[j]
		}
	}
}

// intervalOf is the width of the 90 % interval of a normal quantity.
func intervalOf(variance float64) float64 {
	return 2 * fit.Z90 * math.Sqrt(math.Max(variance, 0))
}

// namesFirst is how likely the target that looks best is the best, among those
// from falls on, when they are known with the covariance cov.
func (h *informedHouse) namesFirst(cov [][]float64, falls int) float64 {
	n := len(h.targets)
	if n-falls < 2 {
		return 1
	}
	right, best := 0, largest(h.targets[falls:])
	for _, z := range h.errors {
		seen := make([]float64, n-falls)
		for i := range seen {
			sd := math.Sqrt(math.Max(cov[falls+i][falls+i], 0))
			seen[i] = h.targets[falls+i] + sd*z[falls+i]
		}
		if largest(seen) == best {
			right++
		}
	}
	return float64(right) / float64(len(h.errors))
}

func largest(v []float64) int {
	best := 0
	for i := range v {
		if v[i] > v[best] {
			best = i
		}
	}
	return best
}
