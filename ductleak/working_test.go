package ductleak

import (
	"strings"
	"testing"

	"holdbook/pressure"
	"holdbook/units"
)

// wantLine fails unless one worked line carries all the texts.
func wantLine(t *testing.T, lines []pressure.Worked, texts ...string) {
	t.Helper()
next:
	for _, l := range lines {
		for _, text := range texts {
			if !strings.Contains(l.Numbers, text) {
				continue next
			}
		}
		if l.Source == "" || l.Formula == "" || strings.ContainsAny(l.Numbers+l.Formula, "{}") {
			t.Errorf("incomplete line %+v", l)
		}
		return
	}
	t.Errorf("no line with %q in %+v", texts, lines)
}

func TestSubtractionWorking(t *testing.T) {
	r, err := subtraction(2500, 2300, 42, 0.01).Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	ip := r.Working(units.IP)
	wantLine(t, ip, "2500 cfm", "2300 cfm", "= 200 cfm")
	wantLine(t, ip, "42 Pa", "^0.65", "= 1.436")
	wantLine(t, ip, "= 287 cfm")
	wantLine(t, ip, "^0.6 ", "= 190 cfm")
	wantLine(t, ip, "= 97.8 cfm")
	wantLine(t, r.Working(units.SI), "m³/h")
	for _, l := range ip {
		if strings.Contains(l.Formula+l.Source, "SCF") {
			t.Errorf("trade abbreviation on a screen: %+v", l)
		}
	}
}

func TestOtherWorking(t *testing.T) {
	open, err := OpenRegister{Flow: flow(30, 1), House: pa(25, 0.3), Ducts: pa(12, 0.3), Scaling: exponent(0.6)}.Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	wantLine(t, open.Working(units.IP), "25 Pa - 12 Pa", "= 13 Pa")
	wantLine(t, open.Working(units.IP), "30.0 cfm", "= 44.4 cfm")

	one, err := OnePressureTest{Flow: flow(96, 3), Pressure: pa(25, 0.2), Residual: pa(0.2, 0.05),
		Inside25: Exactly(units.Flow(200 * cfm)), Scaling: exponent(0.6)}.Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	wantLine(t, one.Working(units.IP), "200.0 cfm", "0.2 Pa", "= 11.0 cfm")
	wantLine(t, one.Working(units.IP), "96.0 cfm", "= 85.0 cfm")

	total, err := TotalTest{Flow: flow(100, 3), Pressure: pa(20, 0.2), Scaling: exponent(0.6)}.Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	wantLine(t, total.Working(units.IP), "20 Pa", "= 114 cfm")

	covers, err := RankCovers([]CoverReading{coverAt("hall", 5)})
	if err != nil {
		t.Fatal(err)
	}
	wantLine(t, covers.Each[0].Working(units.IP), "^0.6 ", "= 0.2676")
}
