// Package byhand holds the closed forms of zone pressure tests that can be followed with a
// calculator, for a house with one zone: Series (one pressure: how the zone divides, a
// ratio and never a flow), OpenedDoor (two fan readings, the zone opened to one side),
// AddedOpening (two pressures, a hole of known size), NullTest and StepTest (two
// fans), ThreeTests (three single-fan tests), and for parts of a building
// RankRooms and Guarded. Apply finds what the holds of a zonal.Model allow.
//
// # Quantities
//
// A leak is stated as the flow with 50 Pa across it alone, in m³/s, and follows
// Q = L·f(x), f(x) = (x/50 Pa)^n with the sign of x. Pressures are in pascals, signed as a
// gauge shows them: negative for a house below outdoors. In the formulas p is house to
// zone, z zone to outside and P = p + z house to outside, as magnitudes; L_HZ, L_ZO and
// L_D are the house–zone, the zone–outside and the direct house–outside leak, and a and
// b two states of the zone.
//
// # Intervals, errors, working
//
// Every answer is the closed form at the numbers read; its interval is the central 90 %
// interval of the whole error model (Errors), by a simulation with a fixed seed. An answer
// that the readings bound at one end only says so (Bound). An error is a *pressure.Fault
// of the kind ErrReading, ErrTooSmall (the change is too small to carry an answer) or
// ErrNotResolved. The limits on how large a change must be are computed from the error
// model here; no published minimum is known. Each answer carries lines of working with
// the reader's own numbers.
//
// The joint estimate of package zonal takes every reading of every hold together and is
// right for coupled zones; here a second zone that moves along (CoupledNote) makes the
// leak too large, by half in a garage below an attic.
//
// Sources: the series analysis of bypasses is credited to Blasnik and
// Fitzgerald 1992 and Fitzgerald, Nevitt and Blasnik 1994 (Home Energy); the
// equalised form of two fans to Lundin 1981 and CMHC 04-108; step tests to
// Herrlin and Modera 1988; reciprocity to Nylund 1980; published uncertainty of
// interzone tests to Hult, Dickerhoff and Price 2012 (LBNL-5887E) and Hult and
// Sherman 2014.
//
// A hold of 50 Pa is far beyond what any vented appliance can draft against,
// also in a side space that the hold drags along. Local codes and licensed
// practice come first.
package byhand
