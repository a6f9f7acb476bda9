// Package zonal treats a house held at pressure as a network: the house,
// outside and any number of side spaces (attic, garage, crawlspace, ducts),
// joined by leaks. It says what readings of pressures and fan flows tell of the
// leaks.
//
// # The network
//
// A leak follows the power law Q = C·|Δp|^n·sign(Δp), made linear below 0.01 Pa
// so that it stays differentiable. Its size is stated as its flow with 50 Pa
// across it alone, in m³/s. The house is at a known pressure; each zone's
// pressure is where its flows balance; the door fan passes what the leaks of
// the house pass. A Model holds the spaces, paths, openings and the readings of
// every hold. The law and its exponents: ASHRAE Handbook of Fundamentals 2021,
// ch. 16; the default exponent 0.65: Dols and Walton 2002 (NIST).
//
// # From readings to leaks
//
// The joint estimate takes every reading of every hold together with what was
// known beforehand, and gives the median and the central 90 % interval of each
// leak. It is right for coupled zones and uses every reading once.
//
// Infer searches the posterior mode by damped least squares (Levenberg 1944; Marquardt
// 1963), with exact derivatives by the implicit function theorem. It starts from the hand
// answer of one hold: zone pressures as read, one leak of each space from the balance
// there. Around the mode it takes weighted draws: the readings and priors are
// perturbed, the problem is solved again, and each solution is weighed exactly
// (randomise, then optimise: Bardsley, Solonen, Haario and Laine 2014). Solve and
// Estimate take each interval from the draws, or from the curvature at the mode where
// that puts it in the same place. The same readings give the same draws.
//
// Posterior.Sampler tells whether the draws suffice. Where the readings contradict
// each other so much that the weights lie on a few draws it is TooFewEffective, and
// the intervals are not to be relied on; there is no second sampler. Hamiltonian chains
// check the draws in the tests. What neither would find is a second mode far away.
//
// # Hand methods
//
// Beside it stand the closed forms that can be followed with a calculator, for
// a house with one zone: Series (one pressure: how the zone divides, a ratio
// and never a flow), OpenedDoor (two fan readings, the zone opened to one side),
// AddedOpening (two pressures, a hole of known size), NullTest and StepTest (two
// fans), ThreeTests (three single-fan tests), and for parts of a building
// RankRooms and Guarded. Each propagates the whole error model by a simulation
// with a fixed seed, refuses with a *HandError where the change is too small to
// carry an answer, and carries a Worked line with the reader's own numbers.
// They start the joint estimate and check it; with a second zone that moves
// along (CoupledNote) they overstate the leak, by half in a garage below an
// attic.
//
// Sources: the series analysis of bypasses is credited to Blasnik and
// Fitzgerald 1992 and Fitzgerald, Nevitt and Blasnik 1994 (Home Energy); the
// equalised form of two fans to Lundin 1981 and CMHC 04-108; step tests to
// Herrlin and Modera 1988; reciprocity to Nylund 1980; published uncertainty of
// interzone tests to Hult, Dickerhoff and Price 2012 (LBNL-5887E) and Hult and
// Sherman 2014. The limits on how large a change must be are computed from the
// error model here; no published minimum is known.
//
// A hold of 50 Pa is far beyond what any vented appliance can draft against,
// also in a side space that the hold drags along. Local codes and licensed
// practice come first.
package zonal
