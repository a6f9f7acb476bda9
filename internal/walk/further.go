package walk

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// coveredName is the name of the hold with the registers covered.
const coveredName = "registers covered"

// ductSteps are the hold with the registers covered, and the registers.
func (w *Walk) ductSteps(ducts string) []step {
	ref, ok := w.coveredHold(ducts)
	list := []step{w.coverStep(ref, ducts)}
	if !ok {
		return list
	}
	ref.reads = [][2]string{{ducts, sheet.HouseName}}
	list = append(list, w.holdSteps(ref)...)
	s := w.book.Sheet()
	for i := range s.Registers {
		if d := s.Registers[i].Ducts; d.Given() && d.Name != ducts {
			continue
		}
		list = append(list, w.registerStep(&s.Registers[i]))
	}
	return append(list, w.moreRegisters(ducts))
}

// coveredHold is the hold that seals the ducts from the house, or the one to
// make.
func (w *Walk) coveredHold(ducts string) (holdRef, bool) {
	s := w.book.Sheet()
	for i := range s.Holds {
		for _, c := range s.Holds[i].Sealed {
			if c.Between.Same(sheet.HouseName, ducts) && s.Holds[i].Name.Given() {
				return w.holdNamed(s.Holds[i].Name.Value)
			}
		}
	}
	return holdRef{name: w.unusedName(coveredName)}, false
}

// coverStep has the registers covered.
func (w *Walk) coverStep(ref holdRef, ducts string) step {
	k := key{step: "cover the registers of the " + ducts}
	s := step{key: k, ask: "yes once they are covered, to read the " + units.Sanitize(ducts),
		lines: func() []string {
			return []string{"Ducts: air handler off and kept off, every register and return covered and taped, a hose through one cover.",
				"About 12 minutes; skip leaves the ducts out."}
		},
		help: []string{"yes: all of them are covered; the fan is then read again, and the ducts to the house",
			"the air handler must not start while its registers are covered"}}
	if ref.hold != nil {
		s.state, s.answer = "done", "yes"
	} else {
		w.orPassed(&s)
	}
	s.take = func(answer string) ([]change, []string, error) {
		switch {
		case !isYes(answer):
			return nil, nil, refusef("write yes once they are covered, or skip")
		case ref.hold != nil:
			return nil, []string{"the hold stands in the sheet already"}, nil
		}
		block := fmt.Sprintf("%s\nsealed = [ { between = [\"house\", %s] } ]", w.begun(ref.name), sheet.StringText(ducts))
		return []change{both(atEnd(block), w.noted(k, "done", "yes"))}, nil, nil
	}
	return s
}

// registerStep reads the pressure across one covered register.
func (w *Walk) registerStep(r *sheet.Register) step {
	unit := w.pressureUnit()
	name := units.Sanitize(r.Name.Value)
	s := step{key: key{step: "register " + r.Name.Value}, read: true, ask: fmt.Sprintf("register %s: pressure across its cover (%s)", name, unit.Symbol()),
		help: []string{"house held, this one register covered and all others open; a hose through the cover, the other tap open to the house"}}
	s.state, s.answer = given(r.Cover)
	w.orPassed(&s)
	s.take = func(answer string) ([]change, []string, error) {
		text, err := withUnit(answer, unit, units.ParsePressure, units.ParsePressureIn)
		if err != nil {
			return nil, nil, err
		}
		return valueChange(w, r.Cover, text, []change{afterLine(r.Name.Pos.Line, "cover = "+sheet.StringText(text)), afterLine(r.Pos.Line, "cover = "+sheet.StringText(text))})
	}
	s.withdraw = withdrawing(w, r.Cover)
	return s
}

// moreRegisters asks for one register after the other.
func (w *Walk) moreRegisters(ducts string) step {
	k := key{step: "registers of the " + ducts}
	s := step{key: k, ask: "a register to read, by its name (no more ends)", preset: "no more",
		lines: func() []string {
			return []string{"Uncover every register and return again, the air handler still off, the house held at the same pressure.",
				"Then cover one register at a time, all the others open, and read the pressure across its cover: it says near which registers leaks lie, not their size."}
		},
		help: []string{"a name such as kitchen, for a return: kitchen return; then the pressure across its cover is asked", "no more: all of them are read, or none is to be"}}
	s.state, s.answer = w.settled(k)
	s.take = func(answer string) ([]change, []string, error) {
		if isNo(answer) {
			return []change{w.noted(k, "done", "no more")}, nil, nil
		}
		side := "supply"
		if strings.Contains(strings.ToLower(answer), "return") {
			side = "return"
		}
		return []change{atEnd(fmt.Sprintf("\n[[register]]\nname = %s\nside = %s\nducts = %s\nhold = %s",
			sheet.StringText(answer), sheet.StringText(side), sheet.StringText(ducts), sheet.StringText(w.firstHold().name)))}, nil, nil
	}
	return s
}

// Further readings are made one at a time, each proposed from what is known by
// then. A record of the step "further reading" stands for each: its hold is the
// one made, its answer the readings to take in it.
const furtherKey = "further reading"

var enoughKey = key{step: "no further readings"}

// openings are the holds that were proposed so far, and the next proposal.
func (w *Walk) openings() []step {
	var list []step
	for _, r := range w.book.Sheet().Walk {
		if r.Step.Value != furtherKey || r.State.Value != "done" {
			continue
		}
		if ref, ok := w.holdNamed(r.Hold.Value); ok {
			ref.reads = w.pairs(r.Answer.Value)
			list = append(list, w.holdSteps(ref)...)
		}
	}
	return append(list, w.furtherStep())
}

// pairs reads "attic to house; garage to outside" back.
func (w *Walk) pairs(text string) [][2]string {
	names := []string{sheet.HouseName, sheet.OutsideName}
	for _, z := range w.book.Sheet().Zones {
		names = append(names, z.Name.Value)
	}
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

// furtherStep proposes what to read next.
func (w *Walk) furtherStep() step {
	s := step{key: enoughKey, ask: "which of these is made: its number, or none", lines: w.offerLines,
		help: []string{"the number of what is set up now, one thing at a time; none: no further readings",
			"one chosen wrongly and read already: back to its house pressure, and - there takes it out", "what else the fan can do while it runs, holdbook next says"}}
	s.state, s.answer = w.settled(enoughKey)
	if s.state == "done" {
		s.answer = "none"
	}
	s.take = func(answer string) ([]change, []string, error) {
		if isNo(answer) {
			return []change{w.noted(enoughKey, "done", "none")}, nil, nil
		}
		w.offers()
		n, err := strconv.Atoi(answer)
		if err != nil || n < 1 || n > len(w.offer.list) {
			return nil, nil, refusef("write a number of the list, or none")
		}
		return w.begin(w.offer.list[n-1]), nil, nil
	}
	return s
}

// mostOffers is how many proposals are shown at a time.
const mostOffers = 3

// offers works out the proposals for the sheet as it is; second fans are left
// to an editor.
func (w *Walk) offers() {
	s := w.book.Sheet()
	if w.adviser == nil || w.offer.of == s {
		return
	}
	w.offer.of, w.offer.list = s, nil
	list, text, err := w.adviser.Next(s)
	if err != nil {
		w.offer.text = "no further reading can be proposed: " + problemText(err)
		return
	}
	w.offer.text = text
	if len(list) > 0 && len(list[0].Hold.Fans) > 0 {
		w.offer.text = "more still: " + list[0].What + ", for which see holdbook next"
	}
	for _, o := range list {
		if len(o.Hold.Fans) == 0 && len(w.offer.list) < mostOffers {
			w.offer.list = append(w.offer.list, o)
		}
	}
}

func (w *Walk) offerLines() []string {
	w.offers()
	if len(w.offer.list) == 0 {
		return []string{"No further reading to propose; write none to go on.", w.offer.text}
	}
	lines := []string{"With the fan still running, what would settle most (" + w.offer.text + "):"}
	for i, o := range w.offer.list {
		lines = append(lines, fmt.Sprintf("%d  %s (about %.0f min, intervals about %.0f %% narrower): %s", i+1, o.What, o.Minutes, 100*max(o.Gain, 0), o.How))
		if o.Caution != "" {
			lines = append(lines, "   take care: "+o.Caution)
		}
	}
	return lines
}

// begin makes the hold of a proposal.
func (w *Walk) begin(o Offer) []change {
	h := sheet.Hold{Name: sheet.Word(w.unusedName(o.Hold.Name.Value)), Time: sheet.When{Text: w.now().Format("15:04:05")},
		Opened: o.Hold.Opened, Sealed: o.Hold.Sealed}
	var reads []string
	for _, r := range o.Hold.Readings {
		reads = append(reads, pairText([2]string{r.Of.Name, r.To.Name}))
	}
	note := w.noted(key{furtherKey, h.Name.Value}, "done", strings.Join(slices.Compact(reads), "; "))
	return []change{both(atEnd("\n"+sheet.EncodeHold(h, w.system().String())), note)}
}
