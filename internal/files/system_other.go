//go:build !unix

package files

import (
	"io/fs"
	"os"
)

// NoWait is no flag here: nothing but plain files is opened by a name.
const NoWait = 0

const removedOnlyClosed = true

// Links is how many names a file has, as far as this system tells.
func Links(fs.FileInfo) int { return 1 }

// keepOwner leaves the owner to the system.
func keepOwner(*os.File, fs.FileInfo) {}
