package walk

import (
	"fmt"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// coveredName is the name of the hold with the registers covered.
const coveredName = "registers covered"

// ductSteps are the hold with the registers covered, and the registers.
func (v visit) ductSteps(ducts string) []step {
	sc := scene{visit: v, ducts: ducts}
	made := false
	sc.hold, made = v.coveredHold(ducts)
	list := sc.steps(aroundRow, coverRow)
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
	coverRow = row{step: "cover the registers of the {ducts}", ask: "they are covered", kind: kind{standing: covered, take: takeCovered}, choices: picks("yes", "They are covered"),
		lines: shows("Ducts: air handler off and kept off, every register and return covered and taped, a hose through one cover.",
			"About 12 minutes; skip leaves the ducts out."),
		write: []string{"yes: all of them are covered; the fan is then read again, and the ducts to the house"},
		help:  []string{"the air handler must not start while its registers are covered"}}
	// registerRow reads the pressure across one covered register.
	registerRow = row{step: "register {register}", ask: "register {register}: pressure across its cover ({unit})",
		kind: pressures.reading(func(sc scene) sheet.Pressure { return sc.register.Cover }, scene.addCover),
		help: []string{"house held, this one register covered and all others open; a hose through the cover, the other tap open to the house"}}
	// moreRegistersRow asks for one register after the other.
	moreRegistersRow = row{step: "registers of the {ducts}", ask: "a register to read, by its name", kind: kind{standing: recorded, take: takeRegister}, preset: always("no more"), field: TextField, choices: picks("no more", "No more registers"),
		once: []string{"Uncover every register and return again, the air handler still off, the house held at the same pressure.",
			"Then cover one register at a time, all the others open, and read the pressure across its cover: it says near which registers leaks lie, not their size."},
		write: []string{"no more: all of them are read, or none is to be"},
		help:  []string{"a name such as kitchen, for a return: kitchen return; then the pressure across its cover is asked"}}
)

// aroundRow asks through which spaces the ducts run, for what leaks out of them gets there.
var aroundRow = row{step: "where the {ducts} run", field: TextField, ask: "where the {ducts} run: spaces with commas between", kind: kind{standing: around, take: takeAround},
	choices: aroundChoices, several: true,
	write: []string{"the names of the spaces they run through, such as attic or attic, crawlspace; outside: outdoors"}, help: []string{"skip: they are taken to leak outdoors"}}

// aroundChoices are the spaces that ducts can run through.
func aroundChoices(sc scene) (list []Choice) {
	for _, name := range append(sc.zoneNames(), sheet.OutsideName) {
		if name != sc.ducts {
			list = append(list, Choice{Answer: name, Text: units.Sanitize(name)})
		}
	}
	return list
}

// around is what the sheet has of the spaces about the ducts.
func around(sc scene, k key) (state, answer string) {
	var names []string
	z, _ := sc.book.Sheet().Zone(sc.ducts)
	for _, t := range z.Touches {
		if t.Name != sheet.HouseName {
			names = append(names, t.Name)
		}
	}
	if names == nil {
		return sc.settled(k)
	}
	return "done", strings.Join(names, ", ")
}

func takeAround(sc scene, k key, answer string) ([]change, []string, error) {
	spaces := []string{sheet.HouseName}
	known := append(sc.zoneNames(), sheet.OutsideName)
	for _, name := range strings.Split(answer, ",") {
		i := slices.IndexFunc(known, func(n string) bool { return strings.EqualFold(n, strings.TrimSpace(name)) })
		if i < 0 || known[i] == sc.ducts {
			return nil, nil, refusef("%q is no space of this house; there are %s", units.Sanitize(name), strings.Join(slices.DeleteFunc(known, func(n string) bool { return n == sc.ducts }), ", "))
		}
		if !slices.Contains(spaces, known[i]) {
			spaces = append(spaces, known[i])
		}
	}
	z, _ := sc.book.Sheet().Zone(sc.ducts)
	if len(z.Touches) > 0 {
		return nil, nil, refusef("the sheet has it; correct touches in an editor")
	}
	for i, name := range spaces {
		spaces[i] = sheet.StringText(name)
	}
	line := "touches = [" + strings.Join(spaces, ", ") + "]"
	if z.Implied {
		return []change{atEnd(zoneBlock(sc.ducts) + line)}, nil, nil
	}
	return []change{afterLine(z.Name.Pos.Line, line)}, nil, nil
}

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
