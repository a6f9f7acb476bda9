package zonal

// What is assumed of a leak before any reading, apart from the medians of kinds:
// judgement, not published. Measured exponents of whole houses lie about 0.65
// (ASHRAE Handbook of Fundamentals 2021, ch. 16).
const (
	anyOther = 150 // cfm at 50 Pa, two kinds that the table has no median for

	sizeSD = 1.5 // of the logarithm of a size: nine in ten within a factor of 12
	// single leaks vary at least as much as whole houses do
	exponentSD = 0.09
	coveredSD  = 0.06 // of covered registers
	crackMean  = 0.65
	ventMean   = 0.60 // vents to outside, and the seams of ducts

	openingCFM = 3000 // a hatch, a door or a window
	openingSD  = 2.0
	// registerCFM is of one register of 6 by 10 in, two thirds of it free; with
	// registerSD nine in ten lie from 35 to 1800 cfm, so that a grille of the return is
	// in reach.
	registerCFM = 250
	registerSD  = 1.2
	// what is opened has edges, and often some length: of registers too
	openingMean       = 0.53
	openingExponentSD = 0.03

	// of an opening, what opening it opens besides: with a hundredth, calm houses had
	// intervals an eighth wider than without weather, with a two-hundredth houses whose
	// hatch opens a chase had its flow within its interval 75 times in a hundred
	secondMedian = 0.006
	secondSD     = 1.1

	presumedCFM = 20 // a boundary that nobody spoke of
	coveredCFM  = 50 // what covered registers still leak
)

// SizePrior is what is assumed of the size of a leak between spaces of two kinds, in
// either order.
func SizePrior(a, b Kind) LogNormal { return LogNormal{fromCFM(medianCFM(a, b)), sizeSD} }

// ExponentPrior is what is assumed of the exponent of a leak between spaces of two
// kinds, in either order. vented says that one of them has vents: its leak to outside
// is then taken for those. Ducts join the house, and other ducts, by openings.
func ExponentPrior(a, b Kind, vented bool) Normal {
	conduit := a.row().conduit || b.row().conduit
	switch {
	case conduit && a == b:
		return Normal{Mean: sharpExponent}
	case conduit && (a == HouseKind || b == HouseKind):
		return OpeningExponentPrior()
	case conduit, vented && (a == OutsideKind || b == OutsideKind):
		return Normal{ventMean, exponentSD}
	}
	return Normal{crackMean, exponentSD}
}

// OpeningPrior is what is assumed of the size of something opened for a hold between
// spaces of two kinds, in either order: a register between house and ducts, anywhere
// else a hatch, a door or a window.
func OpeningPrior(a, b Kind) LogNormal {
	if a == HouseKind && b.row().conduit || b == HouseKind && a.row().conduit {
		return LogNormal{fromCFM(registerCFM), registerSD}
	}
	return LogNormal{fromCFM(openingCFM), openingSD}
}

// OpeningExponentPrior is what is assumed of the exponent of something opened for a hold.
func OpeningExponentPrior() Normal { return Normal{openingMean, openingExponentSD} }

// SecondPrior is what is assumed of what opening something opens besides, as a share of it.
func SecondPrior() LogNormal { return LogNormal{secondMedian, secondSD} }

// PresumedSize is what is assumed of a leak between two spaces of which nobody said that
// they touch, see Kind.MayTouch.
func PresumedSize() LogNormal { return LogNormal{fromCFM(presumedCFM), sizeSD} }

// CoveredRegisters is the leak that stands in for the registers of ducts in holds in
// which they are covered. Its index belongs in Hold.Covered there, and that of the leak
// between house and ducts in Hold.Sealed.
func CoveredRegisters(ducts SpaceID) Path {
	return Path{A: House, B: ducts, Covered: true, Flow50: LogNormal{fromCFM(coveredCFM), sizeSD}, Exponent: Normal{crackMean, coveredSD}}
}
