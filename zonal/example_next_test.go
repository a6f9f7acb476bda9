package zonal_test

import (
	"fmt"

	"holdbook/zonal"
)

func ExamplePosterior_FanNeeded() {
	house, attic := atticHouse()
	post := must(zonal.Infer(house, zonal.Options{}))
	hatch := zonal.Opening{A: attic, B: zonal.House, Flow50: zonal.OpeningPrior(zonal.Attic, zonal.HouseKind)}
	h := zonal.Hold{House: -50, HouseSD: 0.5, Opened: []int{len(house.Openings)}, Fan: &zonal.FlowReading{Flow: 1, SDLn: 0.01}}
	q := must(post.FanNeeded(zonal.Candidate{Holds: []zonal.Hold{h}, Openings: []zonal.Opening{hatch}}))
	fmt.Println(q.Value > cfm(1500), q.Low < q.High)
	// Output: true true
}
