package hpxml

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbook/internal/advise"
	"holdbook/internal/report"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
)

// node is an element of a document as a reader finds it.
type node struct {
	XMLName  xml.Name
	Attrs    []xml.Attr `xml:",any,attr"`
	Text     string     `xml:",chardata"`
	Children []*node    `xml:",any"`
}

// attr is an attribute, "" for none.
func (n *node) attr(name string) string {
	for _, a := range n.Attrs {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// all are the elements that a path of names leads to; * stands for any.
func (n *node) all(path string) []*node {
	found := []*node{n}
	for name := range strings.SplitSeq(path, "/") {
		var next []*node
		for _, f := range found {
			for _, c := range f.Children {
				if name == "*" || c.XMLName.Local == name {
					next = append(next, c)
				}
			}
		}
		found = next
	}
	return found
}

// one is the text of the first element at a path.
func (n *node) one(t *testing.T, path string) string {
	t.Helper()
	found := n.all(path)
	require.NotEmpty(t, found, path)
	return strings.TrimSpace(found[0].Text)
}

// each calls f for every element with the names that lead to it.
func (n *node) each(f func(path []string, n *node), path ...string) {
	path = append(path, n.XMLName.Local)
	f(path, n)
	for _, c := range n.Children {
		c.each(f, path[:len(path):len(path)]...)
	}
}

var made = report.Options{Version: "v1.2.3", Created: time.Date(2026, 3, 14, 15, 9, 26, 0, time.FixedZone("", 3600))}

func parsed(t *testing.T, text []byte) *node {
	t.Helper()
	n := &node{}
	require.NoError(t, xml.Unmarshal(text, n))
	return n
}

// documentOf is the document of findings.
func documentOf(t *testing.T, f *survey.Findings) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, report.Write(&b, f, report.HPXML, made))
	return b.Bytes()
}

// golden are the findings kept of a sheet; those of the demonstration are kept here, where
// tests change them.
func golden(t *testing.T, name string) *survey.Findings {
	t.Helper()
	if name == "demo" {
		return readFindings(t, filepath.Join("testdata", "demo.json"))
	}
	return readFindings(t, filepath.Join("..", "..", "..", "testdata", "golden", name+".json"))
}

func readFindings(t *testing.T, path string) *survey.Findings {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	f := &survey.Findings{}
	require.NoError(t, json.Unmarshal(text, f))
	return f
}

var surveys = map[string]*survey.Findings{}

// surveyed are the findings of a sheet, its intervals from curvature; each sheet is
// worked out once.
func surveyed(t *testing.T, text string) *survey.Findings {
	t.Helper()
	if f := surveys[text]; f != nil {
		again := *f
		return &again
	}
	s, err := sheet.Parse([]byte("sheet = 1\n"+text), "test.toml")
	require.NoError(t, err)
	f, err := survey.Run(s, survey.Options{CurvatureOnly: true})
	require.NoError(t, err)
	surveys[text] = f
	again := *f
	return &again
}

// invented is a comparison with everything in it.
func invented() *advise.ComparePlan {
	flow := func(value, low, high float64) *survey.Q {
		return &survey.Q{Value: value, Low: low, High: high, Unit: units.CFM}
	}
	return &advise.ComparePlan{Compare: 1, Before: survey.Job{Name: "Quillet Way 7", Date: "2026-03-14"}, After: survey.Job{Date: "2026-04-02"},
		House: advise.ChangeLine{Between: [2]string{"house", "whole"}, Before: flow(1868, 1791, 1946), After: flow(1490, 1430, 1550), Fall: flow(378, 310, 450), Real: true, Text: "tighter"},
		Paths: []advise.ChangeLine{
			{Between: [2]string{"house", "attic"}, Before: flow(426, 300, 575), After: flow(40, 8, 90), Fall: flow(386, 250, 540), Real: true, Text: "tighter"},
			{Between: [2]string{"house", "ducts"}, Covered: true, Before: flow(44, 34, 55), After: flow(44.5, 35, 56), Fall: flow(-0.5, -9, 8), Text: "no change that the readings can tell"},
		},
		Promise: &advise.PromiseCheck{Of: "house–attic", Fraction: 0.9, Drop50: flow(350, 240, 480), Came: flow(378, 310, 450), Over: flow(28, -90, 140),
			Share: &survey.Q{Value: 1.08, Low: 0.8, High: 1.5, Unit: units.One}, Verdict: "as promised, within what both tests can tell"},
		Notices: []survey.Notice{{Level: survey.Danger, Text: "test for spillage"}}, Status: "converged"}
}

// compared is the document of a comparison.
func compared(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, WriteComparison(&b, []*advise.ComparePlan{invented(), invented()}, []*survey.Findings{golden(t, "demo"), golden(t, "tour-after"), golden(t, "tour-house")}, made))
	return b.Bytes()
}

// allKinds is a sheet, invented, with a zone of each kind and what the others lack.
const allKinds = `
[job]
hold = "pressurised"
wind = "breezy from the west"
date = 2026-05-04
[house]
volume = "400 m3"
floor_area = "150 m2"
altitude = "-3 m"
indoor = "24 C"
outdoor = "35 C"
exterior_share = 0.8
[[zone]]
name = "attic"
floor_area = "80 m2"
vented = false
[[zone]]
name = "crawlspace"
vented = true
[[zone]]
name = "basement"
[[zone]]
name = "kneewall"
touches = ["house", "attic", "outside"]
[[zone]]
name = "porch"
[[zone]]
name = "neighbour"
[[zone]]
name = "garage"
vented = true
[[zone]]
name = "ducts"
touches = ["house", "attic"]
[[path]]
between = ["house", "attic"]
hours = 2.5
[[hold]]
house = "50 Pa"
fan = "2000 cfm"
to_house = { attic = "-44 Pa", crawlspace = "-40 Pa", basement = "-9 Pa", kneewall = "-30 Pa", porch = "-48 Pa", neighbour = "-46 Pa", garage = "-47 Pa", ducts = "-3 Pa" }
[air_handler]
flow = "1000 cfm"
output = "-9 kW"
sensible = 0.75
supply_pressure = "60 Pa"
return_pressure = "-90 Pa"
[[duct_test]]
name = "tester"
method = "outside"
side = "supply"
pressure = "25 Pa"
flow = "60 cfm"
[[duct_test]]
method = "outside"
side = "return"
pressure = "25 Pa"
flow = "40 cfm"
[[duct]]
side = "supply"
location = "attic"
area = "30 m2"
[[duct]]
side = "return"
location = "attic"
area = "8 m2"
[ventilation]
flow = "30 L/s"
balanced = true
`

// documents are one of each sort.
func documents(t *testing.T) map[string][]byte {
	t.Helper()
	all := map[string][]byte{"compared": compared(t), "nothing": documentOf(t, &survey.Findings{Results: 1}),
		"pressures alone": documentOf(t, surveyed(t, "[[hold]]\nhouse = \"50 Pa\"\nto_house = { attic = \"44 Pa\" }\n")),
		"all kinds":       documentOf(t, surveyed(t, allKinds))}
	for _, name := range []string{"demo", "sheets-full", "sheets-coupled", "sheets-shortest", "good-house05", "good-house18", "tour-house"} {
		all[name] = documentOf(t, golden(t, name))
	}
	return all
}
