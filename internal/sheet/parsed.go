package sheet

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"holdbook/units"
)

// parsedKind is a string that has a parser of its own.
func parsedKind[V any](sample string, parse func(string) (V, error), place func(*V, Pos), spell func(V, *encoder) string) *kind {
	return kindOfType("", sample, stringForm, func(d *decoder, n *node, _ *Key) (v V, ok bool) {
		if n.form != stringForm {
			d.fault(n.at, label(n)+"must stand in quotes, with its unit")
			return v, false
		}
		v, err := parse(n.text)
		if err != nil {
			d.fault(n.at, err.Error())
			return v, false
		}
		place(&v, d.src.pos(n.at))
		return v, true
	}, func(e *encoder, v V) string { return writeText(spell(v, e)) })
}

// parseTarget reads a fan flow or air changes an hour.
func parseTarget(s string) (Target, error) {
	if flow, err := flowOf.check(s); err == nil && flow > 0 {
		return Target{Flow: Written(flow, s)}, nil
	}
	rate, err := rateOf.check(s)
	if err != nil || rate <= 0 {
		return Target{}, errors.New(quoted(s) + `: neither a flow nor air changes at 50 Pa; write "1500 cfm" or "3 1/h"`)
	}
	return Target{AirChanges: Written(rate, s)}, nil
}

func (t Target) spelled(e *encoder) string {
	switch {
	case t.Flow.Given:
		return flowOf.spell(t.Flow.Value, t.Flow.Text, e.system)
	case t.AirChanges.Given:
		return rateOf.spell(t.AirChanges.Value, t.AirChanges.Text, e.system)
	}
	return ""
}

func (t Tolerance) spelled(*encoder) string {
	if !t.Given || t.Text != "" {
		return t.Text
	}
	return shareOf.spell(t.Relative, "", "") + " or " + pressureOf.spell(t.Absolute, "", "")
}

// ParseLeaf reads "24 in x 30 in"; a number without a unit has that of the other.
func ParseLeaf(s string) (Leaf, error) {
	wrong := fmt.Errorf("%s: no size of a leaf; write its hinge side first, as in %s", quoted(s), `"24 in x 30 in"`)
	first, second, ok := strings.Cut(strings.NewReplacer("×", "x", " by ", "x", "X", "x").Replace(s), "x")
	if !ok {
		return Leaf{}, wrong
	}
	if _, unit := splitNumber(second); strings.IndexFunc(first, unicode.IsLetter) < 0 {
		first += " " + unit
	}
	l, err1 := lengthOf.check(strings.TrimSpace(first))
	w, err2 := lengthOf.check(strings.TrimSpace(second))
	if err1 != nil || err2 != nil || l <= 0 || w <= 0 {
		return Leaf{}, wrong
	}
	return Leaf{HingeSide: l, Width: w, Text: s, Given: true}, nil
}

func (l Leaf) spelled(e *encoder) string {
	if l.Text != "" || !l.Given {
		return l.Text
	}
	return lengthOf.spell(l.HingeSide, "", e.system) + " x " + lengthOf.spell(l.Width, "", e.system)
}

// energyUnits in joules: the international table Btu, and the therm of
// 100,000 of them (NIST Special Publication 811, 2008, appendix B).
var energyUnits = factors{{"kWh", 3.6e6}, {"MJ", 1e6}, {"GJ", 1e9}, {"therm", 1.05505585262e8}, {"million Btu", 1.05505585262e9}}

// parsePrice reads "1.35 per therm", "$0.14 / kWh" or "0.30 EUR per kWh".
func parsePrice(s string) (Price, error) {
	const example = `"1.35 per therm" or "0.14 EUR per kWh"`
	amount, unit, ok := strings.Cut(s, " per ")
	if !ok {
		amount, unit, ok = strings.Cut(s, "/")
	}
	if !ok {
		return Price{}, fmt.Errorf("%s: no price for a unit of energy; write %s", quoted(s), example)
	}
	start := strings.IndexAny(amount, "+-.0123456789")
	if start < 0 {
		return Price{}, fmt.Errorf("%s: no number; write %s", quoted(s), example)
	}
	number, after := splitNumber(amount[start:])
	energy, err := energyUnits.parse("1 "+strings.TrimSpace(unit), example)
	if err != nil {
		return Price{}, fmt.Errorf("%s: the unit of energy must be kWh, MJ, GJ, therm or million Btu; write %s", quoted(s), example)
	}
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || v < 0 || v > 1e6 {
		return Price{}, fmt.Errorf("%s: no price with a decimal point and above zero; write %s", quoted(s), example)
	}
	currency := units.Sanitize(strings.TrimSpace(strings.TrimSpace(amount[:start]) + after))
	return Price{PerJoule: v / energy, Currency: currency, Text: s, Given: true}, nil
}

// parseTolerance reads "1 % or 0.25 Pa", or one of the two parts alone.
func parseTolerance(s string) (Tolerance, error) {
	const example = `"1 % or 0.25 Pa"`
	t := Tolerance{Text: s, Given: true}
	for i, part := range strings.SplitN(s, " or ", 3) {
		var err error
		switch {
		case i == 2:
			err = fmt.Errorf("%s: three parts where two are wanted; write %s", quoted(s), example)
		case strings.Contains(part, "%") || strings.Contains(part, "percent"):
			t.Relative, err = shareOf.check(part)
		default:
			t.Absolute, err = pressureOf.check(part)
		}
		if err != nil {
			return Tolerance{}, err
		}
	}
	if t.Relative < 0 || t.Absolute < 0 || t.Relative+units.Ratio(t.Absolute) == 0 {
		return Tolerance{}, fmt.Errorf("%s: an error must be above zero; write %s", quoted(s), example)
	}
	return t, nil
}

// parseAmount reads a limit's number by its unit.
func parseAmount(s string) (Amount, error) {
	a := Amount{Text: s, Given: true}
	try := func(kind AmountKind, v float64, err error) bool {
		if err == nil {
			a.Kind, a.Value = kind, v
		}
		return err == nil
	}
	flow, ferr := flowOf.check(s)
	pressure, perr := pressureOf.check(s)
	rate, rerr := rateOf.check(s)
	share, serr := units.ParseRatio(s)
	area, aerr := areaOf.check(s)
	specific, sperr := parseFlowPerArea(s)
	if try(FlowAmount, float64(flow), ferr) || try(PressureAmount, float64(pressure), perr) ||
		try(RateAmount, float64(rate), rerr) || try(ShareAmount, float64(share), serr) ||
		try(AreaAmount, float64(area), aerr) || try(FlowPerAreaAmount, float64(specific), sperr) {
		return a, nil
	}
	return a, fmt.Errorf(`%s: no limit this program knows the unit of; write "3 1/h", "60 cfm", "6 %%", "5 Pa", "0.25 cfm/ft2" or "4 cfm per 100 ft2"`, quoted(s))
}

// parseFlowPerArea also reads "4 cfm per 100 ft2".
func parseFlowPerArea(s string) (units.SpecificFlow, error) {
	above, below, ok := strings.Cut(s, " per ")
	if !ok {
		return units.ParseSpecificFlow(s)
	}
	if below = strings.TrimSpace(below); strings.IndexAny(below, "0123456789") != 0 {
		below = "1 " + below
	}
	flow, err := flowOf.check(above)
	if err != nil {
		return 0, err
	}
	area, err := areaOf.check(below)
	if err == nil && area <= 0 {
		err = fmt.Errorf("%s: an area of zero", quoted(s))
	}
	return units.SpecificFlow(float64(flow) / float64(area)), err
}
