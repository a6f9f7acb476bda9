package zonal

import (
	"slices"

	"holdbook/units"
)

// Kind is the kind of a space. What is assumed of its leaks before any reading, and on
// which side of the air barrier it is meant to lie, hangs on it; see Kinds.
type Kind string

// The kinds of zone, and the house and outside, which are spaces too.
const (
	HouseKind   Kind = "house"
	OutsideKind Kind = "outside"
	Attic       Kind = "attic"
	Garage      Kind = "garage"
	Crawlspace  Kind = "crawlspace"
	Basement    Kind = "basement"
	Kneewall    Kind = "kneewall"
	Porch       Kind = "porch"
	Neighbour   Kind = "neighbour"
	Room        Kind = "room"
	Ducts       Kind = "ducts"
	Other       Kind = "other"
)

// kindRow is all that this package knows of a kind. Medians are flows at 50 Pa in cfm;
// 0 stands for anyOther.
type kindRow struct {
	kind    Kind
	house   float64          // median of the leak to the house
	outside float64          // median of the leak to outside
	zones   map[Kind]float64 // medians of the leaks to zones of other kinds, or of its own
	vented  bool             // has vents to outside by default
	inside  bool             // is meant inside the air barrier by default
	joins   []Kind           // zones that it may leak to without anybody knowing
	conduit bool             // carries the air of a fan, through openings to the house
	// Of use in weather: where a hose crosses to the house, how high the leaks to the
	// house and to outdoors lie, and Warmth, see Space.
	crossing, toHouse, toOutside level
	warmth                       float64
}

// half is half-way up the house.
var half = level{house: 0.5}

// kinds is the table of kinds: a new kind of zone is one more row. The medians are
// judgement, not published.
var kinds = []kindRow{
	{kind: HouseKind, outside: 1500, inside: true,
		crossing: level{metres: doorCrossing}, warmth: 1},
	{kind: OutsideKind},
	{kind: Attic, house: 300, outside: 2000, vented: true,
		crossing: level{1, 0}, toHouse: level{1, 0}, toOutside: level{1, 0.8}, warmth: 0.2},
	{kind: Garage, house: 150, outside: 1000, joins: []Kind{Attic}, zones: map[Kind]float64{Attic: 100},
		crossing: level{metres: doorCrossing}, toHouse: level{0, 1.3}, toOutside: level{0, 1}, warmth: 0.5},
	{kind: Crawlspace, house: 250, outside: 1500, vented: true, joins: []Kind{Basement, Garage},
		toOutside: level{0, 0.2}, warmth: 0.5},
	{kind: Basement, house: 1000, outside: 300, inside: true,
		toOutside: level{0, 0.3}, warmth: 0.7},
	{kind: Kneewall, house: 200, outside: 300, joins: []Kind{Attic}, zones: map[Kind]float64{Attic: 300},
		crossing: level{1, 0}, toHouse: level{1, 0}, toOutside: level{1, 0.5}, warmth: 0.4},
	{kind: Porch, joins: []Kind{Attic},
		crossing: level{metres: doorCrossing}, toHouse: level{0, 1}, toOutside: level{0, 1}, warmth: 0.3},
	{kind: Neighbour, house: 200, outside: 800,
		crossing: level{metres: doorCrossing}, toHouse: half, toOutside: half, warmth: 1},
	{kind: Room, house: 300, outside: 100, inside: true,
		crossing: level{metres: doorCrossing}, toHouse: half, toOutside: half, warmth: 1},
	{kind: Ducts, house: 3000, outside: 100, zones: map[Kind]float64{Attic: 100, Crawlspace: 100, Ducts: 1500}, inside: true, conduit: true,
		crossing: half, toHouse: half, toOutside: half, warmth: 1},
	{kind: Other,
		crossing: level{metres: doorCrossing}, toHouse: half, toOutside: half, warmth: 0.3},
}

// firstZone is the row of the first kind that a zone can have.
const firstZone = 2

// Kinds lists the kinds that a zone can have.
func Kinds() []Kind {
	var list []Kind
	for _, r := range kinds[firstZone:] {
		list = append(list, r.kind)
	}
	return list
}

// row is what is known of a kind; of one that is not in the table, what is of Other.
func (k Kind) row() kindRow {
	if i := slices.IndexFunc(kinds, func(r kindRow) bool { return r.kind == k }); i >= 0 {
		return kinds[i]
	}
	return kindRow{kind: k, crossing: level{metres: doorCrossing}, toHouse: half, toOutside: half, warmth: 0.3}
}

// IsZone tells whether a zone can be of this kind.
func (k Kind) IsZone() bool { return slices.Contains(Kinds(), k) }

// Vented tells whether spaces of the kind usually have vents to outside.
func (k Kind) Vented() bool { return k.row().vented }

// MeantInside tells whether spaces of the kind usually lie inside the air barrier.
func (k Kind) MeantInside() bool { return k.row().inside }

// MayTouch tells whether spaces of two kinds often leak to each other without anybody
// knowing: ducts to every zone that is not meant inside, which inside says of the other.
func (k Kind) MayTouch(other Kind, inside bool) bool {
	row := k.row()
	return row.conduit && !inside && other.IsZone() && !other.row().conduit || slices.Contains(row.joins, other)
}

// medianCFM is the median of the leak between two kinds, in either order.
func medianCFM(a, b Kind) float64 {
	for _, pair := range [2][2]Kind{{a, b}, {b, a}} {
		r, median := pair[0].row(), 0.0
		switch pair[1] {
		case HouseKind:
			median = r.house
		case OutsideKind:
			median = r.outside
		default:
			median = r.zones[pair[1]]
		}
		if median > 0 {
			return median
		}
	}
	return anyOther
}

func fromCFM(v float64) units.Flow { return units.Flow(units.CFM.ToSI(v)) }
