package pressure

import (
	"math"
	"testing"

	"holdbook/units"
)

var sinkFlow units.Flow
var sinkSlope float64

func BenchmarkLeakFlowAndSlope(b *testing.B) {
	for _, c := range []struct {
		name string
		leak Leak
	}{{"n065", Leak{0.05, 0.65}}, {"n05", Leak{0.05, 0.5}}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			dp := units.Pressure(3)
			for b.Loop() {
				sinkFlow, sinkSlope = c.leak.FlowAndSlope(dp)
				dp = -dp * 1.0000001
			}
		})
	}
}

func BenchmarkLeakFlowPartials(b *testing.B) {
	b.ReportAllocs()
	l, dp := Leak{0.05, 0.65}, units.Pressure(3)
	for b.Loop() {
		sinkFlow, sinkSlope, _ = l.FlowPartials(dp)
		dp = -dp * 1.0000001
	}
}

// BenchmarkMathPow is the plain way, for comparison.
func BenchmarkMathPow(b *testing.B) {
	l, dp := Leak{0.05, 0.65}, 3.0
	for b.Loop() {
		q := l.C * math.Pow(math.Abs(dp), l.N)
		sinkFlow, sinkSlope = units.Flow(q), q*l.N/dp
		dp = -dp * 1.0000001
	}
}
