package survey

// Level is how much a notice matters.
type Level string

// The levels of a notice.
const (
	Note    Level = "note"
	Warning Level = "warning"
	Danger  Level = "danger"
)

// Notice is something the reader must know that is not a number.
type Notice struct {
	Level Level  `json:"level" jsonschema:"enum=note,enum=warning,enum=danger"`
	About string `json:"about,omitempty"` // "hold 2, attic"
	Text  string `json:"text" jsonschema:"minLength=1"`
	// Background is what changes nothing that the reader does: how a reading was taken,
	// what a method of comparison assumes.
	Background bool `json:"background,omitempty"`
}

// Method says how the intervals came about.
type Method struct {
	Intervals string  `json:"intervals"` // curvature or sampled
	Status    string  `json:"status"`    // converged, or what is wrong
	Effective float64 `json:"effective_samples,omitempty"`
	// Widened is the factor by which errors of readings were taken larger than stated, since
	// the readings contradict each other and none is to blame.
	Widened float64 `json:"widened_by,omitempty"`
	Seed    string  `json:"seed,omitempty"`
}

// WorkingStep is one formula with the reader's own numbers in it.
type WorkingStep struct {
	About   string `json:"about"`
	Formula string `json:"formula"`
	Numbers string `json:"numbers"` // the same with numbers
	Source  string `json:"source"`
}
