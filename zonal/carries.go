package zonal

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// carried is by how much the standard deviation of the logarithm of a size must grow
// without a reading for the size to rest on it.
const carried = 2.0

// carries finds the leaks whose sizes rest on each reading that no other one checks: the
// curvature at the mode without it is that with it, less what it tells (the formula of
// Sherman and Morrison for one row).
func (j *judge) carries(checks []Check) {
	p, cov := j.problem, j.post.scores.Covariance
	_, jacobian, err := linearised(inScores(p), j.post.scores.X)
	if err != nil {
		return
	}
	told := mat.NewVecDense(len(p.unknowns), nil)
	for i := range checks {
		if checks[i].Checkable {
			continue
		}
		row := mat.NewVecDense(told.Len(), jacobian.RawRowView(checks[i].Reading))
		told.MulVec(cov, row)
		const least = 1e-9
		free := math.Max(1-mat.Dot(row, told), least)
		for path, at := range p.size {
			if at == none {
				continue
			}
			now, more := cov.At(int(at), int(at)), told.AtVec(int(at))
			if now+more*more/free > carried*carried*now {
				checks[i].Carries = append(checks[i].Carries, path)
			}
		}
	}
}
