package batch

import (
	"cmp"
	"maps"
	"slices"

	"holdbook/internal/report/view"
	"holdbook/internal/survey"
	"holdbook/units"
)

// probabilities are those at which a stock's quantiles are given.
var probabilities = []float64{0.05, 0.25, 0.5, 0.75, 0.95}

// Tally gathers rows into a stock, in memory that does not grow with their
// number. It is not safe for concurrent use.
type Tally struct {
	sheets, failed, suspect, empty int
	system                         units.System
	findings                       map[string]*finding // by their key
	through                        map[string]*flows
	limits                         []*tried
	pool                           *pool
	fit                            *stockFit // of the pool, once asked for
}

type finding struct {
	order        int
	unit         units.Unit
	distribution distribution
	unresolved   int
}

// flows are sums over houses.
type flows struct {
	houses         int
	through, whole float64
}

// NewTally starts a stock in a system of units that is set against limits.
func NewTally(system units.System, limits ...Limit) *Tally {
	t := &Tally{system: system, findings: map[string]*finding{}, through: map[string]*flows{}, pool: newPool()}
	for _, l := range limits {
		t.limits = append(t.limits, &tried{Limit: l, unit: system.For(l.base)})
	}
	return t
}

// Add takes one row in. Rows of earlier runs may be in any units.
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
	t.pool.add(f)
	t.fit = nil
	t.each("house", f.House)
	t.zones(f)
	if f.Ducts != nil {
		t.each("ducts", *f.Ducts)
	}
	if f.Ventilation != nil {
		t.each("ventilation", *f.Ventilation)
	}
}

// each takes in those estimates of a part of a house's results that a stock is told in.
func (t *Tally) each(name string, part any) {
	for key, q := range survey.Estimates(part) {
		if key := name + "." + key; slices.Contains(partKeys, key) {
			t.put(key, t.shown(q), true)
		}
	}
}

// shown is an estimate in the units of the stock; nil for one that is no number.
func (t *Tally) shown(q *survey.Q) *survey.Q {
	if q != nil {
		q, _, _ = view.Of(q, t.system, nil) // a pointer gives no error
	}
	return q
}

// put takes in one finding of one house; where it is not resolved the house is
// only counted.
func (t *Tally) put(key string, q *survey.Q, resolved bool) {
	if q == nil {
		return
	}
	f := t.findings[key]
	if f == nil {
		f = &finding{order: rank(key), unit: q.Unit}
		t.findings[key] = f
	}
	if !resolved {
		f.unresolved++
		return
	}
	f.distribution.add(q.Value)
	for _, l := range t.limits {
		if l.Key == key {
			l.judge(q)
		}
	}
}

// zones takes in the zones of a house, those of one kind together.
func (t *Tally) zones(f *survey.Findings) {
	kinds := map[string][]survey.Zone{}
	for _, z := range f.Zones {
		kinds[z.Kind] = append(kinds[z.Kind], z)
		t.put("zones."+z.Kind+".connection_fraction", t.shown(z.ConnectionFraction), true)
	}
	for kind, zones := range kinds {
		through, resolved := t.together(zones)
		if through == nil {
			continue
		}
		t.put("zones."+kind+".through_flow_50", through, resolved)
		whole := t.shown(f.House.Flow50)
		if whole == nil || !(whole.Value > 0) {
			continue
		}
		share := &survey.Q{Value: through.Value / whole.Value, Low: through.Low / whole.Value, High: through.High / whole.Value, Unit: units.One}
		t.put("zones."+kind+"."+shareKey, share, resolved)
		if resolved {
			t.count(kind, share.Value, whole.Value)
		}
	}
}

// together is the flow through all zones of a kind; ends are added, which is wide
// for several.
func (t *Tally) together(zones []survey.Zone) (sum *survey.Q, resolved bool) {
	resolved = true
	for _, z := range zones {
		q := t.shown(z.ThroughFlow50)
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
func (t *Tally) count(kind string, share, whole float64) {
	s := t.through[kind]
	if s == nil {
		s = &flows{}
		t.through[kind] = s
	}
	s.houses++
	s.through += share * whole
	s.whole += whole
}

// rank puts findings in the order of a house's results, those of zones after the house's.
func rank(key string) int {
	switch k := slices.Index(partKeys, key); {
	case k < 0:
		return firstOfDucts
	case k >= firstOfDucts:
		return k + 1
	default:
		return k
	}
}

// Stock is what has been gathered so far.
func (t *Tally) Stock() *survey.Stock {
	s := &survey.Stock{Stock: 1, Sheets: t.sheets, Failed: t.failed, Suspect: t.suspect, Empty: t.empty,
		Findings: []survey.StockFinding{}, Leakage: []survey.StockShare{}, Limits: []survey.StockLimit{}}
	keys := slices.SortedFunc(maps.Keys(t.findings), func(a, b string) int {
		return cmp.Or(cmp.Compare(t.findings[a].order, t.findings[b].order), cmp.Compare(a, b))
	})
	components := t.fitted().components()
	for _, key := range keys {
		told := t.findings[key].told(key)
		t.spreadOut(&told, components[key])
		s.Findings = append(s.Findings, told)
	}
	if t.pool.seen+t.pool.without > 0 {
		s.Pooled = &survey.StockPooled{Houses: t.pool.seen, Without: t.pool.without}
		leaks, little := t.leaks(t.fitted().numbers())
		s.Pooled.Leaks, s.Pooled.Little = survey.OrEmpty(leaks), survey.OrEmpty(little)
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

func (f *finding) told(key string) survey.StockFinding {
	out := survey.StockFinding{Key: key, Unit: f.unit, Houses: f.distribution.n, NotResolved: f.unresolved,
		Quantiles: []survey.StockQuantile{}, Within: f.distribution.error()}
	if f.distribution.n > 0 {
		for i, v := range f.distribution.quantiles(probabilities) {
			out.Quantiles = append(out.Quantiles, survey.StockQuantile{Probability: probabilities[i], Value: v})
		}
	}
	return out
}

func (t *tried) told() survey.StockLimit {
	out := survey.StockLimit{Key: t.Key, Limit: t.in(t.unit), Unit: t.unit, Houses: t.houses}
	if t.houses > 0 {
		n := float64(t.houses)
		out.Over, out.Surely, out.Close = float64(t.over)/n, float64(t.surely)/n, float64(t.close)/n
	}
	return out
}
