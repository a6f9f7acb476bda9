package walk

import (
	"fmt"
	"strings"

	"holdbook/internal/sheet"
)

// A second fan stands in the record of its hold until its flow is read, for the sheet takes
// no fan without one.

// fanWord is what such a record starts with: "fan garage to outside".
const fanWord = "fan "

// secondFanName is the name that second fans have in the sheet: they share a calibration.
const secondFanName = "second fan"

// fansOf are the second fans of a hold, from where to where each blows: those of its record,
// or those that the sheet has.
func (v visit) fansOf(record string) (list [][2]string) {
	for _, part := range strings.Split(record, "; ") {
		if pair, ok := strings.CutPrefix(part, fanWord); ok {
			list = append(list, v.pairs(pair)...)
		}
	}
	return list
}

// secondFanRow reads the flow of a second fan.
var secondFanRow = row{step: "fan {of} to {to}", inHold: true, ask: "{hold}: flow of the second fan, {of} to {to} ({unit})",
	kind: secondFanKind(), help: []string{"house at its pressure and the second fan as the hold wants it, both read at once; such as 410"}}

func secondFanKind() kind {
	k := flows.reading(func(sc scene) sheet.Flow { return sc.secondFan().Flow }, scene.addSecondFan)
	k.withdraw = func(sc scene) []change {
		if f := sc.secondFan(); f.Flow.Given && f.Pos.Line == f.Flow.Pos.Line && sc.ownLine(f) {
			return []change{commentOut(f.Flow.Pos.Line, sc.stamp()+" withdrawn, was")}
		}
		return nil
	}
	return k
}

// secondFan is the one between the two spaces that the hold has.
func (sc scene) secondFan() sheet.Fan {
	for _, f := range sc.hold.values().Fans {
		if f.From.Name == sc.pair[0] && f.To.Name == sc.pair[1] {
			return f
		}
	}
	return sheet.Fan{}
}

// ownLine tells whether a fan is alone on its line, which can then be taken out.
func (sc scene) ownLine(f sheet.Fan) bool {
	n := 0
	for _, other := range sc.hold.values().Fans {
		if other.Pos.Line == f.Pos.Line {
			n++
		}
	}
	return n == 1
}

// addSecondFan puts a second fan with its flow into a hold.
func (sc scene) addSecondFan(text string) []change {
	entry := fmt.Sprintf("{ name = %s, from = %s, to = %s, flow = %s }", sheet.StringText(secondFanName), sheet.StringText(sc.pair[0]), sheet.StringText(sc.pair[1]), text)
	var list []change
	for _, f := range sc.hold.values().Fans {
		list = append(list, inBraces(f.Pos, entry))
	}
	return append(list, sc.add(sc.hold, "fans = [ "+entry+" ]")...)
}

// commentOut makes a comment of a line.
func commentOut(line int, why string) change {
	return func(old []byte) []byte {
		from, to := start(old, line), start(old, line+1)
		return append(append(append([]byte{}, old[:from]...), remark(old, line, why)...), old[to:]...)
	}
}
