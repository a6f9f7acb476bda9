package fit

import "errors"

// Status says how a search or a sampling run ended. Only a status that is not
// Early is a result to rely on.
type Status int

// The statuses of Mode and of Sample.
const (
	// NotRun is the zero status: nothing has been computed.
	NotRun Status = iota
	// GradientConvergence: the gradient, in units of the residuals, is negligible.
	GradientConvergence
	// StepConvergence: the last step was negligible and the curvature confirms the mode.
	StepConvergence
	// CostConvergence: the cost no longer falls and the curvature confirms the mode.
	CostConvergence
	// IterationLimit: the search was cut off before it converged.
	IterationLimit
	// Stalled: no step lowers the cost, yet the curvature denies a mode.
	Stalled
	// Sampled: the chains agree and hold enough independent draws.
	Sampled
	// ChainsDisagree: split R-hat is above its limit.
	ChainsDisagree
	// TooFewEffective: the effective sample size is below what was asked for.
	TooFewEffective
	// Divergent: too many trajectories lost their energy, so that parts of the
	// posterior may not have been reached.
	Divergent
)

var statuses = []struct {
	name  string
	early bool
	err   error
}{
	NotRun:              {"not run", true, errors.New("nothing has been computed")},
	GradientConvergence: {"converged: gradient", false, nil},
	StepConvergence:     {"converged: step", false, nil},
	CostConvergence:     {"converged: cost", false, nil},
	IterationLimit:      {"iteration limit", true, errors.New("the search for the mode was cut off before it converged")},
	Stalled:             {"stalled", true, errors.New("the search for the mode stalled before it converged")},
	Sampled:             {"sampled", false, nil},
	ChainsDisagree:      {"chains disagree", true, errors.New("the sampling chains do not agree")},
	TooFewEffective:     {"too few effective draws", true, errors.New("the sampling chains hold too few independent draws")},
	Divergent:           {"divergent", true, errors.New("too many sampling trajectories diverged")},
}

func (s Status) valid() bool { return s >= 0 && int(s) < len(statuses) }

// String names the status.
func (s Status) String() string {
	if !s.valid() {
		return "unknown status"
	}
	return statuses[s].name
}

// Early reports that the run ended before it reached what was asked for.
func (s Status) Early() bool { return !s.valid() || statuses[s].early }

// Err is nil unless the run ended early.
func (s Status) Err() error {
	if !s.valid() {
		return errors.New("unknown status")
	}
	return statuses[s].err
}
