package report

import (
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// quantities says in words what the keys of results mean.
var quantities = map[string]string{
	"flow_50":                   "flow at 50 Pa",
	"exponent":                  "flow exponent",
	"air_changes_50":            "air changes at 50 Pa",
	"flow_50_per_floor_area":    "flow at 50 Pa per floor area",
	"leak_area_4":               "leak area at 4 Pa",
	"leak_area_10":              "leak area at 10 Pa",
	"area_4":                    "leak area at 4 Pa",
	"flow_50_without":           "flow at 50 Pa without what does not fit",
	"flow_50_standard_air":      "flow at 50 Pa in standard air",
	"flow_now_50":               "flow with the house at 50 Pa",
	"to_house":                  "pressure to the house",
	"connection_fraction":       "connection fraction",
	"through_flow_50":           "through-flow at 50 Pa",
	"share_of_flow_50":          "share of flow at 50 Pa",
	"leak_ratio":                "house leak over outside leak",
	"leakage_outside_25":        "duct leakage to outside at 25 Pa",
	"leakage_total_25":          "total duct leakage at 25 Pa",
	"leakage_outside_50":        "leakage to outside at 50 Pa",
	"supply_leakage":            "supply leakage, running",
	"return_leakage":            "return leakage, running",
	"net_imbalance":             "net imbalance, running",
	"supply_leakage_share":      "supply leakage over air-handler flow",
	"return_leakage_share":      "return leakage over air-handler flow",
	"delivery_effectiveness":    "delivery effectiveness",
	"distribution_efficiency":   "distribution efficiency",
	"covered_pressure":          "duct pressure to the house, registers covered",
	"open_pressure":             "duct pressure to the house, registers open",
	"area":                      "area",
	"infiltration":              "infiltration",
	"required":                  "ventilation asked for",
	"fan":                       "fan flow that supplies it",
	"flow_50_per_envelope_area": "flow at 50 Pa per envelope area",
	"flow_50_exterior_only":     "flow at 50 Pa to outdoors alone (unit exterior only)",
	"flow_50_interior_only":     "flow at 50 Pa through the party walls (unit interior only)",
	"leakage_outside_25_share":  "leakage to outside at 25 Pa over air-handler flow",
	"net_change":                "change of pressure in the worst case",
	"air_handler_change":        "change of pressure by the air handler",
	"coefficient":               "flow coefficient",
}

// quantity is a key in words; a key that has none is shown without its
// underscores rather than hidden.
func quantity(key string) string {
	if w, ok := quantities[key]; ok {
		return w
	}
	return strings.ReplaceAll(key, "_", " ")
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// count is a number of things in words.
func count(n int, what string) string { return strconv.Itoa(n) + " " + plural(n, what, what+"s") }

func sentence(s string) string {
	_, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(s[:n]) + s[n:]
}

// joinWords joins what is not empty.
func joinWords(sep string, words ...string) string {
	return strings.Join(slices.DeleteFunc(slices.Clone(words), func(s string) bool { return s == "" }), sep)
}

func pressureName(of, to string) string {
	if to == "" {
		return of
	}
	return of + " to " + to
}
