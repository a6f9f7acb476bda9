package walk

import (
	"fmt"

	"holdbook/units"
)

// longestName is how much of a file's name is shown: all of it, to be typed.
const longestName = 1000

// standing says whether what was answered before is in the sheet.
func (w *Walk) standing() string {
	switch missing, err := w.book.Missing(); {
	case err != nil:
		return "The sheet is no longer what this walk wrote: " + problemText(err) + ". Write keep to have all that stood in it in another file and go on there."
	case missing > 0:
		return lacking(missing)
	}
	return "Everything before it is in the sheet."
}

// lacking says that lines are gone from the sheet.
func lacking(lines int) string {
	return fmt.Sprintf("The sheet was changed by another program, and %d of the lines that stood in it are not there any more; write keep to have it in another file as it was.", lines)
}

// keep writes the sheet as it was to another file; false when nothing of it is gone.
func (w *Walk) keep() (Reply, bool) {
	missing, err := w.book.Missing()
	if err == nil && missing == 0 && !w.lacks {
		return Reply{}, false
	}
	name, failed := w.book.Keep()
	switch {
	case failed != nil:
		return refused("that could not be kept: %s", problemText(failed)), true
	case err == nil:
		w.lacks = false
		return refused("the sheet as it was is in %s; this walk goes on in the one that is there now", units.SanitizeTo(name, longestName)), true
	}
	return refused("all that stood in the sheet is in %s, and this walk goes on there", units.SanitizeTo(name, longestName)), true
}

// Rescue writes the sheet as it was to another file where it is no good one any
// more; name is empty where it is. For whoever leaves a walk.
func (w *Walk) Rescue() (name string, why, err error) {
	if _, why = w.book.Missing(); why == nil {
		return "", nil, nil
	}
	name, err = w.book.Keep()
	return name, why, err
}

// File is the name of the sheet that the walk writes to.
func (w *Walk) File() string { return w.book.Sheet().File }
