package walk

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbook/internal/sheet"
)

// Further readings are made one at a time, each proposed from what is known by
// then. A record of the step "further reading" stands for each: its hold is the
// one made, its answer the readings to take in it.
const furtherKey = "further reading"

// furtherHolds are the readings of the holds that were proposed so far.
func furtherHolds(v visit) []step {
	var list []step
	for _, r := range v.book.Sheet().Walk {
		if r.Step.Value != furtherKey || r.State.Value != "done" {
			continue
		}
		if ref, ok := v.holdNamed(r.Hold.Value); ok {
			ref.reads, ref.fans = v.pairs(r.Answer.Value), v.fansOf(r.Answer.Value)
			list = append(list, scene{visit: v, hold: ref}.holdSteps()...)
		}
	}
	return list
}

// pairs reads "attic to house; garage to outside" back.
func (v visit) pairs(text string) [][2]string {
	names := append([]string{sheet.HouseName, sheet.OutsideName}, v.zoneNames()...)
	var list [][2]string
	for _, of := range names {
		for _, to := range names {
			if strings.Contains("; "+text+"; ", "; "+pairText([2]string{of, to})+"; ") {
				list = append(list, [2]string{of, to})
			}
		}
	}
	return list
}

func pairText(p [2]string) string { return p[0] + " to " + p[1] }

// furtherRow proposes what to read next.
var furtherRow = row{step: "no further readings", ask: "which of these is read next: its number, or none", kind: kind{standing: haveFurther, take: takeFurther},
	lines: func(sc scene) []string { return sc.offerLines() }, choices: offerChoices,
	write: []string{"the number of what is set up now, one thing at a time; none: no further readings"},
	help:  []string{"one chosen wrongly and read already: back to its house pressure, and - there takes it out", "what else the fan can do while it runs, holdbook next says"}}

func offerChoices(sc scene) []Choice {
	var list []Choice
	for i, o := range sc.offers().list {
		list = append(list, Choice{Answer: strconv.Itoa(i + 1), Text: fmt.Sprintf("%s (about %.0f min)", o.What, o.Minutes), Do: o.How, Caution: o.Caution})
	}
	return append(list, Choice{Answer: "none", Text: "No further reading"})
}

func haveFurther(sc scene, k key) (state, answer string) {
	if state, answer = sc.settled(k); state == "done" {
		answer = "none"
	}
	return state, answer
}

func takeFurther(sc scene, k key, answer string) ([]change, []string, error) {
	if isNo(answer) {
		return []change{sc.noted(k, "done", "none")}, nil, nil
	}
	list := sc.offers().list
	n, err := strconv.Atoi(answer)
	if err != nil || n < 1 || n > len(list) {
		return nil, nil, refusef("write a number of the list, or none")
	}
	return sc.begin(list[n-1]), nil, nil
}

// ErrLater is what an adviser says that has not worked out its proposals yet.
var ErrLater = errors.New("what to read next is being worked out")

// mostOffers is how many proposals are shown at a time.
const mostOffers = 3

// offers are the further readings that an adviser proposes for a sheet.
type offers struct {
	adviser Adviser      // nil: none are proposed
	of      *sheet.Sheet // the sheet they were made from
	list    []Offer
	text    string
}

// offers works out the proposals for the sheet as it is.
func (v visit) offers() *offers {
	p, s := v.latest, v.book.Sheet()
	if p.adviser == nil || p.of == s {
		return p
	}
	p.of, p.list = s, nil
	list, text, err := p.adviser.Next(s)
	if errors.Is(err, ErrLater) {
		p.of = nil
	}
	if err != nil {
		p.text = "no further reading can be proposed: " + problemText(err)
		return p
	}
	p.text = text
	p.list = list[:min(len(list), mostOffers)]
	return p
}

func (v visit) offerLines() []string {
	offers := v.offers()
	if len(offers.list) == 0 {
		return []string{"No further reading to propose.", offers.text}
	}
	lead := "With the fan still running, what would settle most"
	if offers.text != "" {
		lead += " (" + offers.text + ")"
	}
	lines := []string{lead + ":"}
	for i, o := range offers.list {
		lines = append(lines, fmt.Sprintf("%d  %s (about %.0f min, intervals about %.0f %% narrower): %s", i+1, o.What, o.Minutes, 100*max(o.Gain, 0), o.How))
		if o.Caution != "" {
			lines = append(lines, "   take care: "+o.Caution)
		}
	}
	return lines
}

// begin makes the hold of a proposal.
func (v visit) begin(o Offer) []change {
	h := sheet.Hold{Name: sheet.Word(v.unusedName(o.Hold.Name.Value)), Time: sheet.When{Text: v.now().Format("15:04:05")},
		Opened: o.Hold.Opened, Sealed: o.Hold.Sealed, Guards: o.Hold.Guards}
	var reads []string
	for _, f := range o.Hold.Fans {
		reads = append(reads, fanWord+pairText([2]string{f.From.Name, f.To.Name}))
	}
	for _, r := range o.Hold.Readings {
		reads = append(reads, pairText([2]string{r.Of.Name, r.To.Name}))
	}
	note := v.noted(key{furtherKey, h.Name.Value}, "done", strings.Join(slices.Compact(reads), "; "))
	return []change{both(atEnd("\n"+sheet.EncodeHold(h, v.system().String())), note)}
}
