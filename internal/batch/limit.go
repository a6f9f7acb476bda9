package batch

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
)

// Limit is a number that a finding of every house is set against.
type Limit struct {
	Key   string     // of the finding, as in a Stock
	value float64    // in SI
	base  units.Unit // of what it limits
}

// in is the limit in a unit alike its own.
func (l Limit) in(u units.Unit) float64 { return units.Convert(l.value, l.base, u) }

// dimension is a kind of quantity that a limit may be stated in.
type dimension struct {
	parse func(string) (float64, error) // to SI
	base  units.Unit
	key   string // of the finding that is meant unless one is named
}

func dimensionOf[Q ~float64](parse func(string) (Q, error), key string, base units.Unit) dimension {
	return dimension{func(s string) (float64, error) {
		v, err := parse(s)
		return float64(v), err
	}, base, key}
}

// parseRatio reads a share, as a plain number or in percent.
func parseRatio(text string) (units.Ratio, error) { return units.ParseRatioIn(text, units.One) }

var dimensions = []dimension{
	dimensionOf(units.ParseRate, "house.air_changes_50", units.PerSecond),
	dimensionOf(units.ParseFlow, "house.flow_50", units.CubicMetrePerSecond),
	dimensionOf(units.ParseArea, "house.leak_area_4", units.SquareMetre),
	dimensionOf(units.ParseSpecificFlow, "house.flow_50_per_floor_area", units.CubicMetrePerSecondSquareMetre),
	dimensionOf(parseRatio, "", units.One),
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
		l := Limit{Key: key, value: v, base: d.base}
		if !named {
			l.Key = d.key
		}
		if l.Key == "" {
			break
		}
		return l, nil
	}
	return Limit{}, errors.New(`write a number with its unit, such as 5 /h or 1500 cfm, or a finding's key before it: "zones.attic.share_of_flow_50 = 20 %"`)
}

// partKeys and zoneKeys are the findings that a stock is told in: of the house, of the
// ducts and of its ventilation, and of each kind of zone.
var (
	partKeys = []string{"house.flow_50", "house.air_changes_50", "house.flow_50_per_floor_area", "house.leak_area_4", "house.leak_area_10", "house.exponent",
		"ducts.leakage_outside_25", "ducts.leakage_total_25", "ducts.supply_leakage", "ducts.return_leakage",
		"ducts.net_imbalance", "ducts.delivery_effectiveness", "ducts.distribution_efficiency", "ventilation.infiltration"}
	zoneKeys = []string{"connection_fraction", "through_flow_50", shareKey}

	firstOfDucts = slices.Index(partKeys, "ducts.leakage_outside_25")
)

const shareKey = "share_of_flow_50"

func keys() []string {
	all := slices.Clone(partKeys[:firstOfDucts])
	for _, k := range zoneKeys {
		all = append(all, "zones.KIND."+k)
	}
	return append(all, partKeys[firstOfDucts:]...)
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
	unit                        units.Unit // that it is told in
	houses, over, surely, close int
}

// judge takes one house's finding in.
func (t *tried) judge(q *survey.Q) {
	if !q.Unit.Alike(t.base) {
		return
	}
	t.unit = q.Unit
	limit := t.in(t.unit)
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
