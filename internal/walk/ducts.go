package walk

import (
	"fmt"
	"strings"

	"holdbook/internal/sheet"
)

// coveredName is the name of the hold with the registers covered.
const coveredName = "registers covered"

// ductSteps are the hold with the registers covered, and the registers.
func (v visit) ductSteps(ducts string) []step {
	sc := scene{visit: v, ducts: ducts}
	made := false
	sc.hold, made = v.coveredHold(ducts)
	list := sc.steps(coverRow)
	if !made {
		return list
	}
	sc.hold.reads = [][2]string{{ducts, sheet.HouseName}}
	list = append(list, sc.holdSteps()...)
	s := v.book.Sheet()
	for i := range s.Registers {
		if d := s.Registers[i].Ducts; d.Given() && d.Name != ducts {
			continue
		}
		sc.register = &s.Registers[i]
		list = append(list, registerRow.in(sc))
	}
	return append(list, moreRegistersRow.in(sc))
}

// coveredHold is the hold that seals the ducts from the house, or the one to
// make.
func (v visit) coveredHold(ducts string) (holdRef, bool) {
	s := v.book.Sheet()
	for i := range s.Holds {
		for _, c := range s.Holds[i].Sealed {
			if c.Between.Same(sheet.HouseName, ducts) && s.Holds[i].Name.Given() {
				return v.holdNamed(s.Holds[i].Name.Value)
			}
		}
	}
	return holdRef{name: v.unusedName(coveredName)}, false
}

var (
	// coverRow has the registers covered.
	coverRow = row{step: "cover the registers of the {ducts}", ask: "yes once they are covered, to read the {ducts}", kind: kind{standing: covered, take: takeCovered},
		lines: shows("Ducts: air handler off and kept off, every register and return covered and taped, a hose through one cover.",
			"About 12 minutes; skip leaves the ducts out."),
		help: []string{"yes: all of them are covered; the fan is then read again, and the ducts to the house",
			"the air handler must not start while its registers are covered"}}
	// registerRow reads the pressure across one covered register.
	registerRow = row{step: "register {register}", ask: "register {register}: pressure across its cover ({unit})",
		kind: pressures.reading(func(sc scene) sheet.Pressure { return sc.register.Cover }, scene.addCover),
		help: []string{"house held, this one register covered and all others open; a hose through the cover, the other tap open to the house"}}
	// moreRegistersRow asks for one register after the other.
	moreRegistersRow = row{step: "registers of the {ducts}", ask: "a register to read, by its name (no more ends)", kind: kind{standing: recorded, take: takeRegister}, preset: always("no more"),
		lines: shows("Uncover every register and return again, the air handler still off, the house held at the same pressure.",
			"Then cover one register at a time, all the others open, and read the pressure across its cover: it says near which registers leaks lie, not their size."),
		help: []string{"a name such as kitchen, for a return: kitchen return; then the pressure across its cover is asked", "no more: all of them are read, or none is to be"}}
)

func covered(sc scene, _ key) (state, answer string) {
	if sc.hold.hold != nil {
		return "done", "yes"
	}
	return "", ""
}

func takeCovered(sc scene, k key, answer string) ([]change, []string, error) {
	switch {
	case !isYes(answer):
		return nil, nil, refusef("write yes once they are covered, or skip")
	case sc.hold.hold != nil:
		return nil, []string{"the hold stands in the sheet already"}, nil
	}
	block := fmt.Sprintf("%s\nsealed = [ { between = [\"house\", %s] } ]", sc.begun(sc.hold.name), sheet.StringText(sc.ducts))
	return []change{both(atEnd(block), sc.noted(k, "done", "yes"))}, nil, nil
}

// addCover puts the pressure across the cover into the table of the register.
func (sc scene) addCover(text string) []change {
	line := "cover = " + text
	return []change{afterLine(sc.register.Name.Pos.Line, line), afterLine(sc.register.Pos.Line, line)}
}

func takeRegister(sc scene, k key, answer string) ([]change, []string, error) {
	if isNo(answer) {
		return []change{sc.noted(k, "done", "no more")}, nil, nil
	}
	side := "supply"
	if strings.Contains(strings.ToLower(answer), "return") {
		side = "return"
	}
	return []change{atEnd(fmt.Sprintf("\n[[register]]\nname = %s\nside = %s\nducts = %s\nhold = %s",
		sheet.StringText(answer), sheet.StringText(side), sheet.StringText(sc.ducts), sheet.StringText(sc.firstHold().name)))}, nil, nil
}
