package walk

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"holdbook/internal/sheet"
)

// ruling is what a hazard allows.
type ruling int

const (
	tell       ruling = iota // the test may go on once somebody was told
	pressurise               // the house may only be held above outdoors
	noTest                   // the house may not be held at all
)

// hazard is a condition to look for before the fan is set up.
type hazard struct {
	what   string
	ruling ruling
	do     string // what to do instead
}

// hazards are the conditions under which nobody may depressurise. Where texts
// differ the stricter is shown. Sources: asbestos, Building Performance
// Institute, Building Analyst standard (2005) and note (2016), where a field
// guide of Wisconsin would pressurise; vermiculite, procedure of Natural
// Resources Canada, second hand; animal waste, the Wisconsin guide; people at
// risk, RESNET interim guidelines (2010); fires, trade checklists; carbon
// monoxide, Building Analyst (2005) and Greiner and Schwab; mould, sewage,
// pesticide and dust, common practice from memory.
var hazards = []hazard{
	{"asbestos that is damaged or friable, or that moving air could carry", noTest,
		"no fan test in either direction until it has been repaired or removed by a licensed firm"},
	{"vermiculite exposed to the rooms", noTest,
		"no fan test in either direction; behind a hatch that stays shut it is not exposed"},
	{"vermiculite elsewhere that air could draw in, or an owner who worries about it", pressurise,
		"pressurise instead, and open no hatch to it"},
	{"heavy animal waste, mould, sewage or an open sump, recent pesticide, demolition or lead dust", pressurise,
		"pressurise instead, or wait until it is gone; federal and state rules come first"},
	{"fire or embers within 24 hours, or ashes that are not cold and covered", noTest,
		"wait 24 hours, then take the ashes out or cover them; dampers and stove doors shut"},
	{"a combustion appliance that cannot be turned off", noTest,
		"do not hold the house; have it turned off by someone entitled to"},
	{"an engine that has run in the garage in the last hours", noTest,
		"air the garage with the house door shut, and test when the carbon monoxide is gone"},
	{"carbon monoxide above 35 ppm", noTest,
		"leave, air the house, and have the source found first"},
	{"somebody with asthma, an allergy or chemical sensitivity, or pets that could suffer", tell,
		"they are told in writing what the test stirs up and agree, or leave, or another day is chosen"},
}

// ackLifetime is how long a safety list that was acknowledged holds good: what
// was off in the morning may be on in the evening. Judgement.
const ackLifetime = 12 * time.Hour

var (
	hazardsKey = key{step: "hazards"}
	restoreKey = key{step: "put back as found"}
)

// last is the last record of a step, if there is one.
func (v visit) last(k key) (sheet.Walk, bool) {
	list := v.book.Sheet().Walk
	for i := len(list) - 1; i >= 0; i-- {
		if r := list[i]; r.Step.Value == k.step && r.Hold.Value == k.hold && r.State.Value != "stopped" {
			return r, true
		}
	}
	return sheet.Walk{}, false
}

// settled is the last record of a step, as a state and an answer.
func (v visit) settled(k key) (state, answer string) {
	r, ok := v.last(k)
	if !ok {
		return "", ""
	}
	return r.State.Value, r.Answer.Value
}

// current is settled for a safety list: one that has grown old is asked again
// as long as the house is not put back.
func (v visit) current(k key) (state, answer string) {
	r, ok := v.last(k)
	if !ok {
		return "", ""
	}
	if _, over := v.last(restoreKey); !over && r.Time.Given() && r.Time.Time.Year() > 1 {
		now := v.now()
		local := time.Date(now.Year(), now.Month(), now.Day(), now.Hour(), now.Minute(), now.Second(), 0, time.UTC)
		if local.Sub(r.Time.Time) > ackLifetime {
			return "", ""
		}
	}
	return r.State.Value, r.Answer.Value
}

func isYes(answer string) bool {
	return slices.Contains([]string{"yes", "y", "done", "ok"}, strings.ToLower(answer))
}

func isNo(answer string) bool {
	return slices.Contains([]string{"no", "n", "none", "no more"}, strings.ToLower(answer))
}

// hazardsRow asks which hazards there are.
var hazardsRow = row{step: hazardsKey.step, must: true, ask: "which of these are there: their numbers, or none", kind: kind{standing: scene.lately, take: takeHazards}, choices: hazardChoices, several: true,
	lines: func(scene) []string {
		lines := []string{"Look for these before the fan is set up:"}
		for i, h := range hazards {
			lines = append(lines, fmt.Sprintf("%d  %s", i+1, h.what))
		}
		return lines
	},
	write: []string{"the numbers of what is there, such as 3 or 4 9; none when you have looked and there is none"}, help: []string{"local code and licensed practice come first"}}

func hazardChoices(scene) []Choice {
	list := make([]Choice, len(hazards))
	for i, h := range hazards {
		list[i] = Choice{Answer: strconv.Itoa(i + 1), Text: h.what}
	}
	return list
}

func takeHazards(sc scene, k key, answer string) ([]change, []string, error) {
	found, err := hazardNumbers(answer)
	if err != nil {
		return nil, nil, err
	}
	return []change{sc.noted(k, "done", hazardText(found))}, rulings(found, tell, pressurise), nil
}

// hazardNumbers reads "none", "3" or "4, 9" as places in hazards.
func hazardNumbers(answer string) ([]int, error) {
	if isNo(answer) {
		return nil, nil
	}
	var found []int
	for _, word := range strings.FieldsFunc(answer, func(r rune) bool { return r == ' ' || r == ',' || r == ';' }) {
		n, err := strconv.Atoi(word)
		if err != nil || n < 1 || n > len(hazards) {
			return nil, refusef("%s is none of the numbers 1 to %d; write numbers, or none", word, len(hazards))
		}
		if !slices.Contains(found, n-1) {
			found = append(found, n-1)
		}
	}
	if len(found) == 0 {
		return nil, refusef("write the numbers of what is there, or none")
	}
	slices.Sort(found)
	return found, nil
}

func hazardText(found []int) string {
	if len(found) == 0 {
		return "none"
	}
	words := make([]string, len(found))
	for i, n := range found {
		words[i] = strconv.Itoa(n + 1)
	}
	return strings.Join(words, " ")
}

// found are the hazards that were noted, and the strictest of their rulings.
func (v visit) found() ([]int, ruling) {
	_, answer := v.current(hazardsKey)
	list, err := hazardNumbers(answer)
	if err != nil {
		return nil, tell
	}
	worst := tell
	for _, n := range list {
		worst = max(worst, hazards[n].ruling)
	}
	return list, worst
}

// rulings says what to do about hazards, from one ruling to another.
func rulings(found []int, from, to ruling) []string {
	var lines []string
	for _, n := range found {
		if h := hazards[n]; h.ruling >= from && h.ruling <= to {
			lines = append(lines, h.what+": "+h.do)
		}
	}
	return lines
}

// noTestRow stands where the house may not be held.
var noTestRow = row{step: "not today", must: true, ask: "back when that has changed, or stop",
	lines: func(sc scene) []string {
		found, _ := sc.found()
		return append([]string{"This house may not be held now:"}, rulings(found, noTest, noTest)...)
	},
	kind: kind{standing: nothing, take: func(scene, key, string) ([]change, []string, error) {
		return nil, nil, refusef("the test cannot go on; write back when that has changed, or stop")
	}}}

// nothing is that the sheet has no answer.
func nothing(scene, key) (state, answer string) { return "", "" }

// directionRow asks which way the house is held.
var directionRow = row{step: "direction", must: true, ask: "house held depressurised or pressurised", kind: kind{standing: heldDirection, take: takeDirection},
	choices: picks("depressurised", "Depressurised: the fan blows out", "pressurised", "Pressurised: the fan blows in"),
	help:    []string{"depressurised: the fan blows out, the usual way; pressurised: it blows in"},
	preset: func(sc scene) string {
		if sc.pressuriseOnly() {
			return "pressurised"
		}
		return "depressurised"
	},
	lines: func(sc scene) []string {
		if sc.pressuriseOnly() {
			return []string{"What you found allows pressurising only: the fan blows into the house."}
		}
		return nil
	}}

func (v visit) pressuriseOnly() bool {
	_, worst := v.found()
	return worst == pressurise
}

// heldDirection is that of the sheet. One that a hazard forbids is asked again.
func heldDirection(sc scene, _ key) (state, answer string) {
	switch hold := sc.book.Sheet().Job.Hold.Value; {
	case hold == "" || hold == "depressurised" && sc.pressuriseOnly():
		return "", hold
	default:
		return "done", hold
	}
}

func takeDirection(sc scene, _ key, answer string) ([]change, []string, error) {
	job, word := sc.book.Sheet().Job, direction(answer)
	switch {
	case word == "":
		return nil, nil, refusef("write depressurised or pressurised")
	case word == "depressurised" && sc.pressuriseOnly():
		return nil, nil, refusef("this house may not be held below outdoors; write pressurised, back or stop")
	case job.Hold.Given():
		return []change{corrected(job.Hold.Pos, sheet.StringText(word), sc.stamp())}, nil, nil
	}
	return inTable("job", job.Pos, "hold = "+sheet.StringText(word)), nil, nil
}

func direction(answer string) string {
	answer = strings.ToLower(answer)
	for _, word := range []string{"depressurised", "pressurised"} {
		other := strings.Replace(word, "ised", "ized", 1)
		if answer != "" && (strings.HasPrefix(word, answer) || strings.HasPrefix(other, answer)) {
			return word
		}
	}
	return ""
}

// appliancesList and setUpList: trade checklists and common practice, no
// source.
var appliancesList = []string{
	"Before the fan runs, in the house and in every space beside it:",
	"- every combustion appliance off; the gas water heater to pilot",
	"- your car keys lie on what you turned off, so that you cannot leave without turning it on",
	"- fireplaces and stoves clean, ashes out or covered, dampers and doors shut",
	"- a carbon monoxide monitor runs; above 35 ppm everybody stops and leaves",
}

var setUpList = []string{
	"Set up the house and the fan:",
	"- exhaust fans, dryer, air handler and thermostats off",
	"- windows, outer doors, hatches and dampers shut; inner doors open; registers uncovered",
	"- the outdoor end of the hose at least 5 ft (1.5 m) from the fan's opening and clear of it",
	"- nobody stands behind the fan, and everybody in the house knows of it",
	"- on automatic pressure hold the fan races when an outer door opens and over-drives the house when it shuts: slow it first",
}
