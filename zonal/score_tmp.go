package zonal

import "math"

type tn struct{ m, s float64 }

func (t tn) Value(u float64) float64 {
	return 0.5 + 0.5/(1+math.Exp(-u))
}
func (t tn) Slope(u float64) float64 { v := 1 / (1 + math.Exp(-u)); return 0.5 * v * (1 - v) }
func (t tn) Score(x float64) float64 { v := (x - 0.5) / 0.5; return math.Log(v / (1 - v)) }
