package survey

import (
	"holdbook/internal/sheet"
	"holdbook/zonal"
)

// Verdict is a word for how a space is joined, and up to where it holds: the share of
// the hold's pressure between the space and outdoors (the connection fraction, 0 outdoors
// and 1 indoors).
type Verdict struct {
	Word string
	Upto float64
}

// Verdicts are the words from outdoors to indoors. The outer two are the 2 Pa of a hold
// of 50 within which a reading only bounds the ratio of leaks; the quarters between are
// judgement.
var Verdicts = []Verdict{
	{"outdoors", float64(nearEnd / zonal.Reference)},
	{"nearly outdoors", 0.25},
	{"between", 0.75},
	{"nearly indoors", 1 - float64(nearEnd/zonal.Reference)},
	{"indoors", 1},
}

// DuctVerdicts are those of ducts whose registers stand open, which leave them near the
// house: what is missing of its pressure comes in from outdoors.
var DuctVerdicts = []Verdict{
	{"joined to outdoors, registers open", 1 - float64(nearEnd/zonal.Reference)},
	{"as the house, registers open", 1},
}

// verdictOf says in a word how a space is joined: in two, where its interval reaches from
// one to the other.
func verdictOf(kind sheet.Kind, fraction *Q) string {
	if fraction == nil {
		return ""
	}
	words := Verdicts
	if kind == sheet.DuctsKind {
		words = DuctVerdicts
	}
	low, high := verdictAt(words, fraction.Low), verdictAt(words, fraction.High)
	switch {
	case low == high:
		return words[low].Word
	case kind == sheet.DuctsKind:
		return words[verdictAt(words, fraction.Value)].Word
	case low+1 == high:
		return words[low].Word + " or " + words[high].Word
	}
	return "anything from " + words[low].Word + " to " + words[high].Word
}

func verdictAt(words []Verdict, fraction float64) int {
	for i, w := range words {
		if fraction <= w.Upto {
			return i
		}
	}
	return len(words) - 1
}
