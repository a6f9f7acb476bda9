package sheet

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"holdbook/zonal"
)

// report takes one problem of a sheet.
type report func(at Pos, format string, args ...any)

// fold is a name as it is matched: without regard to case and to the number
// of blanks.
func fold(name string) string {
	return strings.Join(strings.Fields(strings.ToLower(name)), " ")
}

// check settles the names of a sheet and reports what is wrong between its
// parts.
func (s *Sheet) check(say report) {
	names := s.declare(say)
	s.resolve(names, say)
	s.checkPaths(say)
	s.checkHolds(say)
	s.checkOpenings(say)
	unique(say, "register", s.Registers, func(r Register) Text { return r.Name })
	unique(say, "room", s.Rooms, func(r Room) Text { return r.Name })
	s.checkHoldNames(say)
}

// declare lists the spaces by their folded names.
func (s *Sheet) declare(say report) map[string]string {
	names := map[string]string{HouseName: HouseName, OutsideName: OutsideName}
	lines := map[string]Pos{}
	for i := range s.Zones {
		z := &s.Zones[i]
		if z.Kind == "" {
			z.finish(nil, nil)
		}
		f := fold(z.Name.Value)
		switch {
		case f == "":
			continue
		case f == HouseName || f == OutsideName:
			say(z.Name.Pos, "%s is the name of a space that always exists; give the zone another name", quoted(z.Name.Value))
		case names[f] != "":
			say(z.Name.Pos, "a zone named %s stands already%s; give this one another name", quoted(z.Name.Value), inLine(lines[f]))
		default:
			names[f], lines[f] = z.Name.Value, z.Name.Pos
		}
	}
	return names
}

// finish takes the kind from the name when only the name says it.
func (z *Zone) finish(*decoder, *node) {
	z.Kind = Kind(z.KindText.Value)
	if z.Kind != "" {
		return
	}
	z.Kind = Other
	if name := fold(z.Name.Value); slices.Contains(KindWords(), name) {
		z.Kind = Kind(name)
	}
}

// KindWords are the kinds of zone by their words.
var KindWords = sync.OnceValue(func() (words []string) {
	for _, k := range zonal.Kinds() {
		words = append(words, string(k))
	}
	return words
})

func maxZones() int { return LookUp("zone").Max }

func inLine(p Pos) string {
	if p.Line == 0 {
		return ""
	}
	return fmt.Sprintf(" in line %d", p.Line)
}

// resolve sets the canonical name of every reference to a space. A kind word
// that no zone has for a name declares a zone of that kind.
func (s *Sheet) resolve(names map[string]string, say report) {
	faults := 0
	for _, ref := range s.references() {
		if !ref.Given() {
			continue
		}
		if ref.Text == "" {
			ref.Text = ref.Name
		}
		f := fold(ref.Text)
		name, ok := names[f]
		if !ok && slices.Contains(KindWords(), f) && len(s.Zones) < maxZones() {
			name, ok = f, true
			names[f] = f
			s.Zones = append(s.Zones, Zone{Pos: ref.Pos, Name: Text{f, ref.Pos}, Kind: Kind(f), Implied: true})
		}
		if ok {
			ref.Name = name
			continue
		}
		if faults++; faults <= MaxProblems { // a suggestion costs time
			say(ref.Pos, "%s", undeclared(ref.Text, names))
		} else {
			say(ref.Pos, "there is no space named %s", quoted(ref.Text))
		}
	}
}

func undeclared(text string, names map[string]string) string {
	candidates := slices.Clone(KindWords())
	for _, n := range names {
		candidates = append(candidates, n)
	}
	slices.Sort(candidates)
	none := "there is no space named " + quoted(text) + "; "
	if near, ok := Nearest(text, candidates); ok {
		return none + "did you mean " + quoted(near) + "? Otherwise declare it with [[zone]]"
	}
	return none + "declare it with [[zone]] and name = " + quoted(text)
}

// references lists every name of a space in the sheet.
func (s *Sheet) references() []*SpaceRef {
	var refs []*SpaceRef
	for i := range s.Holds {
		refs = s.Holds[i].references(refs)
	}
	for i := range s.Paths {
		refs = append(refs, &s.Paths[i].Between[0], &s.Paths[i].Between[1])
	}
	for i := range s.Registers {
		refs = append(refs, &s.Registers[i].Ducts)
	}
	for i := range s.Ducts {
		refs = append(refs, &s.Ducts[i].Location)
	}
	for i := range s.Zones {
		for j := range s.Zones[i].Touches {
			refs = append(refs, &s.Zones[i].Touches[j])
		}
	}
	return refs
}

func (h *Hold) references(refs []*SpaceRef) []*SpaceRef {
	for i := range h.Readings {
		refs = append(refs, &h.Readings[i].Of, &h.Readings[i].To)
	}
	for i := range h.ZoneBaselines {
		refs = append(refs, &h.ZoneBaselines[i].Of, &h.ZoneBaselines[i].To)
	}
	for i := range h.LessBaseline {
		refs = append(refs, &h.LessBaseline[i])
	}
	for i := range h.Opened {
		refs = append(refs, &h.Opened[i].Between[0], &h.Opened[i].Between[1])
	}
	for i := range h.Sealed {
		refs = append(refs, &h.Sealed[i].Between[0], &h.Sealed[i].Between[1])
	}
	for i := range h.Guards {
		refs = append(refs, &h.Guards[i])
	}
	for i := range h.Fans {
		refs = append(refs, &h.Fans[i].From, &h.Fans[i].To)
	}
	return refs
}

// unique reports items that have a name in common.
func unique[E any](say report, what string, list []E, name func(E) Text) {
	seen := map[string]Pos{}
	for _, e := range list {
		n := name(e)
		f := fold(n.Value)
		if at, ok := seen[f]; ok && f != "" {
			say(n.Pos, "a %s named %s stands already%s; give this one another name", what, quoted(n.Value), inLine(at))
			continue
		}
		seen[f] = n.Pos
	}
}

// apart reports a pair whose two ends are one space.
func apart(say report, a, b SpaceRef) {
	if a.Name != "" && a.Name == b.Name {
		say(b.Pos, "both ends are %s; write two different spaces", quoted(a.Name))
	}
}

func (s *Sheet) checkPaths(say report) {
	for _, z := range s.Zones {
		for _, t := range z.Touches {
			if t.Name != "" && t.Name == z.Name.Value {
				say(t.Pos, "%s cannot touch itself; take it out", quoted(t.Name))
			}
		}
	}
	seen := map[[2]string]Pos{}
	for _, p := range s.Paths {
		apart(say, p.Between[0], p.Between[1])
		k := ordered(p.Between[0].Name, p.Between[1].Name)
		if at, ok := seen[k]; ok && k[0] != "" {
			say(p.Between[0].Pos, "the path between %s and %s stands already%s; keep one of the two", k[0], k[1], inLine(at))
		}
		seen[k] = p.Between[0].Pos
	}
}

func ordered(a, b string) [2]string { return [2]string{min(a, b), max(a, b)} }

func (s *Sheet) checkHolds(say report) {
	unique(say, "hold", s.Holds, func(h Hold) Text { return h.Name })
	touching := map[[2]string]bool{}
	for _, p := range s.Touching() {
		touching[ordered(p[0], p[1])] = true
	}
	for i := range s.Holds {
		h := &s.Holds[i]
		h.checkReadings(say, touching)
		for _, o := range h.Opened {
			apart(say, o.Between[0], o.Between[1])
		}
		for _, f := range h.Fans {
			apart(say, f.From, f.To)
		}
		h.checkSealed(say, touching)
		h.checkGuards(say)
	}
}

// checkGuards refuses a guard that is no neighbour of the house, or whose fan was read.
func (h *Hold) checkGuards(say report) {
	for i, g := range h.Guards {
		switch {
		case g.Name == HouseName || g.Name == OutsideName:
			say(g.Pos, "%s cannot be a guard; write the neighbours that second fans hold level with the house", g.Name)
		case slices.ContainsFunc(h.Guards[:i], func(x SpaceRef) bool { return x.Name == g.Name && g.Name != "" }):
			say(g.Pos, "%s stands among the guards already; keep it once", quoted(g.Name))
		case slices.ContainsFunc(h.Fans, func(f Fan) bool { return g.Name != "" && (f.From.Name == g.Name || f.To.Name == g.Name) }):
			say(g.Pos, "a fan of %s stands under fans; take it out of guards, which are for fans whose flow was not read", quoted(g.Name))
		}
	}
}

// checkReadings refuses a pressure or flow that one hold has twice, whichever
// way round, and a flow through a boundary that does not exist.
func (h *Hold) checkReadings(say report, touching map[[2]string]bool) {
	type what struct {
		pair [2]string
		flow bool
	}
	seen := map[what]Pos{}
	for _, r := range h.Readings {
		apart(say, r.Of, r.To)
		pair := ordered(r.Of.Name, r.To.Name)
		if pair[0] == "" || r.Of.Name == r.To.Name {
			continue
		}
		w := what{pair, r.Flow.Given}
		if at, ok := seen[w]; ok {
			say(r.Of.Pos, "%s to %s was read already in this hold%s; keep one of the two, write them as a list of samples, or add a hold", r.Of.Name, r.To.Name, inLine(at))
		}
		seen[w] = r.Of.Pos
		if w.flow && !touching[pair] && !h.opens(pair) {
			say(r.Of.Pos, "a flow was read between %s and %s, which share no boundary; %s", r.Of.Name, r.To.Name, addTouches(pair))
		}
	}
}

func (h *Hold) opens(pair [2]string) bool {
	return slices.ContainsFunc(h.Opened, func(o Opening) bool { return o.Between.Same(pair[0], pair[1]) })
}

func addTouches(pair [2]string) string {
	zone, other := pair[0], pair[1]
	if zone == HouseName || zone == OutsideName {
		zone, other = other, zone
	}
	return fmt.Sprintf("give %s a [[zone]] table whose touches name %s", quoted(zone), quoted(other))
}

func (h *Hold) checkSealed(say report, touching map[[2]string]bool) {
	seen := map[[2]string]bool{}
	for _, c := range h.Sealed {
		apart(say, c.Between[0], c.Between[1])
		pair := ordered(c.Between[0].Name, c.Between[1].Name)
		switch {
		case pair[0] == "" || pair[0] == pair[1]:
		case seen[pair]:
			say(c.Between[0].Pos, "the path between %s and %s is sealed already in this hold; keep one of the two", pair[0], pair[1])
		case !touching[pair]:
			say(c.Between[0].Pos, "%s and %s share no boundary that could be sealed; %s", pair[0], pair[1], addTouches(pair))
		}
		seen[pair] = true
	}
}

// checkOpenings holds openings of one name to one place and one size. A size
// that one of them states is that of all.
func (s *Sheet) checkOpenings(say report) {
	named := map[string][]*Opening{}
	for _, h := range s.Holds {
		here := map[string]bool{}
		for i := range h.Opened {
			f := fold(h.Opened[i].Name.Value)
			if here[f] && f != "" {
				say(h.Opened[i].Name.Pos, "the opening %s stands already in this hold; give this one another name", quoted(h.Opened[i].Name.Value))
			}
			here[f] = true
			named[f] = append(named[f], &h.Opened[i])
		}
	}
	delete(named, "")
	for _, openings := range named {
		oneSize(say, openings)
	}
}

func oneSize(say report, openings []*Opening) {
	first := openings[0]
	sized := first
	for _, o := range openings[1:] {
		name := quoted(o.Name.Value)
		switch {
		case !o.Between.Same(first.Between[0].Name, first.Between[1].Name):
			say(o.Name.Pos, "the opening %s joins two other spaces%s; give this one another name", name, inLine(first.Name.Pos))
		case o.Sized() && sized.Sized() && o.size() != sized.size():
			say(o.sizeAt(), "the opening %s has another area%s; write one area in both, or give this one another name", name, inLine(sized.sizeAt()))
		case !sized.Sized():
			sized = o
		}
	}
	for _, o := range openings {
		if !o.Sized() {
			o.Area, o.Ajar, o.Leaf, o.Cd = sized.Area, sized.Ajar, sized.Leaf, sized.Cd
		}
	}
}

// checkHoldNames settles names of holds that other tables refer to.
func (s *Sheet) checkHoldNames(say report) {
	names := map[string]string{}
	var candidates []string
	for _, h := range s.Holds {
		names[fold(h.Name.Value)] = h.Name.Value
		candidates = append(candidates, h.Name.Value)
	}
	settle := func(t *Text) {
		if !t.Given() {
			return
		}
		if name, ok := names[fold(t.Value)]; ok {
			t.Value = name
			return
		}
		if near, ok := Nearest(t.Value, candidates); ok {
			say(t.Pos, "there is no hold named %s; did you mean %s?", quoted(t.Value), quoted(near))
			return
		}
		say(t.Pos, "there is no hold named %s; write the name of one", quoted(t.Value))
	}
	for i := range s.Registers {
		settle(&s.Registers[i].Hold)
	}
}
