package report

import (
	"fmt"
	"math"
	"testing"

	"holdbook/internal/survey"
	"holdbook/units"
)

// Both houses here are invented; their numbers only have to look like a house.

func q(value, low, high float64, unit string) *survey.Q {
	q := &survey.Q{Value: value, Low: low, High: high}
	if err := q.Unit.UnmarshalText([]byte(unit)); err != nil {
		panic(err)
	}
	return q
}

func area(value, low, high, pa, cd float64) *survey.Q {
	return &survey.Q{Value: value, Low: low, High: high, Unit: units.SquareInch, Pressure: pa, Coefficient: cd}
}

// demoHouse is a house with an attic, a garage and ducts, as the demo has it.
func demoHouse(testing.TB) *survey.Findings {
	f := &survey.Findings{
		Results: 1,
		Job: survey.Job{Name: "Fernhollow Lane 12", Date: "2026-03-14", By: "A. Sample", Place: "invented", Wind: "calm",
			Hold: "depressurised", Units: "ip", GaugeID: "G-1", GaugeCal: "2026-01-09", Invented: true},
		House: survey.House{
			Flow50: q(2263.41827, 2180.11934, 2348.50551, "cfm"), Exponent: q(0.6412345, 0.602211, 0.681133, ""),
			AirChanges50: q(9.430909, 9.08383, 9.785439, "1/h"), FlowPerArea: q(1.2574546, 1.2111774, 1.3047253, "cfm/ft2"),
			LeakArea4: area(126.31442, 113.20071, 140.85519, 4, 1), LeakArea10: area(231.90771, 213.40219, 251.88126, 10, 0.611),
			StandardAir: q(2201.55312, 2118.7712, 2285.8812, "cfm"), StandardBy: "the fan's calibration standard",
			DirectShare: q(57.9, 52.3, 62.8, "%"),
		},
		Target: &survey.Target{Flow50: *q(1500, 1500, 1500, "cfm"), Verdict: "fails", Chance: 0.0002},
		Paths: []survey.Path{
			{Between: [2]string{"house", "outside"}, Flow50: q(1312.77123, 1190.4412, 1421.55017, "cfm"), Area4: area(73.1021, 64.110, 82.9931, 4, 1),
				Exponent: q(0.65511, 0.58012, 0.7301, ""), Now50: q(1312.77123, 1190.4412, 1421.55017, "cfm"), NowResolved: true, Resolved: true},
			{Between: [2]string{"house", "attic"}, Flow50: q(612.41, 541.0391, 698.7114, "cfm"), Area4: area(34.2101, 29.02, 40.13, 4, 1),
				Exponent: q(0.66, 0.57, 0.75, ""), Now50: q(561.2231, 498.1, 632.991, "cfm"), NowResolved: true, Resolved: true},
			{Between: [2]string{"attic", "outside"}, Flow50: q(2411.5512, 1902.3312, 3098.77, "cfm"), Area4: area(148.9, 112.22, 196.5, 4, 1),
				Exponent: q(0.601, 0.51, 0.69, ""), Now50: q(561.2231, 498.1, 632.991, "cfm"), NowResolved: true, Resolved: true},
			{Between: [2]string{"house", "garage"}, Flow50: q(188.2, 61.31, 421.9, "cfm"), Area4: area(10.31, 3.3, 23.5, 4, 1),
				Exponent: q(0.65, 0.55, 0.75, ""), Now50: q(178.3, 58.12, 399.1, "cfm"), Resolved: false},
			{Between: [2]string{"garage", "outside"}, Flow50: q(905.21, 402.3, 2012.7, "cfm"), Area4: area(50.2, 21.3, 112.0, 4, 1),
				Exponent: q(0.65, 0.55, 0.75, ""), Now50: q(178.3, 58.12, 399.1, "cfm"), Resolved: true, MostlyPrior: true},
			{Between: [2]string{"house", "ducts"}, Flow50: q(2980.1, 1490.33, 5920.2, "cfm"), Now50: q(211.9, 161.2, 270.3, "cfm"), NowResolved: true, Resolved: true, Note: "registers"},
			{Between: [2]string{"ducts", "outside"}, Flow50: q(96.1, 55.21, 141.8, "cfm"), Area4: area(5.1, 2.9, 7.7, 4, 1),
				Exponent: q(0.6, 0.51, 0.69, ""), Now50: q(94.2, 54.1, 139.9, "cfm"), NowResolved: true, Resolved: true},
			{Between: [2]string{"ducts", "attic"}, Flow50: q(127.3, 82.9, 181.2, "cfm"), Area4: area(6.9, 4.4, 10.0, 4, 1),
				Exponent: q(0.6, 0.51, 0.69, ""), Now50: q(117.2, 77.0, 166.2, "cfm"), NowResolved: true, Resolved: true},
		},
		Zones: []survey.Zone{
			{Name: "attic", Kind: "attic", Meant: "outside", ToHouse: q(42.81, 42.1, 43.52, "Pa"), ConnectionFraction: q(0.1438, 0.1301, 0.1577, ""),
				ThroughFlow50: q(561.2231, 498.1, 632.991, "cfm"), Share: q(24.81, 21.9, 28.1, "%"), LeakRatio: q(0.254, 0.188, 0.331, ""), Resolved: true},
			{Name: "garage", Kind: "garage", Meant: "outside", ToHouse: q(46.22, 45.4, 47.03, "Pa"), ConnectionFraction: q(0.0757, 0.0591, 0.0922, ""),
				ThroughFlow50: q(178.3, 58.12, 399.1, "cfm"), Share: q(7.91, 2.52, 17.31, "%"), LeakRatio: q(0.208, 0.121, 0.3, ""), Resolved: false},
			{Name: "ducts", Kind: "ducts", Meant: "inside", ToHouse: q(0.911, 0.4, 1.42, "Pa"), ConnectionFraction: q(0.9818, 0.9716, 0.992, ""),
				ThroughFlow50: q(211.9, 161.2, 270.3, "cfm"), Share: q(9.41, 7.12, 11.93, "%"), Resolved: true, Near: "house"},
		},
		Openings: []survey.Opening{
			{Hold: "attic hatch propped open", Name: "hatch", Between: [2]string{"house", "attic"}, Flow50: q(4102.3, 2790.1, 6120.9, "cfm"),
				Area: &survey.Q{Value: 402.3, Low: 271.9, High: 601.2, Unit: units.SquareInch, Coefficient: 0.6}, Resolved: true},
			{Hold: "hole cut, attic to house", Between: [2]string{"house", "attic"}, Flow50: q(407.7, 380.2, 436.1, "cfm"),
				Area: &survey.Q{Value: 40, Low: 38.03, High: 42.04, Unit: units.SquareInch, Coefficient: 0.6}, Known: true, Resolved: true},
		},
		SealFirst: []survey.SealChoice{
			{Between: [2]string{"house", "attic"}, Drop50: q(548.3, 486.2, 619.9, "cfm"), ChanceFirst: 0.9712, FanAfter: q(1715.2, 1610, 1822.3, "cfm"),
				Step: 1, FanAtStep: q(1715.2, 1610, 1822.3, "cfm"), Hours: 4, DropPerHour: q(137.1, 121.6, 155, "cfm/h")},
			{Between: [2]string{"ducts", "outside"}, What: "duct leaks", Drop50: q(201.2, 150.3, 255.1, "cfm"), ChanceFirst: 0.0243, FanAfter: q(2062.1, 1972.1, 2152, "cfm"),
				Step: 2, FanAtStep: q(1521.8, 1410.2, 1633.7, "cfm"), Hours: 3, DropPerHour: q(67.1, 50.1, 85, "cfm/h")},
			{Between: [2]string{"house", "garage"}, Drop50: q(171.1, 55.2, 384.4, "cfm"), ChanceFirst: 0.0045, FanAfter: q(2090.2, 1870, 2230, "cfm"),
				Step: 3, FanAtStep: q(1350.1, 1133.3, 1500.6, "cfm"), Note: "not resolved yet"},
			{Between: [2]string{"house", "outside"}, Drop50: q(1312.77123, 1190.4412, 1421.55017, "cfm"), Direct: true},
		},
		Hand: []survey.HandAnswer{
			{Method: "two leaks in series", About: "attic", Quantity: "leak_ratio", Result: q(0.2531, 0.19, 0.34, ""), Resolved: true},
			{Method: "opened-door test", About: "attic", Quantity: "through_flow_50", Result: q(571.3, 402.1, 741.9, "cfm"), Resolved: true},
			{Method: "added-opening test", About: "garage", Quantity: "through_flow_50", Resolved: false, Note: "the change of 0.4 Pa is too small to carry an answer"},
		},
		Notices: []survey.Notice{
			{Level: survey.Note, About: "baseline", Text: "baselines of zone readings were not read: half of the house baseline was taken off each, and its doubt added"},
			{Level: survey.Warning, About: "hold 2, garage", Text: "no change to the garage was read, so its two leaks stand and fall together; open its outer door for one hold"},
			{Level: survey.Danger, About: "garage", Text: "air comes from the garage into the house: fumes of vehicles and stored fuel come with it. Test combustion appliances before leaving, as local code and licensed practice ask"},
			{Level: survey.Note, About: "hold 3", Text: "baselines of zone readings were not read: half of the house baseline was taken off each, and its doubt added"},
		},
		Method: survey.Method{Intervals: "sampled", Status: "converged", Effective: 2113.4, Seed: "91c0"},
	}
	demoDucts(f)
	demoRecord(f)
	return f
}

func demoDucts(f *survey.Findings) {
	share := 0.92
	f.Ducts = &survey.Ducts{
		LeakageOutside25: q(147.3, 118.2, 178.9, "cfm"), LeakageTotal25: q(231.4, 221.3, 241.6, "cfm"),
		SupplyLeakage: q(88.2, 61.9, 118.4, "cfm"), ReturnLeakage: q(41.7, 20.3, 66.2, "cfm"), NetImbalance: q(46.5, 31.2, 62.2, "cfm"),
		DeliveryEffectiveness: q(0.832, 0.79, 0.871, ""), CoveredPressure: q(40.92, 40.2, 41.63, "Pa"),
		Registers: []survey.Register{
			{Name: "living room north", Side: "supply", Cover: q(1.4, 1.15, 1.65, "Pa"), Cover50: q(1.45, 1.2, 1.71, "Pa"), Flow: q(92, 87, 97, "cfm"), ShareDesign: &share, Rank: 2},
			{Name: "hall return", Side: "return", Cover: q(4.2, 3.95, 4.45, "Pa"), Cover50: q(4.3, 4.02, 4.61, "Pa"), Rank: 1, Verdict: "open joint near it"},
			{Name: "bath", Side: "supply", Cover: q(0.3, 0.05, 0.55, "Pa"), Cover50: q(0.31, 0.05, 0.57, "Pa"), Flow: q(31, 28, 34, "cfm"), Rank: 3},
		},
		Tests: []survey.DuctTest{
			{Name: "subtraction", Quantity: "leakage_outside_50", Result: q(211.2, 122.3, 300.4, "cfm"), Resolved: true, Agrees: "agrees"},
			{Name: "total", Quantity: "leakage_total_25", Result: q(231.4, 221.3, 241.6, "cfm"), Resolved: true},
			{Name: "open register", Quantity: "leakage_outside_50", Result: q(60.1, 11.2, 190.4, "cfm"), Resolved: false, Note: "one register alone could not carry the flow"},
		},
		OnOff: &survey.OnOff{Correlation: 0.83},
		Losses: []survey.Loss{
			{Cause: "supply leaks", Share: q(7.4, 5.2, 9.9, "%"), Cost: q(88, 61, 118, "USD")},
			{Cause: "conduction", Share: q(9.3, 6.1, 12.8, "%"), Note: "insulation as given"},
		},
		Rooms: []survey.RoomPressure{{Name: "bedroom", Pressure: q(4.31, 3.9, 4.72, "Pa"), Flow50: q(61.2, 30.3, 118, "cfm"), Rank: 1,
			Verdict: "above 3 Pa", Transfer: q(31.4, 26.1, 37.7, "in2")}},
		Notes: []string{"The air handler's filter was in place."},
	}
	for p := -50.0; p <= 50; p += 10 {
		fit := 46.5 + 18*math.Tanh(p/30)
		f.Ducts.OnOff.Points = append(f.Ducts.OnOff.Points, survey.OnOffPoint{Pressure: p, Difference: math.Round(fit + 4*math.Sin(p)), Fitted: fit, Unit: units.CFM})
	}
	for p := -50.0; p <= 50; p += 2 {
		f.Ducts.OnOff.Curve = append(f.Ducts.OnOff.Curve, survey.OnOffPoint{Pressure: p, Fitted: 46.5 + 18*math.Tanh(p/30), Unit: units.CFM})
	}
}

func demoRecord(f *survey.Findings) {
	fan := func(v float64) *float64 { return &v }
	f.Holds = []survey.Hold{
		{Name: "as found", House: -50.1, Baseline: -1.2, Fan: fan(2280), FanUnit: units.CFM, Used: true},
		{Name: "attic hatch propped open", House: -49.2, Baseline: -1.2, Fan: fan(2610), FanUnit: units.CFM, Changes: []string{"opened hatch, house–attic"}, Used: true},
		{Name: "hole cut, attic to house", House: -48.9, Baseline: -1.2, Changes: []string{"opened 40 in², house–attic"}, Used: true},
		{Name: "registers covered", House: -48.8, Baseline: -1.2, Fan: fan(2150), FanUnit: units.CFM, Changes: []string{"covered registers"}, Used: true},
		{Name: "lower", House: -31, Baseline: -1.2, Fan: fan(1676), FanUnit: units.CFM},
	}
	f.Samples = []survey.Samples{
		{Hold: "as found", Reading: "house", Count: 60, Mean: *q(-50.13, -50.44, -49.82, "Pa"), Spread: 0.81, Drift: 0.56, Effective: 18.2, SD: 0.188, Unit: units.Pascal},
		{Hold: "as found", Reading: "fan", Count: 12, Mean: *q(2284.2, 2276, 2292, "cfm"), Spread: 11, Drift: -18, Effective: 3.1, SD: 5, Unit: units.CFM, Short: true},
	}
	f.Readings = []survey.Reading{
		{Hold: "as found", Of: "attic", To: "house", Read: 43.3, Predicted: *q(42.9, 42.1, 43.7, "Pa"), OffBySD: 0.41, Unit: units.Pascal, Checkable: true},
		{Hold: "as found", Of: "garage", To: "outside", Read: -3.8, Predicted: *q(-3.78, -4.5, -3.02, "Pa"), OffBySD: -0.03, Unit: units.Pascal},
		{Hold: "as found", Of: "fan", Read: 2280, Predicted: *q(2269.2, 2190, 2350, "cfm"), OffBySD: 0.48, Unit: units.CFM, Checkable: true},
		{Hold: "attic hatch propped open", Of: "attic", To: "house", Read: 11.6, Predicted: *q(11.9, 10.8, 13.0, "Pa"), OffBySD: -0.7, Unit: units.Pascal, Checkable: true},
	}
	f.Suspects = []survey.Suspect{{Hold: "registers covered", Of: "ducts", To: "house", Slip: "sign", Text: "41 Pa does not fit with the others; was the hose in the return?",
		Without: []survey.Path{{Between: [2]string{"ducts", "outside"}, Flow50: q(103.2, 40.1, 180.9, "cfm"), Resolved: true}}}}
	f.Priors = []survey.Prior{
		{Of: "house–attic, flow at 50 Pa", Median: *q(300, 25.44, 3537, "cfm"), From: "judgement, not published"},
		{Of: "house–attic, exponent", Median: *q(0.65, 0.551, 0.749, ""), From: "judgement, not published"},
		{Of: "garage–outside, flow at 50 Pa", Median: *q(1000, 84.8, 11790, "cfm"), From: "the sheet"},
	}
	f.Limits = []survey.LimitCheck{{Document: "invented code", Edition: "2021", Quantity: "air_changes_50", Limit: "at most 7 1/h",
		Result: q(9.430909, 9.08383, 9.785439, "1/h"), Verdict: "fails"}}
	f.Ventilation = &survey.Ventilation{Infiltration: q(71.2, 52.1, 96.3, "cfm"), Required: q(84, 84, 84, "cfm"), Fan: q(31.1, 12.2, 48.9, "cfm"),
		Model: "as the standard gives it", Text: "Sealing lowers the infiltration: size the fan for the house afterwards."}
	f.Working = []survey.WorkingStep{
		{About: "attic", Formula: "r = ((P − p) / p)^n", Numbers: "((50.1 − 43.3) / 43.3)^0.65 = 0.300", Source: "power law in series, computed"},
		{About: "ducts", Formula: "Q(open) − Q(covered)", Numbers: "2277 − 2150 = 127 cfm at 50 Pa", Source: "subtraction"},
	}
	f.House.MultiPoint = demoFit()
}

func demoFit() *survey.MultiPoint {
	m := &survey.MultiPoint{Exponent: survey.Q{Value: 0.6431, Low: 0.6271, High: 0.6591, Unit: units.One, Level: 95},
		Flow50:      survey.Q{Value: 2271.3, Low: 2249.2, High: 2293.6, Unit: units.CFM, Level: 95},
		Coefficient: survey.Q{Value: 183.52, Low: 172.9, High: 194.8, Unit: units.CFM.Per("Pa^n"), Level: 95},
		LeakArea4:   area(125.9, 118.2, 134.1, 4, 1), R2: 0.99931,
		WeightedExponent: q(0.6441, 0.621, 0.667, ""), WeightedFlow50: q(2270.4, 2236.1, 2305.2, "cfm")}
	for i, p := range []float64{50.2, 44.8, 39.1, 30.3, 22.4, 15.2} {
		flow := 183.52 * math.Pow(p, 0.6431) * (1 + 0.006*math.Cos(float64(3*i)))
		m.Points = append(m.Points, survey.Point{Hold: fmt.Sprintf("step %d", i+1), Pressure: p, Flow: math.Round(flow), Unit: units.CFM})
	}
	for p := 12.0; p < 62; p *= 1.12 {
		v := 183.52 * math.Pow(p, 0.6431)
		w := 1 + 0.01*(1+math.Abs(math.Log(p/30)))
		m.Band = append(m.Band, survey.Band{Pressure: p, Flow: survey.Q{Value: v, Low: v / w, High: v * w, Unit: units.CFM, Level: 95}})
	}
	return m
}

// hostile are names that try to be something else than a name.
var hostile = []string{
	"\x1b[31mred\x1b[0m attic\a", `<script>alert("x")</script>`, `=HYPERLINK("https://example.org","x")`,
	"abc\u202Efdp\u2066\u200b", "a|b|c", "+1+1", "-2+3", "@SUM(A1)", "`code` *bold* _it_ [l](https://example.org) www.example.org",
	"a very long name that goes on and on, longer than any space in a house has ever been called by anybody at all",
	"line\nbreak\r\ttab", "</svg><img src=x onerror=alert(1)>", "\u009b31m c1", "漢字の部屋", "'\"; DROP", "{{.Job}}", "$x$ &amp; ~~a~~",
	"\uFF1D1+1", "# heading", "1. list",
}

// stressHouse has ten zones, thirty registers and hostile names everywhere.
func stressHouse(t testing.TB) *survey.Findings {
	f := demoHouse(t)
	f.Job.Name, f.Job.By, f.Job.Note, f.Job.Invented = hostile[1], hostile[2], hostile[8], false
	f.Zones, f.Paths, f.SealFirst = nil, nil, nil
	name := func(i int) string { return hostile[i%len(hostile)] }
	path := func(a, b string, size float64, resolved bool) {
		f.Paths = append(f.Paths, survey.Path{Between: [2]string{a, b}, Flow50: q(size, size/2.2, size*2.4, "cfm"),
			Area4: area(size/18, size/40, size/9, 4, 1), Exponent: q(0.65, 0.55, 0.75, ""), Now50: q(size*0.8, size*0.3, size*1.7, "cfm"),
			Resolved: resolved, MostlyPrior: !resolved, Note: map[bool]string{true: "", false: name(int(size) % 7)}[resolved]})
	}
	path("house", "outside", 1810.3, true)
	for i := range 10 {
		size := 31.7 * math.Pow(1.61, float64(i))
		f.Zones = append(f.Zones, survey.Zone{Name: name(i), Kind: "other", Meant: "outside", ToHouse: q(float64(4*i+3), float64(4*i+2), float64(4*i+4), "Pa"),
			ConnectionFraction: q(0.95-0.09*float64(i), 0.91-0.09*float64(i), 0.97-0.09*float64(i), ""),
			ThroughFlow50:      q(size, size/2, size*2, "cfm"), Share: q(size/50, size/100, size/25, "%"), LeakRatio: q(0.3, 0.2, 0.4, ""), Resolved: i%3 != 0, Near: map[bool]string{true: "outside"}[i == 4]})
		path("house", name(i), size, i%3 != 0)
		path(name(i), "outside", size*3, true)
		if i > 0 {
			path(name(i-1), name(i), 40+size/3, i%2 == 0)
		}
		f.SealFirst = append(f.SealFirst, survey.SealChoice{Between: [2]string{"house", name(i)}, Drop50: q(size, size/2, size*2, "cfm"),
			ChanceFirst: 0.1, Step: 10 - i, FanAtStep: q(3000-size, 2800-size, 3200-size, "cfm"), Note: name(i + 3)})
		f.Notices = append(f.Notices, survey.Notice{Level: survey.Warning, About: "hold 1, " + name(i), Text: "check " + name(i) + " again"})
	}
	path(name(0), name(5), 77, true)
	stressRest(f, name)
	return f
}

func stressRest(f *survey.Findings, name func(int) string) {
	f.Ducts.Registers = nil
	for i := range 30 {
		p := 0.2 + math.Mod(float64(i)*1.37, 9)
		f.Ducts.Registers = append(f.Ducts.Registers, survey.Register{Name: fmt.Sprintf("%s %d", name(i), i), Side: []string{"supply", "return"}[i%2],
			Cover: q(p, p-0.2, p+0.2, "Pa"), Cover50: q(p*1.03, p-0.2, p+0.3, "Pa"), Held: q(12, 11, 13, "cfm"), Flow: q(91, 85, 97, "cfm"),
			Design: q(100, 100, 100, "cfm"), ShareDesign: new(float64), Rank: 30 - i, Verdict: name(i + 1)})
	}
	for i := range f.Holds {
		f.Holds[i].Name = name(i)
		f.Holds[i].Changes = []string{name(i + 1), name(i + 2)}
	}
	for i := range f.Readings {
		f.Readings[i].Hold, f.Readings[i].Of, f.Readings[i].To = name(i), name(i+4), name(i+5)
	}
	for i := range f.Hand {
		f.Hand[i].About = name(i)
	}
	for i := range f.Openings {
		f.Openings[i].Name, f.Openings[i].Between = name(i+2), [2]string{name(i), "house"}
	}
	f.Suspects[0].Of, f.Suspects[0].Text, f.Priors[0].Of, f.Limits[0].Document = name(0), name(1), name(2), name(3)
	f.Working[0].About, f.Working[0].Numbers = name(5), name(6)
}
