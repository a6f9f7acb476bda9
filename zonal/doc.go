// Package zonal treats a house held at pressure as a network: the house,
// outside and any number of side spaces (attic, garage, crawlspace, ducts),
// joined by leaks. It says what readings of pressures and fan flows tell of the
// leaks. It reads no file and prints nothing; NewModel starts a model, Solve answers it.
//
// # The network
//
// A leak follows the power law Q = C·|Δp|^n·sign(Δp), rounded off about zero so that it
// stays differentiable: Q = C·Δp·(Δp² + ε²)^((n−1)/2) with ε = 0.05 Pa. Its size is stated as its flow with 50 Pa
// across it alone, in m³/s. The house is at a known pressure; each zone's
// pressure is where its flows balance; the door fan passes what the leaks of
// the house pass. A Model holds the spaces, paths, openings and the readings of
// every hold. The law and its exponents: ASHRAE Handbook of Fundamentals 2021,
// ch. 16; the default exponent 0.65: Dols and Walton 2002 (NIST).
//
// The balances are solved by Newton's method with a line search, which arrives from
// anywhere, since they are the stationary point of a convex function.
//
// # What is assumed before any reading
//
// Every kind of space (Kinds) has medians for the sizes of its leaks, and leaks, vents and
// registers have exponents: SizePrior, ExponentPrior, OpeningPrior. They are judgement, not
// published; a Model takes any others in their place.
//
// # From readings to leaks
//
// The joint estimate takes every reading of every hold together with what was
// assumed, and gives the median and the central 90 % interval of each
// leak. It is right for coupled zones and uses every reading once.
//
// Infer searches the posterior mode by damped least squares (Levenberg 1944; Marquardt
// 1963), with exact derivatives by the implicit function theorem, one adjoint solve a
// reading. It starts from the hand answer of one hold: zone pressures as read, one leak of
// each space from the balance there. Where that ends in a misfit that one good sheet in
// ten thousand would have, it starts again from the prior medians, and from openings no
// larger than the fan can feed, and keeps the best mode.
//
// Around the mode it takes weighted draws: the readings and priors are perturbed, the
// problem is solved again, and each solution has an exact importance weight (randomise,
// then optimise: Bardsley, Solonen, Haario and Laine 2014); the perturbations are points of
// a quasi-random sequence. Solve and Estimate take each interval from the draws, or from
// the curvature at the mode (Laplace's approximation) where that puts it in the same
// place. The same readings give the same draws, in whatever order they were written down.
//
// Posterior.Status tells whether the answer can be relied on. Where the readings
// contradict each other so much that the weights lie on a few draws it says so. In a house
// of many zones, where they always do, a few hundred draws are led on by short Hamiltonian
// trajectories instead; one that is too large for that gets curvature, and the status says
// so. Longer chains in other coordinates check both in the tests. What neither would find
// is a second mode far from all starts.
//
// # What follows from the posterior
//
// Suspect finds the reading that does not fit and the likely slip. Preview and Visit
// predict what further readings would settle, before they are made (preposterior
// analysis). Seal forecasts what sealing would save, and in which order; Compare sets two
// visits to one house beside each other with the errors that they share counted once.
//
// Package zonal/byhand holds the closed forms that can be followed with a calculator.
//
// A hold of 50 Pa is far beyond what any vented appliance can draft against,
// also in a side space that the hold drags along. Local codes and licensed
// practice come first.
package zonal
