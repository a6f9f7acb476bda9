package walk

import (
	"math"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// A gauge may show the flow of the fan carried to 50 Pa. Below carriedMatters the house
// pressure makes a difference of 4 % and more; two holds whose pressures differ by the ratio
// tellsCarried show by themselves which of the two it is. Judgement.
const (
	carriedMatters = units.Pressure(47)
	tellsCarried   = 1.2
)

// shownRow asks what the gauge shows, once, where it matters and nothing tells.
var shownRow = row{step: "what the fan's gauge shows", ask: "the flow shown: as it passes the fan, or carried to 50 Pa",
	kind:    kind{standing: flowShown, take: takeFlowShown},
	choices: picks("flow", "As it passes the fan", "at 50 Pa", "Carried to 50 Pa by the gauge"),
	help:    []string{"flow: what passes the fan, at the pressure held; at 50 Pa: the gauge has turned it into the flow at 50 Pa, cfm50 or @50 stands beside it"}}

// mayBeCarried tells whether the first hold stands well below 50 Pa with no other pressure to
// tell, or the sheet says already what the gauge shows.
func mayBeCarried(v visit) bool {
	if v.book.Sheet().DoorFan.Shows.Given() {
		return true
	}
	first := v.firstHold().values()
	if !first.Fan.Given || !first.House.Given || first.FanScaledTo.Given {
		return false
	}
	held := math.Abs(float64(first.House.Value))
	for _, h := range v.book.Sheet().Holds {
		ratio := math.Abs(float64(h.House.Value)) / held
		if h.Fan.Given && h.House.Given && max(ratio, 1/ratio) >= tellsCarried {
			return false
		}
	}
	return held < float64(carriedMatters)
}

func flowShown(sc scene, _ key) (state, answer string) {
	if shows := sc.book.Sheet().DoorFan.Shows; shows.Given() {
		return "done", shows.Value
	}
	return "", ""
}

func takeFlowShown(sc scene, _ key, answer string) ([]change, []string, error) {
	if answer != "flow" && answer != "at 50 Pa" {
		return nil, nil, refusef("write flow, or at 50 Pa")
	}
	fan, text := sc.book.Sheet().DoorFan, sheet.StringText(answer)
	if fan.Shows.Given() {
		return []change{corrected(fan.Shows.Pos, text, sc.stamp())}, nil, nil
	}
	return inTable("door_fan", fan.Pos, "shows = "+text), nil, nil
}
