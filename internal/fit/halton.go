package fit

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mathext"
)

// halton is a randomised Halton sequence: points that fill the unit cube more
// evenly than independent ones, each of them uniform. In each dimension the
// digits of the point's number, in a prime base, are permuted at random and
// mirrored at the point (Owen 2017, A randomized Halton algorithm in R). Any point
// can be had without those before it.
type halton struct {
	dims []vanDerCorput
}

// vanDerCorput is one dimension.
type vanDerCorput struct {
	base   int
	digits [][]float64 // worth of each digit at each place, permuted
	rest   []float64   // worth of the zeros from each place on
}

// evenDims is how many dimensions are worth it: beyond, the bases are so large
// that a few hundred points no longer fill pairs of dimensions evenly.
const evenDims = 48

// newHalton makes the sequence of a seed, in n dimensions or as many as are worth it.
func newHalton(seed uint64, n int) *halton {
	h := &halton{}
	for base := 2; len(h.dims) < min(n, evenDims); base++ {
		if isPrime(base) {
			h.dims = append(h.dims, newVanDerCorput(Random(seed, streamOfHalton+uint64(base)), base))
		}
	}
	return h
}

func isPrime(n int) bool {
	for d := 2; d*d <= n; d++ {
		if n%d == 0 {
			return false
		}
	}
	return true
}

// newVanDerCorput draws the permutations of as many places as a float can tell.
func newVanDerCorput(rng *rand.Rand, base int) vanDerCorput {
	const finest = 1e-12
	v := vanDerCorput{base: base}
	for worth := 1 / float64(base); worth > finest; worth /= float64(base) {
		place := make([]float64, base)
		for digit, to := range rng.Perm(base) {
			place[digit] = float64(to) * worth
		}
		v.digits = append(v.digits, place)
	}
	v.rest = make([]float64, len(v.digits)+1)
	v.rest[len(v.digits)] = finest / 2 // keeps off 0
	for d := len(v.digits) - 1; d >= 0; d-- {
		v.rest[d] = v.rest[d+1] + v.digits[d][0]
	}
	return v
}

// at is coordinate k of the sequence, strictly between 0 and 1.
func (v *vanDerCorput) at(k int) float64 {
	sum, d := 0.0, 0
	for ; k > 0 && d < len(v.digits); d++ {
		sum += v.digits[d][k%v.base]
		k /= v.base
	}
	return math.Min(sum+v.rest[d], 1-1e-13)
}

// normals fills z with standard normal numbers for draw k: by the sequence as far
// as it goes, then from rng.
func (h *halton) normals(k int, rng *rand.Rand, z []float64) {
	for i := range z {
		if i < len(h.dims) {
			z[i] = mathext.NormalQuantile(h.dims[i].at(k))
		} else {
			z[i] = rng.NormFloat64()
		}
	}
}
