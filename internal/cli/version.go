package cli

import (
	"fmt"
	"runtime"
	"runtime/debug"

	"selvage/internal/check"
	"selvage/internal/study"
	"selvage/limit"
)

// versionVerb prints the version and runs the self-test.
type versionVerb struct{}

// Help is shown below the flags.
func (versionVerb) Help() string {
	return `
The self-test measures exact solids, whose sizes are known from their formulas, on this
machine with this copy of the program. If a line says WRONG, do not use this copy; the
exit code is then 1.`
}

// Run prints and tests.
func (versionVerb) Run(env Env) error {
	fmt.Fprintf(env.Stdout, "selvage %s\n", programVersion())
	fmt.Fprintf(env.Stdout, "built with %s for %s/%s\n", runtime.Version(), runtime.GOOS, runtime.GOARCH)
	fmt.Fprintf(env.Stdout, "limits %s\n\nself-test\n", limit.Default().Version())
	right := true
	for _, r := range study.SelfTest() {
		word := "right"
		if !r.Right() {
			word, right = "WRONG", false
		}
		fmt.Fprintf(env.Stdout, "  %-5s  %-44s %12.6g  want %.6g ± %.2g %s\n", word, r.What, r.Got, r.Want, r.Within, r.Unit)
	}
	if !right {
		return fmt.Errorf("the self-test found a wrong answer: do not use this copy of the program")
	}
	fmt.Fprintln(env.Stdout, "all right")
	return nil
}

// programVersion is the version that reports name, and the commit it was built from
// where the toolchain noted one.
func programVersion() string {
	v := check.Version
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				v += " (" + s.Value[:min(12, len(s.Value))] + ")"
			}
		}
	}
	return v
}
