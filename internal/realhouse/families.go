package realhouse

// Families are the houses, weathers and crews of the table in DEVELOPERS.md.
var Families = families()

var (
	sharp  = [2]float64{0.5, 0.5}
	still  = [2]float64{0, 0.6}
	light  = [2]float64{1, 2.5}
	fresh  = [2]float64{3, 6}
	winter = [2]float64{8, 25}
	frost  = [2]float64{25, 40}
)

func families() []Family {
	calm := Family{Name: "calm", Storeys: 1, Cold: [2]float64{-2, 2}, Wind: still, Said: "calm", Temperatures: true,
		Baselines: AllBaselines, Exponents: 0.05, Zero: 0.1, Openings: sharp}
	with := func(f Family, name string, change func(*Family)) Family {
		f.Name = name
		change(&f)
		return f
	}
	var list []Family
	add := func(name string, change func(*Family)) { list = append(list, with(calm, name, change)) }
	add("calm", func(*Family) {})
	reads := []string{"no baseline", "house baseline", "zone baselines"}
	for b := AllBaselines; b >= NoBaseline; b-- {
		add("one storey in winter, "+reads[b], func(f *Family) { f.Cold, f.Baselines = winter, b })
	}
	for b := AllBaselines; b >= NoBaseline; b-- {
		add("two storeys in frost, "+reads[b], func(f *Family) { f.Storeys, f.Cold, f.Baselines = 2, frost, b })
	}
	add("two storeys in frost, temperatures not stated", func(f *Family) {
		f.Storeys, f.Cold, f.Baselines, f.Temperatures = 2, frost, HouseBaseline, false
	})
	add("light wind, stated", func(f *Family) { f.Wind, f.Said, f.Baselines = light, "light", HouseBaseline })
	add("light wind, not stated", func(f *Family) { f.Wind, f.Said, f.Baselines = light, "", HouseBaseline })
	add("fresh wind, stated", func(f *Family) { f.Wind, f.Said, f.Baselines = fresh, "breezy", HouseBaseline })
	add("fresh wind, said to be light", func(f *Family) { f.Wind, f.Said, f.Baselines = fresh, "light", HouseBaseline })
	add("undeclared joint of garage and attic", func(f *Family) { f.Joint = 60 })
	add("exponents ±0.09", func(f *Family) { f.Exponents = 0.09 })
	add("exponents ±0.12", func(f *Family) { f.Exponents = 0.12 })
	add("gauge zero 0.3 Pa", func(f *Family) { f.Zero, f.Baselines = 0.3, HouseBaseline })
	add("hatch that opens a chase", func(f *Family) { f.Chase = 0.05 })
	add("openings of 0.5 to 0.62", func(f *Family) { f.Openings = [2]float64{0.5, 0.62} })
	return list
}
