package command

import (
	"fmt"
	"runtime"
	"runtime/debug"
)

// printVersion tells what was built, from what the toolchain wrote into the
// program.
func (p *program) printVersion() error {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		info = &debug.BuildInfo{}
	}
	_, err := fmt.Fprintln(p.out, versionLine(info))
	return err
}

// versionOf is the module's version.
func versionOf(info *debug.BuildInfo) string {
	if info == nil || info.Main.Version == "" || info.Main.Version == "(devel)" {
		return "unreleased"
	}
	return info.Main.Version
}

// versionLine is the version in one line: the module's version, the revision
// where the module was built from a checkout, the toolchain and the platform.
func versionLine(info *debug.BuildInfo) string {
	revision, changed := "", ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision" && len(s.Value) >= 12:
			revision = ", revision " + s.Value[:12]
		case s.Key == "vcs.modified" && s.Value == "true":
			changed = ", with changes"
		}
	}
	return fmt.Sprintf("%s %s%s%s (%s, %s/%s)", Name, versionOf(info), revision, changed, runtime.Version(), runtime.GOOS, runtime.GOARCH)
}
