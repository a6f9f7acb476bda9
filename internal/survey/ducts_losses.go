package survey

func (w *ductWork) losses() {}
