package units

import "strings"

// baseUnits are the SI bases of the dimensions that results have, each with the
// unit of either system.
var baseUnits = [...]struct {
	si *Unit
	of func(System) Unit
}{
	{&SquareMetreOfFloor, floorArea}, // first: what reads m2 in results is a floor, for no reader sees leaks in it
	{&Pascal, System.Pressure}, {&CubicMetrePerSecond, System.Flow}, {&SquareMetre, System.Area}, {&PerSecond, System.Rate},
	{&CubicMetrePerSecondSquareMetre, System.SpecificFlow}, {&Joule, System.Energy},
	{&Metre, System.Length}, {&CubicMetre, System.Volume}, {&Kelvin, System.Temperature},
}

func floorArea(s System) Unit { return pick(s, squareFootOfFloor, SquareMetreOfFloor) }

// Base is the SI base unit of what u measures. A ratio keeps its unit, for 1 and %
// are said alike everywhere, and so does what nothing converts.
func (u Unit) Base() Unit {
	for _, b := range baseUnits {
		if b.si.dim == u.dim {
			return b.si.Per(u.per)
		}
	}
	return u
}

// For is the system's unit for a result in u: of leak areas and flows, of energies, of what a house measures,
// of what is made of them by Per. Any other unit stays.
func (s System) For(u Unit) Unit {
	for _, b := range baseUnits {
		if b.si.dim == u.dim {
			return b.of(s).Per(u.per)
		}
	}
	return u
}

// Alike tells whether two units measure the same, so that one converts to the other.
func (u Unit) Alike(v Unit) bool {
	return u.dim == v.dim && u.per == v.per && (u.dim != dimNone || u.symbol == v.symbol)
}

// Convert takes a number from one unit to another of the same dimension.
func Convert(v float64, from, to Unit) float64 {
	if from == to {
		return v
	}
	return to.FromSI(from.ToSI(v))
}

// Per is u for each of something that is the same in both systems: "cfm/h", for
// each hour of work. An empty text changes nothing.
func (u Unit) Per(what string) Unit {
	u.per = what
	return u
}

// Named is a unit that nothing converts, such as a currency.
func Named(symbol string) Unit { return Unit{symbol: symbol} }

// MarshalText implements encoding.TextMarshaler by the plain symbol.
func (u Unit) MarshalText() ([]byte, error) { return []byte(u.Symbol()), nil }

// UnmarshalText implements encoding.TextUnmarshaler. It reads what MarshalText
// writes of the units of results; any other text is a unit that nothing converts.
func (u *Unit) UnmarshalText(text []byte) error {
	symbol, longest := string(text), 0
	*u = Named(symbol)
	for _, b := range baseUnits {
		for _, known := range []Unit{*b.si, b.of(IP), b.of(SI)} {
			rest, ok := strings.CutPrefix(symbol, known.symbol)
			per, divided := strings.CutPrefix(rest, "/")
			switch {
			case !ok:
			case rest == "":
				*u = known
				return nil
			case divided && len(known.symbol) > longest: // m3/h for each Pa^n begins like m3 for each h/Pa^n
				*u, longest = known.Per(per), len(known.symbol)
			}
		}
	}
	for _, known := range []Unit{One, Percent} {
		if symbol == known.symbol {
			*u = known
		}
	}
	return nil
}
