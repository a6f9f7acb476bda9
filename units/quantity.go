package units

// In gives the quantity in u, or NaN where u measures something else.
func (q Pressure) In(u Unit) float64 { return u.in(float64(q), dimPressure) }

// In gives the quantity in u, or NaN where u measures something else.
func (q Flow) In(u Unit) float64 { return u.in(float64(q), dimFlow) }

// In gives the quantity in u, or NaN where u measures something else.
func (q Area) In(u Unit) float64 { return u.in(float64(q), dimArea) }

// In gives the quantity in u, or NaN where u measures something else.
func (q Length) In(u Unit) float64 { return u.in(float64(q), dimLength) }

// In gives the quantity in u, or NaN where u measures something else.
func (q Volume) In(u Unit) float64 { return u.in(float64(q), dimVolume) }

// In gives the quantity in u, or NaN where u measures something else.
func (q Temperature) In(u Unit) float64 { return u.in(float64(q), dimTemperature) }

// In gives the quantity in u, or NaN where u measures something else.
func (q TemperatureDifference) In(u Unit) float64 { return u.in(float64(q), dimTemperatureDifference) }

// In gives the quantity in u, or NaN where u measures something else.
func (q Power) In(u Unit) float64 { return u.in(float64(q), dimPower) }

// In gives the quantity in u, or NaN where u measures something else.
func (q Time) In(u Unit) float64 { return u.in(float64(q), dimTime) }

// In gives the quantity in u, or NaN where u measures something else.
func (q Density) In(u Unit) float64 { return u.in(float64(q), dimDensity) }

// In gives the quantity in u, or NaN where u measures something else.
func (q Ratio) In(u Unit) float64 { return u.in(float64(q), dimRatio) }

// In gives the quantity in u, or NaN where u measures something else.
func (q Rate) In(u Unit) float64 { return u.in(float64(q), dimRate) }

// In gives the quantity in u, or NaN where u measures something else.
func (q ThermalResistance) In(u Unit) float64 { return u.in(float64(q), dimThermalResistance) }

// In gives the quantity in u, or NaN where u measures something else.
func (q SpecificFlow) In(u Unit) float64 { return u.in(float64(q), dimSpecificFlow) }

// Text prints the quantity in u with that many decimals (negative: rounded to
// tens, hundreds) and the symbol as the SI brochure prints it: "43.9 Pa".
func (q Pressure) Text(u Unit, decimals int) string { return withUnit(q.In(u), u, decimals) }

// Text prints the quantity in u; see Pressure.Text.
func (q Flow) Text(u Unit, decimals int) string { return withUnit(q.In(u), u, decimals) }

// Text prints the quantity in u; see Pressure.Text.
func (q Area) Text(u Unit, decimals int) string { return withUnit(q.In(u), u, decimals) }

// Text prints the quantity in u; see Pressure.Text.
func (q Length) Text(u Unit, decimals int) string { return withUnit(q.In(u), u, decimals) }

// Text prints the quantity in u; see Pressure.Text.
func (q Volume) Text(u Unit, decimals int) string { return withUnit(q.In(u), u, decimals) }

// Text prints the quantity in u; see Pressure.Text.
func (q Temperature) Text(u Unit, decimals int) string { return withUnit(q.In(u), u, decimals) }

// Text prints the quantity in u; see Pressure.Text.
func (q TemperatureDifference) Text(u Unit, decimals int) string {
	return withUnit(q.In(u), u, decimals)
}

// Text prints the quantity in u; see Pressure.Text.
func (q Power) Text(u Unit, decimals int) string { return withUnit(q.In(u), u, decimals) }

// Text prints the quantity in u; see Pressure.Text.
func (q Time) Text(u Unit, decimals int) string { return withUnit(q.In(u), u, decimals) }

// Text prints the quantity in u; see Pressure.Text.
func (q Density) Text(u Unit, decimals int) string { return withUnit(q.In(u), u, decimals) }

// Text prints the quantity in u; see Pressure.Text.
func (q Ratio) Text(u Unit, decimals int) string { return withUnit(q.In(u), u, decimals) }

// Text prints the quantity in u; see Pressure.Text.
func (q Rate) Text(u Unit, decimals int) string { return withUnit(q.In(u), u, decimals) }

// Text prints the quantity in u; see Pressure.Text.
func (q ThermalResistance) Text(u Unit, decimals int) string { return withUnit(q.In(u), u, decimals) }

// Text prints the quantity in u; see Pressure.Text.
func (q SpecificFlow) Text(u Unit, decimals int) string { return withUnit(q.In(u), u, decimals) }

func withUnit(v float64, u Unit, decimals int) string {
	return Put(Fixed(v, decimals), u)
}

// In gives the estimate and the ends of its interval in u. The estimate knows
// only the type of its quantity, so u is taken on trust.
func (e Estimate[Q]) In(u Unit) (value, low, high float64) {
	return u.FromSI(float64(e.Value)), u.FromSI(float64(e.Low)), u.FromSI(float64(e.High))
}

// Format gives the estimate and the ends of its interval in u as text, all to
// the place that the interval carries: see FormatInterval.
func (e Estimate[Q]) Format(u Unit) (value, low, high string) {
	return FormatInterval(e.In(u))
}
