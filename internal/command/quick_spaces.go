package command

import (
	"fmt"
	"strconv"
	"strings"

	"holdbook/internal/sheet"
)

// What a flag says of a space beside a pressure.

// surround puts the ducts into a space, of which the pressure to the house is
// known: SPACE=PRESSURE.
func (a *asked) surround(text string) {
	space, pressure, _ := cutLast(text)
	a.declare(space)
	of := map[string]string{"N": strconv.Itoa(len(a.sheet.Zones) + 1), "NAME": space}
	a.set(string(sheet.DuctsKind), "zone.N.name", of)
	a.set(string(sheet.DuctsKind), "zone.N.kind", of)
	a.sheet.Zones[len(a.sheet.Zones)-1].Touches = []sheet.SpaceRef{sheet.Ref(sheet.HouseName), sheet.Ref(space)}
	a.put(place{aPressure, "hold.1.to_house.NAME"}, pressure, of)
}

// baseline is that of the house, PRESSURE, or of a space to the house, SPACE=PRESSURE.
func (a *asked) baseline(text string) {
	name, pressure, found := cutLast(text)
	if !found {
		a.put(place{aPressure, "hold.1.baseline"}, text, nil)
		return
	}
	a.put(place{aPressure, "hold.1.baseline.NAME"}, strings.TrimSpace(pressure), map[string]string{"NAME": strings.TrimSpace(name)})
}

// newBaselines is the flag of PRESSURE or SPACE=PRESSURE, each space once.
func newBaselines(sample string) *value {
	v := newText(sample)
	v.many = true
	read := map[string]bool{}
	v.check = func(text string) error {
		name, pressure, found := cutLast(text)
		if !found {
			name, pressure = sheet.HouseName, text
		}
		name = strings.ToLower(strings.TrimSpace(name))
		if err := checkPressure(strings.TrimSpace(pressure)); err != nil {
			return err
		}
		if name == "" || read[name] {
			return fmt.Errorf("%s: one baseline for each space; leave one out", quote(text))
		}
		read[name] = true
		return nil
	}
	return v
}

// newSpaceReading is the flag of SPACE=PRESSURE.
func newSpaceReading(sample string) *value {
	v := newText(sample)
	v.check = func(text string) error {
		name, value, found := cutLast(text)
		if !found || name == "" {
			return &usageError{text: quote(text) + " is not of the form SPACE=PRESSURE"}
		}
		return checkPressure(value)
	}
	return v
}
