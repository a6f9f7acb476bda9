package ductleak

import (
	"math"
	"testing"

	"holdbook/units"
)

func coverAt(name string, p float64) CoverReading {
	return CoverReading{Name: name, Cover: pa(p, 0.2), House: pa(50, 0.4)}
}

// Computed: 1.2 Pa with the zone 35 Pa from the house is 1.71 Pa at 50 Pa.
func TestCoverZone(t *testing.T) {
	near(t, "corrected", CoverAt50(1.2, 35), 1.71, 0.005)
	r := coverAt("hall", 1.2)
	r.Zone = pa(35, 0.4)
	c, err := RankCovers([]CoverReading{r})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "corrected", c.Each[0].At50.Value, 1.71, 0.005)
	ordered(t, "corrected", c.Each[0].At50)
	ordered(t, "ratio", c.Each[0].Ratio)
}

// Computed ratios of a branch and of a whole system.
func TestSeriesRatio(t *testing.T) {
	for p, want := range map[units.Pressure]units.Ratio{
		0.5: .0635, 1: .0968, 2: .1486, 4: .2310, 5: .2676, 8: .3697, 10: .4353, 25: 1.0000,
	} {
		near(t, "branch", SeriesRatio(p, 50, 0.6), want, 5e-5)
	}
	for p, want := range map[float64]units.Ratio{45: 4.17, 25: 1.00, 10: 0.41, 5: 0.24} {
		r, err := SystemRatio(pa(p, 0.4), pa(50, 0.4), exponent(0.65))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "system", r.Value, want, 0.005)
		ordered(t, "system", r)
	}
	_, err := SystemRatio(pa(50, 0.4), pa(50, 0.4), exponent(0.65))
	refused(t, err, "covered-register pressure")
}

// LBNL BEDES: about zero is not connected, 5 Pa and more is.
func TestCoverConnected(t *testing.T) {
	c, err := RankCovers([]CoverReading{coverAt("a", 0), coverAt("b", 5), coverAt("c", math.Nextafter(5, 0)), coverAt("d", 8)})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct {
		connected, clear bool
		rank             int
	}{{false, true, 4}, {true, false, 2}, {false, false, 3}, {true, false, 1}} {
		got := c.Each[i]
		if got.Connected != want.connected || got.Clear != want.clear || got.Rank != want.rank {
			t.Errorf("%s: connected %v clear %v rank %d, want %v", got.Reading.Name, got.Connected, got.Clear, got.Rank, want)
		}
	}
	near(t, "median", c.Median.Value, 5, 1e-9)
	ordered(t, "median", c.Median)
	if c.Worst != 3 {
		t.Errorf("worst %d, want 3", c.Worst)
	}
}

// A branch run off in an outdoor zone reads the whole hold, give or take.
func TestCoverAtTheHold(t *testing.T) {
	c, err := RankCovers([]CoverReading{coverAt("off", 50.3)})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "capped", c.Each[0].At50.Value, 50, 0.1)
	ordered(t, "ratio", c.Each[0].Ratio)
}

func TestCoversRefuse(t *testing.T) {
	near10 := coverAt("x", 2)
	near10.Zone = pa(9.9, 0.4)
	for says, r := range map[string]CoverReading{
		"register x": near10,
		"register y": coverAt("y", -3),
		"register z": coverAt("z", 70),
		"register w": coverAt("w", math.Inf(1)),
	} {
		_, err := RankCovers([]CoverReading{r})
		refused(t, err, says)
	}
	_, err := RankCovers(nil)
	refused(t, err, "covered registers")
}
