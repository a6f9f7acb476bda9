// Package hpxml writes findings as HPXML, the data standard of home performance
// (ANSI/BPI-2100 and 2200), for programs that take a house from it. Where the standard
// has no element, an extension in a namespace of our own holds the number with its
// interval. Numbers are those of the JSON, in the standard's units: cfm, Pa, in², ft, °F.
//
// A program that imports the package can write report.HPXML.
package hpxml

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"time"

	"holdbook/internal/advise"
	"holdbook/internal/report"
	"holdbook/internal/survey"
	"holdbook/units"
)

// The release of the standard that is written: another one is another pair.
const (
	namespace     = "http://hpxmlonline.com/2023/09"
	schemaVersion = "4.2"
)

const program = "holdbook"

// Mark stands near the begin of every document of the standard, and of nothing else.
const Mark = "<HPXML "

// The events that a building was looked at in.
const (
	audit     = "audit"
	finalTest = "job completion testing/final inspection"
)

// about says, to a reader of the document alone, what our numbers are.
const about = "Elements of the namespace urn:holdbook:1 hold what the standard has no element for. " +
	"value: median; low and high: ends of the central interval of level percent. " +
	"A value is left out where the readings only bound it; bound says which of the ends they tell. AirLeakage, Size, FlowNow, ThroughFlow and Fall: air through the leaks with the house at 50 Pa. " +
	"FanAfter and FanAtStep: what the gauge of the door fan shows then, this leak alone sealed, or all up to this step. " +
	"Of ducts: at 25 Pa where the units of the standard say so, else with the air handler running; Infiltration and Required: the mean of a year. " +
	"Exponent: with assumed, no reading tells it, and areas at 4 and 10 Pa rest on it. " +
	"PressureToHouse: of the zone less that of the house, as found, the house held at 50 Pa. ConnectionFraction: 0 the zone is outdoors, 1 it is indoors. " +
	"NetChange: of a combustion space, its lowest pressure to outside less its baseline, as it was read; no finding here passes an appliance. " +
	"SealFirst: leaks in the best order of sealing them, proposed and not done; so are the AirSealing elements it names. " +
	"With health, a leak comes first whatever its size, for it may carry the fumes of a garage; the others by their fall, or by FallPerHour where hours are known. chanceFirst: that no other single leak saves more."

func init() { report.Register(report.HPXML, write) }

// write is the document of one house.
func write(b *bytes.Buffer, f *survey.Findings, o report.Options) error {
	house, err := newBuilding(f, "", audit)
	if err != nil {
		return err
	}
	return encode(b, newDocument(o, *house))
}

// WriteComparison writes the findings of visits to one house, as a building each, and
// what changed from each to the next, as projects. Numbers of the buildings are those of
// their own reports; a project's are estimated from both visits together. The first
// visit counts as the audit, the others as tests of what was done.
func WriteComparison(w io.Writer, plans []*advise.ComparePlan, visits []*survey.Findings, o report.Options) error {
	if len(visits) != len(plans)+1 {
		return fmt.Errorf("%d comparisons of %d visits", len(plans), len(visits))
	}
	d, event := newDocument(o), audit
	for i, f := range visits {
		b, err := newBuilding(f, fmt.Sprintf("visit-%d-", i+1), event)
		if err != nil {
			return err
		}
		d.Buildings, event = append(d.Buildings, *b), finalTest
	}
	for i, p := range plans {
		x, err := newProject(p, i+1, d.Buildings[i].ID, d.Buildings[i+1].ID)
		if err != nil {
			return err
		}
		d.Projects = append(d.Projects, *x)
	}
	var text bytes.Buffer
	if err := encode(&text, d); err != nil {
		return err
	}
	_, err := w.Write(text.Bytes())
	return err
}

func newDocument(o report.Options, buildings ...building) *document {
	created := o.Created
	if created.IsZero() {
		created = time.Now()
	}
	return &document{Namespace: namespace, SchemaVersion: schemaVersion,
		Header: header{Type: "HPXML", GeneratedBy: program, Created: created.UTC().Format(time.RFC3339), Transaction: "create"},
		Software: software{Program: program, Version: o.Version,
			Extension: &extension{own{About: about}}},
		Buildings: buildings}
}

// encode writes the document with its declaration.
func encode(b *bytes.Buffer, d *document) error {
	b.WriteString(xml.Header)
	e := xml.NewEncoder(b)
	e.Indent("", "  ")
	if err := e.Encode(d); err != nil {
		return err
	}
	b.WriteByte('\n')
	return nil
}

// inStandardUnits is a copy of the findings in the units of the standard, with texts of
// one line.
func inStandardUnits(f *survey.Findings) (*survey.Findings, error) {
	if f != nil {
		other := *f
		other.Job.Units = units.IP.String()
		f = &other
	}
	return report.Printed(f)
}
