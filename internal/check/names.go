package check

import (
	"slices"
	"strings"
	"unicode"

	"holdbook/internal/sheet"
)

// Words of a hold's name that tell of a change, and those that take it back.
var (
	sealWords = []string{"covered", "sealed", "taped", "masked"}
	openWords = []string{"open", "opened", "ajar", "propped", "raised", "cracked"}
	holeWords = []string{"hole", "cut"}
	backWords = []string{"uncovered", "unsealed", "untaped", "not", "no", "none", "nothing", "without", "closed", "shut", "again", "removed", "before", "after",
		"interior", "inside", "internal", "inner", "inter-room", "rooms", "bedroom", "bedrooms", "all"}
)

// nameSlips compares a hold's name with what it lists: a change that is only in the
// name is not known to the estimate.
func nameSlips(v *visit, out *slips, h *sheet.Hold, name string) {
	if !h.Name.Given() {
		return
	}
	said := strings.FieldsFunc(strings.ToLower(h.Name.Value), func(r rune) bool { return !unicode.IsLetter(r) && r != '-' })
	has := func(list []string) bool {
		return slices.ContainsFunc(said, func(w string) bool { return slices.Contains(list, w) })
	}
	if has(backWords) || strings.HasPrefix(strings.Join(said, " "), "as sealed") {
		return // of the house after the work: that it is sealed is then as found
	}
	switch {
	case has(sealWords) && len(h.Sealed) == 0:
		out.doubt[h.Pos] = true
		out.say(Warns, h.Name.Pos, name, "its name says that something was covered, but it lists nothing as sealed", "what was covered, and sealed = [ … ] of this hold")
	case (has(openWords) || has(holeWords)) && len(h.Opened) == 0 && !has(sealWords) && len(h.Fans) == 0:
		out.doubt[h.Pos] = true
		out.say(Warns, h.Name.Pos, name, "its name says that something was opened, but it lists nothing as opened", "what was open, and opened = [ … ] of this hold")
	case has([]string{"found"}) && !h.AsFound() && !has(sealWords) && !has(openWords) && !has(holeWords) && len(said) <= 3:
		out.doubt[h.Pos] = true
		out.say(Warns, h.Name.Pos, name, "its name says as found, but it lists a change", "whether the change was there, or was copied along")
	default:
		otherZone(v, out, h, name, said)
	}
}

// otherZone finds a name that speaks of one zone and a list that changes only
// another.
func otherZone(v *visit, out *slips, h *sheet.Hold, name string, said []string) {
	spoken := ""
	for _, z := range v.sheet.Zones {
		if !slices.Contains(said, strings.ToLower(z.Name.Value)) {
			continue
		}
		if spoken != "" {
			return
		}
		spoken = z.Name.Value
	}
	changed := map[string]bool{}
	pos := sheet.Pos{}
	for _, o := range h.Opened {
		changed[o.Between[0].Name], changed[o.Between[1].Name], pos = true, true, o.Pos
	}
	for _, o := range h.Sealed {
		changed[o.Between[0].Name], changed[o.Between[1].Name], pos = true, true, o.Pos
	}
	for _, f := range h.Fans {
		changed[f.From.Name], changed[f.To.Name], pos = true, true, f.Pos
	}
	if spoken == "" || len(changed) == 0 || changed[spoken] {
		return
	}
	delete(changed, sheet.HouseName)
	delete(changed, sheet.OutsideName)
	if len(changed) > 0 {
		out.doubt[h.Pos] = true
		out.say(Warns, pos, name, "its name speaks of the "+spoken+", but what it lists was done elsewhere", "which space was opened, sealed or blown")
	}
}
