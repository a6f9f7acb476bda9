package sheet

import (
	"reflect"
	"strings"
)

// typeWords says what a value is, by the type of its field where its kind has no name of
// its own.
var typeWords = map[reflect.Type]string{
	reflect.TypeFor[Pressure](): "pressure", reflect.TypeFor[Flow](): "flow", reflect.TypeFor[Area](): "area", reflect.TypeFor[Length](): "length",
	reflect.TypeFor[Volume](): "volume", reflect.TypeFor[Temperature](): "temperature", reflect.TypeFor[Power](): "power", reflect.TypeFor[Insulance](): "thermal resistance",
	reflect.TypeFor[DegreeDays](): "degree days", reflect.TypeFor[Speed](): "speed", reflect.TypeFor[PPM](): "concentration", reflect.TypeFor[Number](): "number", reflect.TypeFor[Text](): "text",
	reflect.TypeFor[Flag](): "true or false", reflect.TypeFor[SpaceRef](): "space", reflect.TypeFor[[]SpaceRef](): "spaces", reflect.TypeFor[Pair](): "two spaces",
	reflect.TypeFor[Target](): "flow, or air changes", reflect.TypeFor[Leaf](): "two lengths", reflect.TypeFor[Tolerance](): "share, or pressure", reflect.TypeFor[Price](): "price", reflect.TypeFor[Amount](): "quantity",
}

// kindWordsOf are better words for kinds whose names serve the tags.
var kindWordsOf = map[string]string{"note": "text", "hole": "area", "share": "percent", "rows": "two row numbers", "version": "number",
	"samples of the reading": "pressures or flows", "error of the reading": "pressure, or share of a flow"}

// Type says what a value of the key is, in words.
func (k *Key) Type() string {
	switch {
	case k.inner != nil && k.Max > 0:
		return "tables"
	case k.inner != nil:
		return "table"
	case strings.HasPrefix(k.Name, "to_"):
		return "pressures by zone"
	case len(k.Words) > 0 && k.kind.form == listForm:
		return "list of " + listed(k.Words)
	case len(k.Words) > 0:
		return "one of " + listed(k.Words)
	}
	word := k.kind.name
	if better, ok := kindWordsOf[word]; ok {
		word = better
	} else if word == "" {
		word = typeWords[k.kind.of]
	}
	switch {
	case k.instead != "":
		return "list of samples"
	case k.often:
		return word + ", or samples"
	}
	return word
}
