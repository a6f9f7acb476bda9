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
// Package zonal/byhand holds the closed forms that can be followed with a calculator.
//
// A hold of 50 Pa is far beyond what any vented appliance can draft against,
// also in a side space that the hold drags along. Local codes and licensed
// practice come first.
package zonal
