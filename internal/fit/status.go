package fit

import "errors"

// Status says how a search or a sampling run ended. Only a status that is not
// Early is a result to rely on.
type Status int

// The statuses of Mode and of Randomise.
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
	// Sampled: the weighted draws count for as many as were asked for.
	Sampled
	// TooFewEffective: their weights lie on so few of them that they count for less.
	TooFewEffective
	// Unsettled: the chains that led draws on still drift.
	Unsettled
	// TooMuchWork: no draws were made, since they would take more than they may.
	TooMuchWork
)

var statuses = []struct {
	name string
	err  error
}{
	NotRun:              {"not run", errors.New("nothing has been computed")},
	GradientConvergence: {"converged: gradient", nil},
	StepConvergence:     {"converged: step", nil},
	CostConvergence:     {"converged: cost", nil},
	IterationLimit:      {"iteration limit", errors.New("the search for the mode was cut off before it converged")},
	Stalled:             {"stalled", errors.New("the search for the mode stalled before it converged")},
	Sampled:             {"sampled", nil},
	TooFewEffective:     {"too few effective draws", errors.New("the weights of the draws lie on too few of them")},
	Unsettled:           {"draws not settled", errors.New("what the draws say still changes as they are led on")},
	TooMuchWork:         {"too many unknowns to sample", errors.New("draws would take more work than they may")},
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
func (s Status) Early() bool { return s.Err() != nil }

// Trouble is the status where the run ended early, and empty where its result can be
// relied on.
func (s Status) Trouble() string {
	if s.Early() {
		return s.String()
	}
	return ""
}

// Err is nil unless the run ended early.
func (s Status) Err() error {
	if !s.valid() {
		return errors.New("unknown status")
	}
	return statuses[s].err
}
