package fit

import (
	"math"
	"slices"
	"sync"
)

// draw is one draw; x is nil where there was no solution.
type draw struct {
	x, residuals []float64
	logWeight    float64
}

// drawList collects draws in their order, whatever order they were made in.
type drawList []draw

// extend makes count more draws, shared out between the solvers.
func (l *drawList) extend(solvers []*drawSolver, seed uint64, count int) {
	first := len(*l)
	*l = append(*l, make(drawList, count)...)
	var wg sync.WaitGroup
	for w, s := range solvers {
		wg.Go(func() {
			for k := first + w; k < first+count; k += len(solvers) {
				if d, ok := s.solveDraw(seed, k); ok {
					(*l)[k] = d
				}
			}
		})
	}
	wg.Wait()
}

// weigh turns log weights into weights that sum to one.
func (l drawList) weigh() Draws {
	r := Draws{Made: len(l)}
	for _, d := range l {
		if d.x == nil {
			r.Failed++
			continue
		}
		r.X, r.Residuals, r.logWeights = append(r.X, d.x), append(r.Residuals, d.residuals), append(r.logWeights, d.logWeight)
	}
	lw := r.logWeights
	top := math.Inf(-1)
	for _, v := range lw {
		top = math.Max(top, v)
	}
	sum := 0.0
	for _, v := range lw {
		w := math.Exp(v - top)
		r.Weights = append(r.Weights, w)
		sum += w
	}
	r.truncate(sum)
	return r
}

// truncate limits the weights, whose sum is given, and finds their effective sample size.
func (r *Draws) truncate(sum float64) {
	n := float64(len(r.Weights))
	r.cut(sum / n * math.Sqrt(n))
	squares := 0.0
	for _, w := range r.Weights {
		squares += w * w
	}
	if squares > 0 {
		r.ESS = 1 / squares
	}
}

// cut limits each weight, and makes their sum one.
func (r *Draws) cut(limit float64) {
	total := 0.0
	for i, w := range r.Weights {
		r.Weights[i] = math.Min(w, limit)
		total += r.Weights[i]
	}
	for i := range r.Weights {
		r.Weights[i] /= total
	}
}

// limitWeights cuts weights, whose sum is one, until none is above 1/√n of what is left of
// them all; where fewer than √n draws weigh anything those come to weigh alike.
func (r *Draws) limitWeights() {
	up := slices.Sorted(slices.Values(r.Weights))
	below := make([]float64, len(up)+1) // what the lightest weigh together
	for i, w := range up {
		below[i+1] = below[i] + w
	}
	limit, most := 1.0, math.Sqrt(float64(len(up)))
	for k := 0; float64(k) < most && below[len(up)-k] > 0; k++ { // the k heaviest at the limit
		if limit = below[len(up)-k] / (most - float64(k)); up[len(up)-1-k] <= limit {
			break
		}
	}
	r.cut(limit)
}

// Evenly picks about n places, in equal steps of the cumulative weight: a heavy one more
// than once.
func Evenly(weights []float64, n int) (picked []int) {
	sum, next := 0.0, 0.5/float64(n)
	for i, w := range weights {
		for sum += w; sum > next && len(picked) < n; next += 1 / float64(n) {
			picked = append(picked, i)
		}
	}
	return picked
}
