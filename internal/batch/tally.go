package batch

import (
	"cmp"
	"maps"
	"slices"

	"holdbook/internal/survey"
)

// shares are those at which a stock's quantiles are given.
var shares = []float64{0.05, 0.25, 0.5, 0.75, 0.95}

// Tally gathers rows into a stock, in memory that does not grow with their
// number. It is not safe for concurrent use.
type Tally struct {
	sheets, failed, suspect, empty int
	findings                       map[findingID]*finding
	through                        map[string]*flows
	limits                         []*tried
}

// findingID is a finding in a unit: rows of earlier runs may differ in theirs.
type findingID struct{ key, unit string }

type finding struct {
	order      int
	spread     spread
	unresolved int
}

// flows are sums over houses, in cfm.
type flows struct {
	houses         int
	through, whole float64
}

// NewTally starts a stock that is held against limits.
func NewTally(limits ...Limit) *Tally {
	t := &Tally{findings: map[findingID]*finding{}, through: map[string]*flows{}}
	for _, l := range limits {
		t.limits = append(t.limits, &tried{Limit: l})
	}
	return t
}

// Add takes one row in.
func (t *Tally) Add(r Row) {
	t.sheets++
	if r.Findings == nil {
		t.failed++
		return
	}
	f := r.Findings
	if f.Empty() {
		t.empty++
	}
	if len(f.Suspects) > 0 {
		t.suspect++
	}
	h := f.House
	t.each(houseKeys, h.Flow50, h.AirChanges50, h.FlowPerArea, h.LeakArea4, h.LeakArea10, h.Exponent)
	t.zones(f)
	if d := f.Ducts; d != nil {
		t.each(ductKeys, d.LeakageOutside25, d.LeakageTotal25, d.SupplyLeakage, d.ReturnLeakage,
			d.NetImbalance, d.DeliveryEffectiveness, d.DistributionEfficiency)
	}
	if v := f.Ventilation; v != nil {
		t.each(restKeys, v.Infiltration)
	}
}

func (t *Tally) each(keys []string, qs ...*survey.Q) {
	for i, q := range qs {
		t.put(keys[i], q, true)
	}
}

// put takes in one finding of one house; where it is not resolved the house is
// only counted.
func (t *Tally) put(key string, q *survey.Q, resolved bool) {
	if q == nil {
		return
	}
	id := findingID{key, q.Unit}
	f := t.findings[id]
	if f == nil {
		f = &finding{order: rank(key)}
		t.findings[id] = f
	}
	if !resolved {
		f.unresolved++
		return
	}
	f.spread.add(q.Value)
	for _, l := range t.limits {
		if l.Key == key {
			l.hold(q)
		}
	}
}

// zones takes in the zones of a house, those of one kind together.
func (t *Tally) zones(f *survey.Findings) {
	kinds := map[string][]survey.Zone{}
	for _, z := range f.Zones {
		kinds[z.Kind] = append(kinds[z.Kind], z)
		t.put("zones."+z.Kind+".connection_fraction", z.ConnectionFraction, true)
	}
	for kind, zones := range kinds {
		through, resolved := together(zones)
		if through == nil {
			continue
		}
		t.put("zones."+kind+".through_flow_50", through, resolved)
		whole := f.House.Flow50
		if whole == nil || !(whole.Value > 0) || whole.Unit != through.Unit {
			continue
		}
		share := &survey.Q{Value: through.Value / whole.Value, Low: through.Low / whole.Value, High: through.High / whole.Value}
		t.put("zones."+kind+"."+shareKey, share, resolved)
		if resolved {
			t.count(kind, share.Value, whole)
		}
	}
}

// together is the flow through all zones of a kind; ends are added, which is wide
// for several.
func together(zones []survey.Zone) (sum *survey.Q, resolved bool) {
	resolved = true
	for _, z := range zones {
		q := z.ThroughFlow50
		if q == nil {
			return nil, false
		}
		if sum == nil {
			sum = &survey.Q{Unit: q.Unit}
		}
		sum.Value, sum.Low, sum.High = sum.Value+q.Value, sum.Low+q.Low, sum.High+q.High
		resolved = resolved && z.Resolved
	}
	return sum, resolved
}

// count adds a house to the share of leakage through a kind of space.
func (t *Tally) count(kind string, share float64, whole *survey.Q) {
	size := whole.Value
	if whole.Unit == "m3/h" {
		size /= cubicMetrePerHourInCFM
	}
	s := t.through[kind]
	if s == nil {
		s = &flows{}
		t.through[kind] = s
	}
	s.houses++
	s.through += share * size
	s.whole += size
}

// cubicMetrePerHourInCFM is how many m3/h are a cfm: 0.3048³ × 60, exact.
const cubicMetrePerHourInCFM = 0.3048 * 0.3048 * 0.3048 * 60

// rank puts findings in the order of a house's results.
func rank(key string) int {
	for i, group := range [][]string{houseKeys, nil, ductKeys, restKeys} {
		if k := slices.Index(group, key); k >= 0 {
			return i*100 + k
		}
	}
	return 100
}

// Stock is what has been gathered so far.
func (t *Tally) Stock() *survey.Stock {
	s := &survey.Stock{Stock: 1, Sheets: t.sheets, Failed: t.failed, Suspect: t.suspect, Empty: t.empty,
		Findings: []survey.StockFinding{}, Leakage: []survey.StockShare{}, Limits: []survey.StockLimit{}}
	ids := slices.SortedFunc(maps.Keys(t.findings), func(a, b findingID) int {
		return cmp.Or(cmp.Compare(t.findings[a].order, t.findings[b].order), cmp.Compare(a.key, b.key), cmp.Compare(a.unit, b.unit))
	})
	for _, id := range ids {
		s.Findings = append(s.Findings, t.findings[id].told(id))
	}
	for _, kind := range slices.Sorted(maps.Keys(t.through)) {
		f := t.through[kind]
		s.Leakage = append(s.Leakage, survey.StockShare{Through: kind, Houses: f.houses, Share: f.through / f.whole})
	}
	for _, l := range t.limits {
		s.Limits = append(s.Limits, l.told())
	}
	return s
}

func (f *finding) told(id findingID) survey.StockFinding {
	out := survey.StockFinding{Key: id.key, Unit: id.unit, Houses: f.spread.n, NotResolved: f.unresolved,
		Quantiles: []survey.StockQuantile{}, Within: f.spread.error()}
	if f.spread.n > 0 {
		for i, v := range f.spread.quantiles(shares) {
			out.Quantiles = append(out.Quantiles, survey.StockQuantile{Share: shares[i], Value: v})
		}
	}
	return out
}

func (t *tried) told() survey.StockLimit {
	unit := cmp.Or(t.unit, t.first)
	out := survey.StockLimit{Key: t.Key, Limit: t.in[unit], Unit: unit, Houses: t.houses}
	if t.houses > 0 {
		n := float64(t.houses)
		out.Over, out.Surely, out.Close = float64(t.over)/n, float64(t.surely)/n, float64(t.close)/n
	}
	return out
}
