package survey

func (r *run) ducts()       {}
func (r *run) rooms()       {}
func (r *run) limits()      {}
func (r *run) ventilation() {}
func (r *run) unused()      {}
