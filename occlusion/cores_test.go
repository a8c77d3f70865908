package occlusion

import (
	"reflect"
	"runtime"
	"testing"

	"selvage/bvh"
	"selvage/r3"
)

// The number of cores must not reach a result.
func TestCoresDoNotMatter(t *testing.T) {
	w, o, rec := closure(0.25, 0.01)
	prep, margin := die(0.15, flat)
	run := func(cores int) (Result, ClearanceResult) {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		opposing := ball(r3.V(0.7, -0.4, 8), 3, 0.9, 0.15)
		return Judge(Input{Working: w, Opposing: o, Record: &rec, Up: up, Tooth: r3.V(4, 0, 5), Radius: 4}),
			Clear(ClearanceInput{Prep: prep, Margin: margin, Axis: up, Opposing: bvh.Build(opposing), Holding: r3.V(1, 0, 0)})
	}
	bite, room := run(1)
	for _, cores := range []int{2, 3, 8} {
		b, r := run(cores)
		if !reflect.DeepEqual(bite, b) || !reflect.DeepEqual(room, r) {
			t.Errorf("%d cores give another result than one", cores)
		}
	}
}
