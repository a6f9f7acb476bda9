package zonal

import (
	"errors"
	"fmt"

	"holdbook/units"
)

var (
	errNoPosterior = errors.New("there is no posterior: make one with Infer or Prior")
	errNoMode      = errors.New("a posterior made of priors alone has no estimate: Infer one from holds")
)

// check refuses a posterior that Infer or Prior did not make.
func (post *Posterior) check() error {
	if post == nil || post.problem == nil {
		return errNoPosterior
	}
	return nil
}

// checkMode refuses a posterior without a mode too, as Prior and With make it.
func (post *Posterior) checkMode() error {
	if err := post.check(); err != nil {
		return err
	}
	if post.root == nil {
		return errNoMode
	}
	return nil
}

// checkZone refuses a space that is no zone of the model.
func (m *Model) checkZone(z SpaceID) error {
	if z <= Outside || int(z) >= len(m.Spaces) {
		return fmt.Errorf("space %d is no zone; zones are %d to %d", z, Outside+1, len(m.Spaces)-1)
	}
	return nil
}

// checkTargets refuses what cannot be sealed.
func (m *Model) checkTargets(targets []SealTarget) error {
	for i, t := range targets {
		if len(t.Paths) == 0 {
			return fmt.Errorf("sealing target %d names no path", i)
		}
		for _, p := range t.Paths {
			if p < 0 || p >= len(m.Paths) {
				return fmt.Errorf("sealing target %d: path %d does not exist; there are %d", i, p, len(m.Paths))
			}
			if m.Paths[p].Covered {
				return fmt.Errorf("sealing target %d: %s is not there in the house as found", i, m.pathLabel(p))
			}
		}
	}
	return nil
}

// checkFraction refuses a fraction that cannot be sealed; 0 stands for all.
func checkFraction(f float64) error {
	if f == 0 || f > 0 && f <= 1 {
		return nil
	}
	return fmt.Errorf("the fraction sealed must be above 0 and at most 1, not %g", f)
}

// check refuses a question about what the model does not have.
func (n *planner) check() error {
	if err := n.post.check(); err != nil {
		return err
	}
	m := n.post.problem.model
	for _, z := range n.question.Through {
		if err := m.checkZone(z); err != nil {
			return fmt.Errorf("the question: %w", err)
		}
	}
	if err := m.checkTargets(n.question.Seal); err != nil {
		return fmt.Errorf("the question: %w", err)
	}
	return nil
}

// check refuses options that do not fit so many candidates.
func (o VisitOptions) check(candidates int) error {
	if len(o.Minutes) != candidates {
		return fmt.Errorf("a visit needs the minutes of every candidate: %d for %d", len(o.Minutes), candidates)
	}
	for i, v := range o.Minutes {
		if !standard(v) {
			return fmt.Errorf("candidate %d: its minutes must be 0 or more, not %g", i, v)
		}
	}
	if o.First < -1 || o.First >= candidates {
		return fmt.Errorf("candidate %d cannot come first; there are %d, and −1 stands for any", o.First, candidates)
	}
	if !standard(o.Limit) {
		return fmt.Errorf("the minutes there are must be 0 or more, not %g", o.Limit)
	}
	return nil
}

// checkHole refuses a hole that cannot be made.
func (m *Model) checkHole(zone, to SpaceID, areas []units.Area) error {
	if err := m.checkZone(zone); err != nil {
		return err
	}
	if err := m.checkEnds(zone, to); err != nil {
		return err
	}
	if len(areas) == 0 {
		return errors.New("a hole needs areas to choose from")
	}
	for i, a := range areas {
		if !positive(float64(a)) {
			return fmt.Errorf("area %d must be positive and finite, not %g m²", i, float64(a))
		}
	}
	return nil
}
