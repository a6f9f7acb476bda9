package survey

import (
	"fmt"

	"holdbook/pressure"
)

// Log takes what the parts of the findings have to say beside their numbers: notices,
// and the lines of working where they are asked for.
type Log struct {
	Notices []Notice
	Working []WorkingStep

	working bool
	seen    map[Notice]bool
}

// NewLog is an empty log. It keeps lines of working where working is true.
func NewLog(working bool) *Log { return &Log{working: working, seen: map[Notice]bool{}} }

// Notice adds something the reader must know, once.
func (log *Log) Notice(level Level, about, format string, args ...any) {
	log.add(Notice{Level: level, About: about, Text: fmt.Sprintf(format, args...)})
}

// Background adds a note that changes nothing that the reader does.
func (log *Log) Background(about, format string, args ...any) {
	log.add(Notice{Level: Note, About: about, Text: fmt.Sprintf(format, args...), Background: true})
}

func (log *Log) add(n Notice) {
	if !log.seen[n] {
		log.seen[n] = true
		log.Notices = append(log.Notices, n)
	}
}

// problem adds warnings that the physics gives.
func (log *Log) problem(about string, list ...*pressure.Fault) {
	for _, p := range list {
		if p != nil {
			log.Notice(Warning, about, "%s", p.Error())
		}
	}
}

// worked adds lines of working, if they were asked for.
func (log *Log) worked(about string, lines ...pressure.Worked) {
	for _, w := range lines {
		if log.working && w.Formula != "" {
			log.Working = append(log.Working, WorkingStep{about, w.Formula, w.Numbers, w.Source})
		}
	}
}
