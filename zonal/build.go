package zonal

import (
	"fmt"
	"slices"

	"holdbook/pressure"
	"holdbook/units"
)

// NewModel is a house and outside, joined by the direct leaks of the house, with
// standard air in the leaks and without zones or readings. Zones are added by AddZone
// and Join, openings by AddOpening and AddHole, readings by appending to Holds.
func NewModel() *Model {
	return &Model{
		Spaces: []Space{{Name: "house", Kind: HouseKind}, {Name: "outside", Kind: OutsideKind}},
		Paths:  []Path{{A: House, B: Outside, Flow50: SizePrior(HouseKind, OutsideKind), Exponent: ExponentPrior(HouseKind, OutsideKind, false)}},
		CdSDLn: commonCdSD / commonCd,
		Air:    pressure.StandardDensity,
	}
}

// AddZone adds a zone with a leak to the house and one to outside, each with the priors
// of its kind. The error tells of a kind that is not in Kinds, or of a name that is
// empty or taken.
func (m *Model) AddZone(kind Kind, name string) (SpaceID, error) {
	switch {
	case len(m.Spaces) <= int(Outside):
		return 0, errSpacesMissing
	case !kind.IsZone():
		return 0, fmt.Errorf("zone %q: no zone can be of the kind %q; the kinds are %q", name, kind, Kinds())
	case sameCase(name) == "":
		return 0, fmt.Errorf("a zone of the kind %q has no name", kind)
	case m.hasSpace(name):
		return 0, fmt.Errorf("zone %q: a space of that name exists", name)
	}
	id := SpaceID(len(m.Spaces))
	m.Spaces = append(m.Spaces, Space{Name: name, Kind: kind, Vented: kind.Vented()})
	for _, to := range []SpaceID{House, Outside} {
		if _, err := m.Join(id, to); err != nil {
			return 0, err
		}
	}
	return id, nil
}

func (m *Model) hasSpace(name string) bool {
	return slices.ContainsFunc(m.Spaces, func(s Space) bool { return sameName(s.Name, name) })
}

// Join joins two spaces by a leak with the priors of their kinds, unless they are
// already, and gives the index of their path, which runs outwards: from the house, or to
// outside. The error names a space that does not exist.
func (m *Model) Join(a, b SpaceID) (int, error) {
	if err := m.checkEnds(a, b); err != nil {
		return 0, fmt.Errorf("a leak: %w", err)
	}
	if i := m.PathBetween(a, b); i >= 0 {
		return i, nil
	}
	a, b = outwards(a, b)
	from, to := m.Spaces[a], m.Spaces[b]
	m.Paths = append(m.Paths, Path{A: a, B: b, Flow50: SizePrior(from.Kind, to.Kind),
		Exponent: ExponentPrior(from.Kind, to.Kind, from.Vented || to.Vented)})
	return len(m.Paths) - 1, nil
}

// outwards is two spaces in the order in which a path between them reads.
func outwards(a, b SpaceID) (from, to SpaceID) {
	a, b = min(a, b), max(a, b)
	if a == Outside {
		return b, a
	}
	return a, b
}

// PathBetween is the index of the path that joins two spaces as found, or −1.
func (m *Model) PathBetween(a, b SpaceID) int {
	return slices.IndexFunc(m.Paths, func(p Path) bool { return !p.Covered && p.Joins(a, b) })
}

// Joins tells whether a path lies between two spaces, in either order.
func (p *Path) Joins(a, b SpaceID) bool { return samePair(p.A, p.B, a, b) }

// Joins tells whether an opening lies between two spaces, in either order.
func (o *Opening) Joins(a, b SpaceID) bool { return samePair(o.A, o.B, a, b) }

func samePair(a, b, x, y SpaceID) bool { return a == x && b == y || a == y && b == x }

// AddOpening adds something of unknown size that is opened between two spaces in some
// holds, and gives its index for Hold.Opened.
func (m *Model) AddOpening(name string, a, b SpaceID) (int, error) {
	if err := m.checkEnds(a, b); err != nil {
		return 0, fmt.Errorf("opening %q: %w", name, err)
	}
	m.Openings = append(m.Openings, Opening{Name: name, A: a, B: b, Flow50: OpeningPrior(m.Spaces[a].Kind, m.Spaces[b].Kind), Exponent: OpeningExponentPrior()})
	return len(m.Openings) - 1, nil
}

// AddHole adds a sharp-edged hole of known area (m²), measured to 3 %, that is made
// between two spaces in some holds, and gives its index for Hold.Opened.
func (m *Model) AddHole(name string, a, b SpaceID, area units.Area) (int, error) {
	if err := m.checkEnds(a, b); err != nil {
		return 0, fmt.Errorf("hole %q: %w", name, err)
	}
	if !positive(float64(area)) {
		return 0, fmt.Errorf("hole %q: its area must be positive and finite", name)
	}
	m.Openings = append(m.Openings, Opening{Name: name, A: a, B: b, Area: area, AreaSDLn: holeAreaSD})
	return len(m.Openings) - 1, nil
}

// checkEnds refuses two ends that are not two spaces of the model.
func (m *Model) checkEnds(a, b SpaceID) error {
	for _, s := range []SpaceID{a, b} {
		if s < 0 || int(s) >= len(m.Spaces) {
			return fmt.Errorf("space %d does not exist; there are %d", s, len(m.Spaces))
		}
	}
	if a == b {
		return fmt.Errorf("it joins %s to itself", m.spaceName(a))
	}
	return nil
}
