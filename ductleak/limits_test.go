package ductleak

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbook/units"
)

func limit(t *testing.T, id string) Limit {
	t.Helper()
	l, err := FindLimit(id)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Every line of the table is whole, its words are known, and nothing in it is
// from memory.
func TestLimitsTable(t *testing.T) {
	all, err := parseLimits(limitsTable)
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 35 {
		t.Errorf("only %d limits", len(all))
	}
	quantities := []Quantity{DuctLeakageOutside, DuctLeakageTotal, GaragePressure, GarageDoorRise, ClosedRoomPressure,
		NeighbourPressure, CAZDepressurisation, HouseAirChanges, HouseFlowPerEnvelope}
	seen := map[string]bool{}
	for _, l := range all {
		if seen[l.ID] || l.ID == "" || l.Document == "" || l.Source == "" || !(l.Value > 0) || math.IsInf(l.Value, 0) {
			t.Errorf("incomplete or repeated: %+v", l)
		}
		seen[l.ID] = true
		if !slices.Contains(quantities, l.Quantity) || !slices.Contains([]Sense{AtMost, Below, Above}, l.Sense) ||
			!slices.Contains([]Basis{NoBasis, PerFloorArea, PerEnvelopeArea, OfAirHandler}, l.Basis) {
			t.Errorf("unknown word: %+v", l)
		}
		if l.Known != "published" && l.Known != "second text" {
			t.Errorf("%s is known from %q", l.ID, l.Known)
		}
		if strings.Contains(l.Text(units.IP)+l.Text(units.SI), "?") {
			t.Errorf("%s prints as %q", l.ID, l.Text(units.SI))
		}
	}
}

func TestLimitsTableErrors(t *testing.T) {
	head := strings.SplitAfter(string(limitsTable), "\n")
	for _, bad := range []string{
		"x,d,e,q,25,none,,at most,four,cfm,published,s\n", "x,d,e,q,25,none,,at most,4,acfm,published,s\n",
		"x,d,e,q,low,none,,at most,4,cfm,published,s\n", "x,d\n",
	} {
		if _, err := parseLimits([]byte(head[5] + bad)); err == nil {
			t.Errorf("%q was read", bad)
		}
	}
}

// Title 24 2008 Table RA3.1-2: 72, 48, 180 and 120 cfm of 1200 cfm.
func TestTitle24(t *testing.T) {
	handler := Exactly(units.Flow(1200 * cfm))
	for id, at := range map[string]float64{
		"title24-2008-new": 72, "title24-2008-rough-no-handler": 48, "title24-2008-altered-total": 180, "title24-2008-altered-outside": 120,
	} {
		atLimit(t, limit(t, id), at, func(q float64) units.Estimate[float64] {
			share, err := ShareOf(Exactly(units.Flow(q*cfm)), handler)
			if err != nil {
				t.Fatal(err)
			}
			return Plain(share)
		})
	}
}

// atLimit fails unless the limit is met at a value and not a thousandth above.
func atLimit(t *testing.T, l Limit, at float64, of func(float64) units.Estimate[float64]) {
	t.Helper()
	if v := l.Judge(of(at)); v != Meets {
		t.Errorf("%s at %g: %s", l.ID, at, v)
	}
	if v := l.Judge(of(at * 1.001)); v != Fails {
		t.Errorf("%s just above %g: %s", l.ID, at, v)
	}
}

// Washington forms: 1900 ft² allow 152, 114, 114 and 76 cfm; IECC 2012 to 2018:
// 60 cfm in 1500 ft² is 4.0 per 100 ft² and passes 4; ENERGY STAR manufactured
// homes by FSEC: 0.03 passes, 0.031 does not.
func TestFloorAreaLimits(t *testing.T) {
	for _, row := range []struct {
		id        string
		floor, at float64
	}{
		{"washington-2009-total", 1900, 152}, {"washington-2009-outside", 1900, 114}, {"washington-2009-rough", 1900, 114},
		{"washington-2009-rough-no-handler", 1900, 76}, {"iecc-2012-total", 1500, 60}, {"iecc-2018-total", 1500, 60},
		{"energystar-manufactured-outside", 1000, 30},
	} {
		atLimit(t, limit(t, row.id), row.at, func(q float64) units.Estimate[float64] {
			per, err := PerArea(Exactly(units.Flow(q*cfm)), units.Area(row.floor*squareFoot))
			if err != nil {
				t.Fatal(err)
			}
			return Plain(per)
		})
	}
	// The design guidance is at 50 Pa: 1.98 and 4.62 at 25 Pa (computed).
	for id, want := range map[string]float64{"california-design-rough": 1.98, "california-design-finished": 4.62} {
		l := limit(t, id)
		near(t, id, 100*units.CFMPerSquareFoot.FromSI(l.Value)*float64(ScaleFlow(1, l.Pressure, 25, 0.6)), want, 0.005)
	}
}

// PNNL garage-to-house guide: must exceed 45 Pa; more than 6 % fails.
func TestGarageLimits(t *testing.T) {
	step1, step2 := limit(t, "garage-pressure"), limit(t, "garage-door")
	for p, want := range map[float64]Verdict{45: Fails, 45.1: Meets, 44.9: Fails} {
		if v := step1.Judge(Exactly(p)); v != want {
			t.Errorf("%g Pa: %s", p, v)
		}
	}
	for open, want := range map[float64]Verdict{1060: Meets, 1061: Fails} {
		if v := step2.Judge(Exactly((open - 1000) / 1000)); v != want {
			t.Errorf("%g cfm: %s", open, v)
		}
	}
}

// PNNL and ENERGY STAR: 4 Pa is outside ±3 Pa, inside ±5 Pa; Florida: 2.6 Pa is
// outside 2.5 Pa.
func TestRoomLimits(t *testing.T) {
	for _, row := range []struct {
		id   string
		p    float64
		want Verdict
	}{{"room-energystar", 4, Fails}, {"room-energystar-large", 4, Meets}, {"room-florida", 2.6, Fails}, {"room-florida", 2.5, Meets}} {
		if v := limit(t, row.id).Judge(Exactly(row.p)); v != row.want {
			t.Errorf("%s, %g Pa: %s", row.id, row.p, v)
		}
	}
}

func TestTooClose(t *testing.T) {
	e := units.Estimate[float64]{Value: 2.9, Low: 2.4, High: 3.4}
	if v := limit(t, "room-energystar").Judge(e); v != TooClose {
		t.Errorf("verdict %s", v)
	}
	if v := limit(t, "iecc-2009-house").Judge(Exactly(7.0 / 3600)); v != Fails {
		t.Errorf("7 /h is not below 7 /h: %s", v)
	}
}

func TestLimitText(t *testing.T) {
	for _, row := range []struct {
		id     string
		system units.System
		want   string
	}{
		{"iecc-2018-total", units.IP, "at most 4 cfm per 100 ft² of floor area at 25 Pa"},
		{"title24-2008-new", units.SI, "at most 6 % of air-handler flow at 25 Pa"},
		{"garage-pressure", units.IP, "above 45.0 Pa at 50 Pa"},
		{"room-florida", units.SI, "at most 2.5 Pa"},
		{"title24-2008-conditioned", units.IP, "at most 25 cfm at 25 Pa"},
	} {
		if got := limit(t, row.id).Text(row.system); got != row.want {
			t.Errorf("%s: %q, want %q", row.id, got, row.want)
		}
	}
	_, err := FindLimit("nowhere")
	refused(t, err, "limit")
	if got := LimitsOn(ClosedRoomPressure); len(got) != 4 {
		t.Errorf("%d room limits", len(got))
	}
}

// The chance of meeting a limit agrees with the verdict: an end of the 90 % interval has
// 5 % beyond it, on a straight and on a logarithmic scale; the normal distribution is
// that of tables (2.5 % beyond 1.96 sd, 15.87 % beyond 1 sd).
func TestChanceAgreesWithTheVerdict(t *testing.T) {
	const sd = 0.1
	straight := units.Estimate[float64]{Value: 0, Low: -1.6448536 * sd, High: 1.6448536 * sd}
	curved := units.Estimate[float64]{Value: 1, Low: math.Exp(straight.Low), High: math.Exp(straight.High)}
	for z, below := range map[float64]float64{-1.959964: 0.025, -1.6448536: 0.05, -1: 0.158655, 0: 0.5, 1: 0.841345, 1.6448536: 0.95, 1.959964: 0.975} {
		for sense, want := range map[Sense]float64{AtMost: below, Below: below, Above: 1 - below} {
			assert.InDelta(t, want, Limit{Sense: sense, Value: z * sd}.Chance(straight), 1e-5, "%v %v", sense, z)
			assert.InDelta(t, want, Limit{Sense: sense, Value: math.Exp(z * sd)}.Chance(curved), 1e-5, "%v %v", sense, z)
		}
	}
	for sense, want := range map[Sense]float64{AtMost: 1, Below: 0, Above: 0} {
		assert.Equal(t, want, Limit{Sense: sense, Value: 7}.Chance(Exactly(7.0)), "%v, known", sense)
	}
}
