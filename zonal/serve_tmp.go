package zonal

func (post *Posterior) curvatureServes() bool { return false }
