package realhouse

import (
	"fmt"
	"math"
	"strings"
)

// hold is one state that a crew reads in every house.
type hold struct {
	name, opened string
	target       float64
	open         []leak
}

func (h *House) holds() []hold {
	return []hold{
		{name: "as found", target: -50},
		{name: "as found, half", target: -25},
		{name: "hatch", target: -50, open: h.hatch, opened: `{ between = ["house", "attic"], name = "hatch" }`},
		{name: "door", target: -50, open: h.door, opened: `{ between = ["house", "garage"], name = "door" }`},
	}
}

const (
	readingNoise  = 0.35 // Pa, of an averaged reading in a hold
	baselineNoise = 0.15
	flowNoise     = 0.01
)

// Sheet is what the crew writes down.
func (h *House) Sheet() (string, error) {
	var b strings.Builder
	b.WriteString("sheet = 1\n[job]\nunits = \"ip\"\ninvented = true\n")
	if h.f.Said != "" {
		fmt.Fprintf(&b, "wind = %q\n", h.f.Said)
	}
	fmt.Fprintf(&b, "[house]\nheight = \"%.2f m\"\nstoreys = %d\n", h.height, h.f.Storeys)
	if h.f.Temperatures {
		fmt.Fprintf(&b, "indoor = \"%.1f C\"\noutdoor = \"%.1f C\"\n", h.celsius[inside], h.celsius[outdoors])
	}
	b.WriteString("[[zone]]\nname = \"attic\"\nkind = \"attic\"\n[[zone]]\nname = \"garage\"\nkind = \"garage\"\n")
	rest, err := h.at(0, nil)
	if err != nil {
		return "", err
	}
	base := [spaces]string{}
	for _, i := range []int{inside, attic, garage} {
		base[i] = h.shown(rest, i, baselineNoise)
	}
	for _, x := range h.holds() {
		if err := h.write(&b, x, base); err != nil {
			return "", err
		}
	}
	return b.String(), nil
}

func (h *House) shown(s *state, of int, noise float64) string {
	return fmt.Sprintf("%.1f Pa", h.gauge(s, of)+h.zero+noise*h.r.NormFloat64())
}

func (h *House) write(b *strings.Builder, x hold, base [spaces]string) error {
	s, err := h.at(x.target, x.open)
	if err != nil {
		return err
	}
	flow := -s.out(inside) / h.rho[inside] * h.fan * math.Exp(flowNoise*h.r.NormFloat64())
	fmt.Fprintf(b, "[[hold]]\nname = %q\n", x.name)
	if h.f.Baselines >= HouseBaseline {
		fmt.Fprintf(b, "baseline = %q\n", base[inside])
	}
	fmt.Fprintf(b, "house = %q\nfan = \"%.0f cfm\"\n", h.shown(s, inside, readingNoise), flow/cfm)
	if x.opened != "" {
		fmt.Fprintf(b, "opened = [%s]\n", x.opened)
	}
	b.WriteString("readings = [\n")
	for _, z := range []int{attic, garage} {
		fmt.Fprintf(b, "  { of = %q, to = \"house\", pressure = %q", names[z], h.shown(s, z, readingNoise))
		if h.f.Baselines == AllBaselines {
			fmt.Fprintf(b, ", baseline = %q", base[z])
		}
		b.WriteString(" },\n")
	}
	b.WriteString("]\n")
	return nil
}
