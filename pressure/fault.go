package pressure

import "strings"

// Fault says what is wrong with a reading or a result. As an error it stops the
// computation; in a list of warnings it goes with a usable result. All physics packages
// use it.
type Fault struct {
	Reading string // which reading, or which test and hold: "covered-register pressure"; "" where What names it
	What    string // what is wrong with it: "flow of hold 2 is 0"
	Why     string // why that cannot be used, or what it puts in doubt; "" where What says it
	Do      string // what cures it
	Kind    error  // the sort of fault, for errors.Is; nil where a package knows one sort only
}

// Error joins what is said into one line: "reading: what: why; do".
func (f *Fault) Error() string {
	said := make([]string, 0, 3)
	for _, part := range []string{f.Reading, f.What, f.Why} {
		if part != "" {
			said = append(said, part)
		}
	}
	return strings.Join(said, ": ") + "; " + f.Do
}

// Unwrap returns the sort of fault.
func (f *Fault) Unwrap() error { return f.Kind }
