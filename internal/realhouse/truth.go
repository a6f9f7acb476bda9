package realhouse

import "math"

// Truth is what a report of the house should say: flows at 50 Pa in cfm, in the air
// outdoors and without weather, by what they are of.
type Truth struct {
	Flow50    float64
	Paths     map[string]float64 // by both spaces, "house – attic"
	Exponents map[string]float64
	Fractions map[string]float64 // of a zone
	Through   map[string]float64
	Openings  map[string]float64 // by name
}

// Truth works it out.
func (h *House) Truth() (*Truth, error) {
	s, err := h.still()
	if err != nil {
		return nil, err
	}
	rho := h.rho[outdoors]
	t := &Truth{Flow50: -s.out(inside) / rho / cfm, Paths: map[string]float64{}, Exponents: map[string]float64{},
		Fractions: map[string]float64{}, Through: map[string]float64{}, Openings: map[string]float64{}}
	quarter := map[string]float64{}
	through := map[[2]int]float64{}
	for i := range s.leaks {
		l := &s.leaks[i]
		k := names[l.a] + " – " + names[l.b]
		t.Paths[k] += l.volume(rho, 50) / cfm
		quarter[k] += l.volume(rho, 12.5) / cfm
		m, _ := l.mass(s.p, s.rho)
		through[[2]int{l.a, l.b}] += math.Abs(m) / rho / cfm
	}
	for k, q := range t.Paths {
		t.Exponents[k] = math.Log(q/quarter[k]) / math.Log(4)
	}
	for _, z := range []int{attic, garage} {
		t.Fractions[names[z]] = s.p[z] / s.p[inside]
		t.Through[names[z]] = through[[2]int{inside, z}]
	}
	t.Openings["hatch"], t.Openings["door"] = h.hatch[0].volume(rho, 50)/cfm, h.door[0].volume(rho, 50)/cfm
	return t, nil
}

// volume is the flow in m³/s of air of density rho at a pressure difference.
func (l *leak) volume(rho, pascals float64) float64 {
	return l.c * math.Pow(standard/rho, 1-l.n) * math.Pow(pascals, l.n)
}
