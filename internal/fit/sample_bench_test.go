package fit

import (
	"testing"
)

// BenchmarkSampleGaussian reports the density evaluations of an ordinary run:
// a normal target of 20 coordinates with its covariance given.
func BenchmarkSampleGaussian(b *testing.B) {
	d, cov := gaussian(20, 1e4, 1)
	var grads, kept, ess, acc, step float64
	seed := uint64(0)
	for b.Loop() {
		out, err := Sample(always(d), SampleOptions{Seed: seed, Start: make([]float64, 20), Covariance: cov, Workers: 1})
		if err != nil || out.Status.Early() {
			b.Fatal(err, out.Status)
		}
		seed++
		grads += float64(out.Gradients)
		kept += float64(len(out.X))
		ess += out.LeastESS()
		acc += out.Acceptance
		step += out.Step
	}
	n := float64(b.N)
	b.ReportMetric(grads/n, "grads/run")
	b.ReportMetric(kept/n, "draws/run")
	b.ReportMetric(ess/n, "ess/run")
	b.ReportMetric(acc/n, "acc")
	b.ReportMetric(step/n, "step")
}
