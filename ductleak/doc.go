// Package ductleak works out what a duct system leaks and what that costs,
// from the readings that can be taken beside a door fan.
//
// # Leakage
//
// A leak passes Q = C·|Δp|^n·sign(Δp). Each test drives the duct leaks with a
// pressure that is known and reads a flow that is theirs alone, or nearly:
//
//   - subtraction with covered registers: the house is held once with its
//     registers open and once with them covered; the fan flow falls by what the
//     duct leaks passed, less what still reaches them through leaks between
//     house and ducts. The pressure in the covered ducts gives the
//     duct-pressure correction (ASTM E1554, method with an envelope test);
//   - flow at one open register while the rest are covered and the house held;
//   - house and ducts at one pressure: nothing flows between them, the duct fan
//     reads leakage to outside;
//   - ducts alone at the test pressure, house at outdoor pressure: total leakage;
//   - the on/off test: envelope flow with the air handler on less off, over a
//     range of house pressures (ASTM E1554, method A), which separates supply
//     from return. It is one joint fit of leakages, pressures and exponents with what
//     is known of each beforehand; its intervals are quantiles of a thousand effective
//     weighted draws about the mode (package fit, Randomise).
//
// The pressure across a covered register ranks the branches but carries no
// flow. The flows of registers in operation, and what the house pressure does
// when the air handler starts, say less and are given with an honest error.
//
// # Loss
//
// Delivery effectiveness and distribution efficiency follow the steady model
// of ASHRAE Standard 152 as given in the residential energy literature of
// NREL (equations 6-23, 6-25 and 6-40), with the infiltration that unequal
// leaks induce by the half-of-imbalance rule (Palmiter and Bond 1991).
//
// # Conventions
//
// Everything is SI inside. Pressures of a hold are magnitudes, house to
// outside and house to duct, with the baseline subtracted, unless a comment
// says signed. Two exponents are kept apart: CorrectionExponent for the
// duct-pressure correction, DuctExponent for scaling a duct flow from one
// pressure to another. Intervals are central 90 % intervals; where a closed
// form is not linear they come from a simulation with a fixed seed, and Value
// is the formula at the readings themselves, but for the on/off test: there it is
// the median of the draws.
//
// A reading that cannot be used is a *pressure.Fault: it names the reading, what
// is wrong with it and what to do.
package ductleak
