package batch

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
)

// Limit is a number to hold a finding of every house against.
type Limit struct {
	Key   string             // of the finding, as in a Stock
	in    map[string]float64 // in each unit that a house may tell it in
	first string             // the unit it is told in where no house does
}

// dimension is a kind of quantity that a limit may be stated in.
type dimension struct {
	parse func(string) (float64, error) // to SI
	units []units.Unit                  // that findings of it are printed in
	key   string                        // of the finding that is meant unless one is named
}

func dimensionOf[Q ~float64](parse func(string) (Q, error), key string, in ...units.Unit) dimension {
	return dimension{func(s string) (float64, error) {
		v, err := parse(s)
		return float64(v), err
	}, in, key}
}

// parseRatio reads a share, as a plain number or in percent.
func parseRatio(text string) (units.Ratio, error) { return units.ParseRatioIn(text, units.One) }

var dimensions = []dimension{
	dimensionOf(units.ParseRate, "house.air_changes_50", units.PerHour),
	dimensionOf(units.ParseFlow, "house.flow_50", units.CFM, units.CubicMetrePerHour),
	dimensionOf(units.ParseArea, "house.leak_area_4", units.SquareInch, units.SquareCentimetre),
	dimensionOf(units.ParseSpecificFlow, "house.flow_50_per_floor_area", units.CFMPerSquareFoot, units.CubicMetrePerHourSquareMetre),
	dimensionOf(parseRatio, "", units.One, units.Percent),
}

// ParseLimit reads a limit with its unit, such as "5 /h", or of a finding by its
// key, such as "zones.attic.share_of_flow_50 = 20 %". The error says what would do.
func ParseLimit(text string) (Limit, error) {
	key, amount, named := strings.Cut(text, "=")
	if !named {
		key, amount = "", text
	}
	key, amount = strings.TrimSpace(key), strings.TrimSpace(amount)
	if named && !isKey(key) {
		return Limit{}, fmt.Errorf("no finding has the key %q; write one of %s", units.Sanitize(key), strings.Join(keys(), ", "))
	}
	for _, d := range dimensions {
		v, err := d.parse(amount)
		if err != nil {
			continue
		}
		l := Limit{Key: key, in: map[string]float64{}, first: d.units[0].Symbol()}
		if !named {
			l.Key = d.key
		}
		if l.Key == "" {
			break
		}
		for _, u := range d.units {
			l.in[u.Symbol()] = u.FromSI(v)
		}
		return l, nil
	}
	return Limit{}, errors.New(`write a number with its unit, such as 5 /h or 1500 cfm, or a finding's key before it: "zones.attic.share_of_flow_50 = 20 %"`)
}

// houseKeys and ductKeys are the findings that a stock is told in.
var (
	houseKeys = []string{"house.flow_50", "house.air_changes_50", "house.flow_50_per_floor_area", "house.leak_area_4", "house.leak_area_10", "house.exponent"}
	zoneKeys  = []string{"connection_fraction", "through_flow_50", shareKey}
	ductKeys  = []string{"ducts.leakage_outside_25", "ducts.leakage_total_25", "ducts.supply_leakage", "ducts.return_leakage",
		"ducts.net_imbalance", "ducts.delivery_effectiveness", "ducts.distribution_efficiency"}
	restKeys = []string{"ventilation.infiltration"}
)

const shareKey = "share_of_flow_50"

func keys() []string {
	var all []string
	all = append(all, houseKeys...)
	for _, k := range zoneKeys {
		all = append(all, "zones.KIND."+k)
	}
	return append(append(all, ductKeys...), restKeys...)
}

// isKey says whether a finding goes by the key.
func isKey(key string) bool {
	if parts := strings.Split(key, "."); len(parts) == 3 && parts[0] == "zones" && parts[1] != "KIND" {
		return slices.Contains(zoneKeys, parts[2])
	}
	return !strings.HasPrefix(key, "zones.") && slices.Contains(keys(), key)
}

// tried is a limit and what was found of it.
type tried struct {
	Limit
	unit                        string
	houses, over, surely, close int
}

// hold takes one house's finding in.
func (t *tried) hold(q *survey.Q) {
	limit, ok := t.in[q.Unit]
	if !ok {
		return
	}
	t.unit = q.Unit
	t.houses++
	switch {
	case q.Low > limit:
		t.surely++
	case q.High > limit:
		t.close++
	}
	if q.Value > limit {
		t.over++
	}
}
