package walk

import (
	"fmt"
	"slices"
	"strings"

	"holdbook/internal/sheet"
)

// holdRef is a hold of the sheet, or one that is still to be made.
type holdRef struct {
	name  string
	hold  *sheet.Hold // nil: not in the sheet yet
	last  bool        // the last hold of the sheet
	reads [][2]string // the pairs of spaces to read
	fans  [][2]string // the second fans to read, from where to where each blows
}

// values are what the hold has been given so far: nothing for one still to be made.
func (r holdRef) values() sheet.Hold {
	if r.hold == nil {
		return sheet.Hold{}
	}
	return *r.hold
}

// firstHoldName is that of the hold as found, where the sheet has none yet.
const firstHoldName = "as found"

// firstHold is the hold as found: the first in which nothing was changed, but for the one
// of the walk through the house.
func (v visit) firstHold() holdRef {
	s := v.book.Sheet()
	ref := holdRef{name: firstHoldName}
	for i := range s.Holds {
		if h := &s.Holds[i]; h.AsFound() && h.Name.Given() && h.Name.Value != lowHoldName {
			ref = holdRef{name: h.Name.Value, hold: h, last: i == len(s.Holds)-1}
			break
		}
	}
	if ref.hold == nil {
		ref.name = v.unusedName(firstHoldName)
	}
	for _, z := range s.Zones {
		if z.Kind != sheet.DuctsKind {
			ref.reads = append(ref.reads, [2]string{z.Name.Value, sheet.HouseName})
		}
	}
	return ref
}

// holdNamed finds a hold by its name.
func (v visit) holdNamed(name string) (holdRef, bool) {
	s := v.book.Sheet()
	for i := range s.Holds {
		if s.Holds[i].Name.Value == name {
			return holdRef{name: name, hold: &s.Holds[i], last: i == len(s.Holds)-1}, true
		}
	}
	return holdRef{name: name}, false
}

// unusedName makes a name that no hold has yet.
func (v visit) unusedName(name string) string {
	for n := 1; ; n++ {
		try := name
		if n > 1 {
			try = fmt.Sprintf("%s %d", name, n)
		}
		if !slices.ContainsFunc(v.book.Sheet().Holds, func(h sheet.Hold) bool { return strings.EqualFold(h.Name.Value, try) }) {
			return try
		}
	}
}

// begun is the head of a new hold.
func (v visit) begun(name string) string {
	return fmt.Sprintf("\n[[hold]]\nname = %s\ntime = %s", sheet.StringText(name), v.now().Format("15:04:05"))
}

// add puts a line into a hold, which is made if it is not there yet. A hold
// written by hand may be laid out in ways that leave no room after its last
// value; then the line follows its header.
func (v visit) add(ref holdRef, line string) []change {
	if ref.hold == nil {
		return []change{atEnd(v.begun(ref.name) + "\n" + line)}
	}
	return []change{afterLine(lastLine(ref.hold), line), afterLine(ref.hold.Pos.Line, line)}
}

// lastLine is the line of a hold's last value of its own.
func lastLine(h *sheet.Hold) int {
	last := max(h.Pos.Line, h.Name.Pos.Line, h.Time.Pos.Line, h.Range.Pos.Line, h.Baseline.Pos.Line,
		h.BaselineAfter.Pos.Line, h.House.Pos.Line, h.Fan.Pos.Line)
	for _, r := range h.ZoneBaselines {
		last = max(last, r.Pressure.Pos.Line)
	}
	for _, r := range h.Readings {
		if r.Form != "readings" {
			last = max(last, r.Pressure.Pos.Line)
		}
	}
	return last
}
