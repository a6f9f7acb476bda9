package zonal_test

import (
	"fmt"
	"log"
	"math"

	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// must is a value without its error, which none of the examples has.
func must[T any](v T, err error) T {
	if err != nil {
		log.Fatal(err)
	}
	return v
}

// cfm is a flow in cubic feet a minute.
func cfm(v float64) units.Flow { return units.Flow(units.CFM.ToSI(v)) }

// inCFM is a flow with its interval in cubic feet a minute, to the nearest ten.
func inCFM(e units.Estimate[units.Flow]) string {
	ten := func(v units.Flow) float64 { return 10 * math.Round(units.CFM.FromSI(float64(v))/10) }
	return fmt.Sprintf("%.0f cfm (%.0f to %.0f)", ten(e.Value), ten(e.Low), ten(e.High))
}

// held is a hold at −50 Pa with a fan flow, and the attic as read to the house.
func held(name string, fan units.Flow, attic zonal.SpaceID, toHouse units.Pressure, opened ...int) zonal.Hold {
	gauge := pressure.DefaultGauge()
	return zonal.Hold{
		Name: name, House: -50, HouseSD: gauge.PressureSD(-50),
		Fan:    &zonal.FlowReading{Flow: fan, SDLn: float64(gauge.Repeat), Cal: []int{0}},
		Read:   []zonal.PressureReading{{Of: attic, To: zonal.House, Pressure: toHouse, SD: gauge.PressureSD(toHouse)}},
		Opened: opened,
	}
}

// atticHouse is a house with a vented attic, held as found and with the attic hatch open.
func atticHouse() (*zonal.Model, zonal.SpaceID) {
	house := zonal.NewModel()
	attic := must(house.AddZone(zonal.Attic, "attic"))
	hatch := must(house.AddOpening("hatch", zonal.House, attic))
	house.Calibrations = []zonal.Calibration{{Name: "fan", SDLn: 0.025}}
	house.Holds = []zonal.Hold{held("as found", cfm(1468), attic, 37), held("hatch open", cfm(1836), attic, 10, hatch)}
	return house, attic
}

// ceiling is the index of the path between house and attic of atticHouse.
const ceiling = 1

// A house with a vented attic, held 50 Pa below outdoors: the attic reads 44 Pa to the
// house and the fan 1900 cfm.
func Example() {
	house := zonal.NewModel()
	attic, err := house.AddZone(zonal.Attic, "attic")
	if err != nil {
		log.Fatal(err)
	}
	gauge := pressure.DefaultGauge()
	house.Holds = []zonal.Hold{{
		Name: "as found", House: -50, HouseSD: gauge.PressureSD(-50),
		Fan:  &zonal.FlowReading{Flow: units.Flow(units.CFM.ToSI(1900)), SDLn: float64(gauge.Repeat)},
		Read: []zonal.PressureReading{{Of: attic, To: zonal.House, Pressure: 44, SD: gauge.PressureSD(44)}},
	}}
	estimate, err := zonal.Solve(house, zonal.Options{})
	if err != nil {
		log.Fatal(err)
	}
	f := estimate.Zones[0].Fraction
	fmt.Printf("connection fraction %.2f (%.2f to %.2f)\n", f.Value, f.Low, f.High)
	// Output: connection fraction 0.12 (0.10 to 0.14)
}

func ExampleSolve() {
	house, _ := atticHouse()
	e := must(zonal.Solve(house, zonal.Options{}))
	fmt.Println("through the ceiling:", inCFM(e.Zones[0].Through))
	fmt.Println("resolved:", e.Zones[0].Resolved)
	// Output:
	// through the ceiling: 370 cfm (260 to 490)
	// resolved: true
}

func ExampleInfer() {
	house, _ := atticHouse()
	post := must(zonal.Infer(house, zonal.Options{}))
	fmt.Println(post.Status())
	_, err := zonal.Infer(zonal.NewModel(), zonal.Options{})
	fmt.Println(err)
	// Output:
	// converged
	// no finished hold: a house pressure is needed before anything can be estimated
}

func ExamplePosterior_Estimate() {
	house, _ := atticHouse()
	e := must(must(zonal.Infer(house, zonal.Options{})).Estimate())
	fmt.Println("house at 50 Pa:", inCFM(e.Flow50))
	fmt.Println("ceiling at 50 Pa:", inCFM(e.Paths[ceiling].Flow50))
	r := e.Readings[0]
	fmt.Printf("the house read %.1f Pa, %.1f sd off\n", r.Read, r.OffBySD)
	// Output:
	// house at 50 Pa: 1470 cfm (1400 to 1540)
	// ceiling at 50 Pa: 450 cfm (320 to 610)
	// the house read -50.0 Pa, 0.0 sd off
}

func ExamplePosterior_Status() {
	house, _ := atticHouse()
	post := must(zonal.Infer(house, zonal.Options{}))
	if post.Status() != zonal.Converged {
		fmt.Println("the intervals are not to be relied on:", post.Status())
	}
	fmt.Println(post.Status())
	// Output: converged
}

func ExamplePosterior_EffectiveSampleSize() {
	house, _ := atticHouse()
	post := must(zonal.Infer(house, zonal.Options{Draws: 400}))
	fmt.Println("at least 400:", post.EffectiveSampleSize() >= 400)
	// Output: at least 400: true
}

// The same readings give the same draws, in whatever order they were written down.
func ExamplePosterior_Seed() {
	house, _ := atticHouse()
	first := must(zonal.Infer(house, zonal.Options{}))
	house.Holds[0], house.Holds[1] = house.Holds[1], house.Holds[0]
	again := must(zonal.Infer(house, zonal.Options{}))
	fmt.Println(first.Seed() == again.Seed())
	// Output: true
}

// The ceiling and the attic's vents together, with 25 Pa across each.
func ExamplePosterior_SumAt() {
	house, _ := atticHouse()
	post := must(zonal.Infer(house, zonal.Options{}))
	sum, doubt, err := post.SumAt([]int{ceiling, 2}, 25)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(inCFM(sum), "resolved:", doubt.Resolved)
	// Output: 830 cfm (620 to 1070) resolved: true
}

// The attic was read with its hoses the other way round.
func ExamplePosterior_Suspect() {
	house, _ := atticHouse()
	house.Holds[0].Read[0].Pressure *= -1
	s := must(must(zonal.Infer(house, zonal.Options{})).Suspect(zonal.Options{}))
	fmt.Println("suspect:", s.Suspect)
	fmt.Println("reading", s.Reading, "has its sign turned:", s.Slip == zonal.SignSlip)
	// Output:
	// suspect: true
	// reading 2 has its sign turned: true
}

func ExampleEstimate_Tightness() {
	house, _ := atticHouse()
	t := must(zonal.Solve(house, zonal.Options{})).Tightness()
	fmt.Println(inCFM(t.Flow50))
	fmt.Printf("exponent %.2f\n", t.Exponent.Value)
	// Output:
	// 1470 cfm (1400 to 1540)
	// exponent 0.65
}

func ExamplePosterior_Seal() {
	house, _ := atticHouse()
	post := must(zonal.Infer(house, zonal.Options{}))
	plan := must(post.Seal([]zonal.SealTarget{{Paths: []int{ceiling}}}, zonal.SealOptions{Fraction: 0.8}))
	fmt.Println("the fan reads now:", inCFM(plan.FanNow))
	fmt.Println("with four fifths of the ceiling sealed it falls by", inCFM(plan.Choices[0].Drop50))
	// Output:
	// the fan reads now: 1470 cfm (1430 to 1510)
	// with four fifths of the ceiling sealed it falls by 280 cfm (200 to 370)
}

func ExampleSealPlan_TightnessAfter() {
	house, _ := atticHouse()
	post := must(zonal.Infer(house, zonal.Options{}))
	plan := must(post.Seal([]zonal.SealTarget{{Paths: []int{ceiling}}}, zonal.SealOptions{}))
	after := must(plan.TightnessAfter(1))
	fmt.Println(inCFM(after.Flow50))
	_, err := plan.TightnessAfter(2)
	fmt.Println(err)
	// Output:
	// 1100 cfm (960 to 1230)
	// the order has 1 steps, not 2
}

func ExampleSealPlan_ChancesBelow() {
	house, _ := atticHouse()
	post := must(zonal.Infer(house, zonal.Options{}))
	plan := must(post.Seal([]zonal.SealTarget{{Paths: []int{ceiling}}}, zonal.SealOptions{}))
	chances := plan.ChancesBelow(cfm(1400))
	fmt.Printf("below 1400 cfm: %.1f as found, %.1f with the ceiling sealed\n", chances[0], chances[1])
	// Output: below 1400 cfm: 0.0 as found, 1.0 with the ceiling sealed
}

// What would opening the hatch settle, before it was opened?
func ExamplePosterior_Preview() {
	house, attic := atticHouse()
	opened := house.Holds[1]
	house.Holds = house.Holds[:1]
	post := must(zonal.Infer(house, zonal.Options{}))
	preview := must(post.Preview([]zonal.Candidate{{Holds: []zonal.Hold{opened}}}, zonal.Question{Through: []zonal.SpaceID{attic}}))
	fmt.Println("the interval of the flow through the ceiling narrows:", preview[0].Then[0] < 0.5*preview[0].Now[0])
	// Output: the interval of the flow through the ceiling narrows: true
}

// Two equal gains are told apart by the chance of sealing the right thing first.
func ExamplePreview_Worth() {
	p := zonal.Preview{Gain: 0.3, FirstNow: 0.6, FirstThen: 0.8}
	fmt.Printf("%.1f\n", p.Worth())
	// Output: 0.5
}

// A visit of forty minutes, planned before anything was read.
func ExamplePosterior_Visit() {
	house, attic := atticHouse()
	list := []zonal.Candidate{{Holds: house.Holds[:1]}, {Holds: house.Holds[1:]}}
	house.Holds = nil
	post := must(zonal.Prior(house, 600))
	steps := must(post.Visit(list, zonal.Question{Through: []zonal.SpaceID{attic}}, zonal.VisitOptions{Minutes: []float64{15, 20}, Limit: 40, First: 0}))
	for _, s := range steps {
		fmt.Println("candidate", s.Candidate)
	}
	// Output:
	// candidate 0
	// candidate 1
}

func ExamplePrior() {
	house := zonal.NewModel()
	must(house.AddZone(zonal.Garage, "garage"))
	_, err := must(zonal.Prior(house, 100)).Estimate()
	fmt.Println(err)
	// Output: a posterior made of priors alone has no estimate: Infer one from holds
}

// A second fan that has not been used yet brings a calibration of its own.
func ExamplePosterior_With() {
	house, _ := atticHouse()
	post := must(zonal.Infer(house, zonal.Options{}))
	more := *house
	more.Calibrations = append(more.Calibrations, zonal.Calibration{Name: "second fan", SDLn: 0.025})
	wider := must(post.With(&more))
	fmt.Println(wider.Status())
	// Output: converged
}

// Which of three holes moves the attic enough to be read, and not too far?
func ExamplePosterior_HoleFor() {
	house, attic := atticHouse()
	post := must(zonal.Infer(house, zonal.Options{}))
	hole := must(post.HoleFor(attic, zonal.House, []units.Area{0.002, 0.02, 0.2}))
	fmt.Printf("%.3f m²\n", hole.Area)
	// Output: 0.200 m²
}

// The ceiling was sealed between two tests with the same fan.
func ExampleCompare() {
	before, _ := atticHouse()
	after, attic := atticHouse()
	after.Holds = []zonal.Hold{held("sealed", cfm(1250), attic, 46)}
	c := must(zonal.Compare(before, after, zonal.CompareOptions{Sealed: []int{ceiling}}))
	fmt.Println("the house fell by", inCFM(c.House.Fall))
	fmt.Println("real:", c.House.Real)
	// Output:
	// the house fell by 220 cfm (180 to 260)
	// real: true
}

func ExampleModel_Check() {
	house, _ := atticHouse()
	house.Holds[1].Read[0].SD = -1
	fmt.Println(house.Check())
	// Output: hold 1 (hatch open): pressure reading 0: its standard deviation must be positive, not -1 Pa
}

// A hold as found comes before one with something opened, wherever it stands.
func ExampleModel_HoldOrder() {
	house, _ := atticHouse()
	house.Holds[0], house.Holds[1] = house.Holds[1], house.Holds[0]
	for _, h := range house.HoldOrder() {
		fmt.Println(house.Holds[h].Name)
	}
	// Output:
	// as found
	// hatch open
}

func ExampleNewModel() {
	house := zonal.NewModel()
	fmt.Println(len(house.Spaces), "spaces,", len(house.Paths), "path")
	// Output: 2 spaces, 1 path
}

func ExampleModel_AddZone() {
	house := zonal.NewModel()
	must(house.AddZone(zonal.Crawlspace, "crawlspace"))
	_, err := house.AddZone(zonal.Crawlspace, "Crawlspace")
	fmt.Println(err)
	_, err = house.AddZone("loft", "loft")
	fmt.Println(err)
	// Output:
	// zone "Crawlspace": a space of that name exists
	// zone "loft": no zone can be of the kind "loft"; the kinds are ["attic" "garage" "crawlspace" "basement" "kneewall" "porch" "neighbour" "room" "ducts" "other"]
}

// A garage below an attic: the two are joined by a leak of their own.
func ExampleModel_Join() {
	house := zonal.NewModel()
	attic := must(house.AddZone(zonal.Attic, "attic"))
	garage := must(house.AddZone(zonal.Garage, "garage"))
	path := must(house.Join(attic, garage))
	fmt.Println("path", path, "of", len(house.Paths), "is the one found again:", path == house.PathBetween(garage, attic))
	// Output: path 5 of 6 is the one found again: true
}

func ExampleModel_PathBetween() {
	house, attic := atticHouse()
	fmt.Println(house.PathBetween(attic, zonal.House), house.PathBetween(attic, attic))
	// Output: 1 -1
}

func ExamplePath_Joins() {
	house, attic := atticHouse()
	leak := house.Paths[house.PathBetween(attic, zonal.House)]
	fmt.Println(leak.Joins(attic, zonal.House), leak.Joins(zonal.House, attic), leak.Joins(attic, zonal.Outside))
	// Output: true true false
}

func ExampleOpening_Joins() {
	hatch := zonal.Opening{A: zonal.House, B: 2}
	fmt.Println(hatch.Joins(2, zonal.House), hatch.Joins(2, zonal.Outside))
	// Output: true false
}

func ExampleModel_Joined() {
	house, attic := atticHouse()
	leak := house.PathBetween(attic, zonal.House)
	fmt.Println(house.Joined(&zonal.Hold{}, zonal.House, attic), house.Joined(&zonal.Hold{Sealed: []int{leak}}, zonal.House, attic))
	// Output: true false
}

func ExampleModel_AddOpening() {
	house := zonal.NewModel()
	attic := must(house.AddZone(zonal.Attic, "attic"))
	hatch := must(house.AddOpening("hatch", zonal.House, attic))
	fmt.Printf("opening %d, %.0f cfm at 50 Pa or thereabouts\n", hatch, units.CFM.FromSI(float64(house.Openings[hatch].Flow50.Median)))
	// Output: opening 0, 3000 cfm at 50 Pa or thereabouts
}

func ExampleModel_AddHole() {
	house := zonal.NewModel()
	attic := must(house.AddZone(zonal.Attic, "attic"))
	_, err := house.AddHole("slot", zonal.House, attic, -0.02)
	fmt.Println(err)
	// Output: hole "slot": its area must be positive and finite
}

func ExampleKinds() {
	fmt.Println(zonal.Kinds())
	// Output: [attic garage crawlspace basement kneewall porch neighbour room ducts other]
}

func ExampleKind_IsZone() {
	fmt.Println(zonal.Garage.IsZone(), zonal.HouseKind.IsZone(), zonal.Kind("loft").IsZone())
	// Output: true false false
}

func ExampleKind_Vented() {
	fmt.Println(zonal.Attic.Vented(), zonal.Basement.Vented())
	// Output: true false
}

func ExampleKind_MeantInside() {
	fmt.Println(zonal.Attic.MeantInside(), zonal.Basement.MeantInside())
	// Output: false true
}

func ExampleSizePrior() {
	p := zonal.SizePrior(zonal.HouseKind, zonal.Attic)
	fmt.Printf("%.0f cfm at 50 Pa, sd of the logarithm %.1f\n", units.CFM.FromSI(float64(p.Median)), p.SDLn)
	// Output: 300 cfm at 50 Pa, sd of the logarithm 1.5
}

func ExampleExponentPrior() {
	fmt.Println(zonal.ExponentPrior(zonal.Attic, zonal.OutsideKind, true), zonal.ExponentPrior(zonal.HouseKind, zonal.Ducts, false))
	// Output: {0.6 0.09} {0.53 0.03}
}

func ExampleOpeningPrior() {
	p := zonal.OpeningPrior(zonal.HouseKind, zonal.Ducts)
	fmt.Printf("a register: %.0f cfm at 50 Pa\n", units.CFM.FromSI(float64(p.Median)))
	// Output: a register: 250 cfm at 50 Pa
}

// The registers of the ducts were covered in a hold.
func ExampleCoveredRegisters() {
	house := zonal.NewModel()
	ducts := must(house.AddZone(zonal.Ducts, "ducts"))
	house.Paths = append(house.Paths, zonal.CoveredRegisters(ducts))
	hold := zonal.Hold{Name: "covered", House: -50, HouseSD: 0.5,
		Sealed: []int{house.PathBetween(zonal.House, ducts)}, Covered: []int{len(house.Paths) - 1}}
	house.Holds = []zonal.Hold{hold}
	fmt.Println(house.Check())
	// Output: <nil>
}
