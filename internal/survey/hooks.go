package survey

func (r *run) limits()      {}
func (r *run) ventilation() {}
