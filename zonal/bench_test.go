package zonal

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"holdbook/internal/fit"
)

func BenchmarkForwardSolve(b *testing.B) {
	for _, zones := range []int{1, 3, 10, 30, 100} {
		b.Run(fmt.Sprintf("zones=%d", zones), func(b *testing.B) {
			r := rand.New(rand.NewPCG(1, 1))
			p, err := compile(testModel(r, zones, 1))
			if err != nil {
				b.Fatal(err)
			}
			e := newEvaluator(p)
			x, y := p.truth(r, 0.5), p.truth(r, 0.5)
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				if i%2 == 0 {
					e.solve(0, x)
				} else {
					e.solve(0, y)
				}
			}
		})
	}
}

func BenchmarkModeAndCurvature(b *testing.B) {
	benchSheets(b, Options{CurvatureOnly: true})
}

func BenchmarkSampled(b *testing.B) {
	benchSheets(b, Options{})
}

// benchSheets times two sizes of sheets without weather, and the same in it as a sheet
// would have it: presumed joints, second ways of openings, a hold at rest.
func benchSheets(b *testing.B, o Options) {
	for _, size := range [][2]int{{2, 3}, {3, 4}} {
		for _, weather := range []bool{false, true} {
			b.Run(fmt.Sprintf("zones=%d/holds=%d/weather=%v", size[0], size[1], weather), func(b *testing.B) {
				m := testModel(rand.New(rand.NewPCG(2, 2)), size[0], size[1])
				if weather {
					m, _, _ = large(size[0], size[1], true).house(rand.New(rand.NewPCG(2, 2)))
				}
				benchModel(b, m, o)
			})
		}
	}
}

func benchModel(b *testing.B, m *Model, o Options) {
	var last *Estimate
	for b.Loop() {
		e, err := Solve(m, o)
		if err != nil {
			b.Fatal(err)
		}
		last = e
	}
	if s := last.Posterior.sampler; s != fit.NotRun && s != fit.Sampled {
		b.Logf("status %v", s)
	}
	b.ReportMetric(float64(len(last.Posterior.draws)), "draws")
}
