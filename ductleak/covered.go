package ductleak

import (
	"cmp"
	"slices"

	"holdbook/internal/fit"
	"holdbook/units"
)

// CoverReading is the pressure across one covered register during a hold, the
// other registers open, air handler off and filter out.
type CoverReading struct {
	Name  string
	Cover units.Measured[units.Pressure] // room to duct, magnitude
	// House is house to outside, magnitude, and Zone house to the zone the
	// branch runs through; zero Zone means a zone at outdoor pressure.
	House, Zone units.Measured[units.Pressure]
}

// Cover is one reading corrected to a hold of 50 Pa across the branch's leaks.
type Cover struct {
	Reading CoverReading
	Drive   units.Pressure // what could drive the branch: house to zone, or the hold
	At50    units.Estimate[units.Pressure]
	// Ratio is the branch's leaks to outside over the ways from the house into
	// it, the other open registers with them: a ratio, never a size.
	Ratio units.Estimate[units.Ratio]
	Rank  int // 1: the branch to look at first
	// Connected is true at 5 Pa and above (LBNL BEDES), Clear when the reading
	// is zero within its error; between the two it is neither.
	Connected, Clear bool
	// WeakZone warns of a zone less than 15 Pa from the house.
	WeakZone bool
}

// Covers are the readings of one system.
type Covers struct {
	Each   []Cover // in the order given
	Median units.Estimate[units.Pressure]
	Worst  int // index into Each
}

// CoverSays is what cover readings can not say.
const CoverSays = "a covered-register pressure finds the branch, not the size of its leak: " +
	"it falls with every other register that stands open, so compare only registers read in the same state"

const (
	coverConnected = 5 * units.Pressure(1)  // LBNL BEDES entry for this test
	leastZone      = 10 * units.Pressure(1) // judgement
	weakZone       = 15 * units.Pressure(1) // judgement
)

// CoverAt50 is a cover reading corrected for the zone's pressure and the
// hold: p·50/Z with Z house to zone, or the hold when the zone is outdoors.
func CoverAt50(p, zone units.Pressure) units.Pressure { return p * reference50 / zone }

// RankCovers corrects and ranks cover readings, the highest first: the higher
// the pressure the leakier the branch to outside. The median speaks for the
// system, because one branch fallen off dominates a mean (Francisco, Pigg and
// Olson 2009).
func RankCovers(readings []CoverReading) (Covers, error) {
	if len(readings) == 0 {
		return Covers{}, wrong("covered registers", "read the pressure across one covered register at least", "no reading")
	}
	var c Covers
	for _, r := range readings {
		one, err := correctCover(r)
		if err != nil {
			return Covers{}, err
		}
		c.Each = append(c.Each, one)
	}
	c.rank()
	c.Median = c.median()
	return c, nil
}

func correctCover(r CoverReading) (Cover, error) {
	name := "register " + r.Name + ", cover pressure"
	drive := driving(r.House, r.Zone)
	if err := cmp.Or(
		checkMeasured(name, r.Cover),
		checkPositive(name+", house pressure", r.House),
		checkPositive(name+", house-to-zone pressure", drive)); err != nil {
		return Cover{}, err
	}
	switch excess := r.Cover.Value - drive.Value; {
	case drive.Value < leastZone:
		return Cover{}, wrong(name, "open the zone to outdoors and read again",
			"the zone is only %s from the house, under 10 Pa", drive.Value)
	case r.Cover.Value < -3*r.Cover.SD:
		return Cover{}, wrong(name, "give the magnitude, room to duct", "%s is below zero", r.Cover.Value)
	case excess > 3*r.Cover.SD+3*drive.SD:
		return Cover{}, wrong(name, "check the hose and the zone's own pressure",
			"%s is above the %s that could drive it", r.Cover.Value, drive.Value)
	}
	c := fillCover(r, drive)
	return c, cmp.Or(checkResult(name, c.At50), checkResult(name, c.Ratio))
}

func fillCover(r CoverReading, drive units.Measured[units.Pressure]) Cover {
	c := Cover{Reading: r, Drive: drive.Value, WeakZone: drive.Value < weakZone}
	exponent := units.Measured[units.Ratio]{Value: DuctExponent, SD: ExponentSD}
	out := simulate(func(n fit.Noise) []float64 {
		z := aroundPositive(n, drive)
		p := min(max(0, around(n, r.Cover)), 0.999*z) // the duct lies between house and zone
		return []float64{float64(CoverAt50(p, z)), float64(SeriesRatio(p, z, exponentOf(n, exponent)))}
	})
	c.At50, c.Ratio = estimateOf[units.Pressure](out[0]), estimateOf[units.Ratio](out[1])
	c.Connected = c.At50.Value >= coverConnected
	c.Clear = r.Cover.Value <= 2*r.Cover.SD
	return c
}

func (c *Covers) rank() {
	order := make([]int, len(c.Each))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch pa, pb := c.Each[a].At50.Value, c.Each[b].At50.Value; {
		case pa > pb:
			return -1
		case pa < pb:
			return 1
		}
		return 0
	})
	for place, i := range order {
		c.Each[i].Rank = place + 1
	}
	c.Worst = order[0]
}

// median is the median of the corrected readings, with an interval from their
// own errors.
func (c Covers) median() units.Estimate[units.Pressure] {
	values := make([]float64, len(c.Each))
	return simulateOne(func(n fit.Noise) units.Pressure {
		for j, one := range c.Each {
			values[j] = float64(max(0, draw(n, one.At50)))
		}
		return units.Pressure(middle(values))
	})
}

// middle is the median of values, which it sorts.
func middle(values []float64) float64 {
	slices.Sort(values)
	half := len(values) / 2
	if len(values)%2 == 1 {
		return values[half]
	}
	return (values[half-1] + values[half]) / 2
}

// SystemRatio is the series ratio of the whole duct system with all its
// registers covered: leaks to outside over leaks to the house, (p/(H−p))^n.
func SystemRatio(covered, hold units.Measured[units.Pressure], n units.Measured[units.Ratio]) (units.Estimate[units.Ratio], error) {
	var none units.Estimate[units.Ratio]
	if err := cmp.Or(checkPositive("house pressure", hold), checkNotNegative("covered-register pressure", covered),
		checkPositive("exponent", n)); err != nil {
		return none, err
	}
	if covered.Value >= hold.Value {
		return none, wrong("covered-register pressure", "read it house to duct in the same hold",
			"%s is not below the hold of %s: the ratio has no upper end", covered.Value, hold.Value)
	}
	e := simulateOne(func(noise fit.Noise) units.Ratio {
		h := aroundPositive(noise, hold)
		p := min(max(0, around(noise, covered)), 0.999*h)
		return SeriesRatio(p, h, exponentOf(noise, n))
	})
	return e, checkResult("covered-register pressure", e)
}
