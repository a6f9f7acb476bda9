package survey

import (
	"iter"
	"math"
	"reflect"
	"strings"
	"sync"

	"holdbook/pressure"
	"holdbook/units"
)

// roundOff is the width of an interval, as a share of its value, that arithmetic
// makes of nothing.
const roundOff = 1e-9

// toQ is an estimate with the base unit of u, which says what is estimated; nil
// where it is not finite.
func toQ[T ~float64](e units.Estimate[T], u units.Unit) *Q {
	q := &Q{Unit: u.Base()}
	q.Value, q.Low, q.High = e.In(q.Unit)
	if q.High-q.Low <= roundOff*math.Abs(q.Value) {
		q.Low, q.High = q.Value, q.Value // known: its last digits are arithmetic
	}
	if !units.Finite(q.Value, q.Low, q.High) {
		return nil
	}
	return q
}

// Flow is an estimated flow as findings have it; so are the others.
func Flow(e units.Estimate[units.Flow]) *Q { return toQ(e, units.CubicMetrePerSecond) }

// Rate is an estimated air change.
func Rate(e units.Estimate[units.Rate]) *Q { return toQ(e, units.PerSecond) }

// Ratio is an estimated ratio.
func Ratio(e units.Estimate[units.Ratio]) *Q { return toQ(e, units.One) }

func percentOf(e units.Estimate[units.Ratio]) *Q { return toQ(e, units.Percent) }

func pascals(e units.Estimate[units.Pressure]) *Q { return toQ(e, units.Pascal) }

// leakArea is a leak area, with the pressure and coefficient it is stated for.
func leakArea(e units.Estimate[units.Area], at pressure.AreaReference) *Q {
	q := toQ(e, units.SquareMetre)
	if q != nil {
		q.Coefficient, q.Pressure = float64(at.Cd), float64(at.Pressure)
	}
	return q
}

// Scale is an estimate times an exact factor, as another quantity.
func Scale[B, A ~float64](e units.Estimate[A], k float64) units.Estimate[B] {
	return units.Estimate[B]{Value: B(k * float64(e.Value)), Low: B(k * float64(e.Low)), High: B(k * float64(e.High))}
}

// Estimates are the estimates that stand in a part of the findings itself, in order and
// by their keys; one that no reading touches is nil.
func Estimates(part any) iter.Seq2[string, *Q] {
	return func(yield func(string, *Q) bool) {
		v := reflect.ValueOf(part)
		for _, e := range estimatesIn(v.Type()) {
			if !yield(e.key, v.Field(e.field).Interface().(*Q)) {
				return
			}
		}
	}
}

// keyed is a field with an estimate.
type keyed struct {
	key   string
	field int
}

// seen are the estimates in the types met before: a stock asks for those of every house.
var seen sync.Map

func estimatesIn(part reflect.Type) []keyed {
	if list, ok := seen.Load(part); ok {
		return list.([]keyed)
	}
	var list []keyed
	for i := range part.NumField() {
		if f := part.Field(i); f.Type == reflect.TypeFor[*Q]() {
			key, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			list = append(list, keyed{key, i})
		}
	}
	seen.Store(part, list)
	return list
}
