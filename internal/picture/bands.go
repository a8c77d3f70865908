package picture

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// inBands calls f for consecutive ranges [lo, hi) of at most size rows that
// together cover [0, n), on as many cores as there are. f must write only to
// slots that its range owns; then the outcome does not depend on the number of
// cores or on which band is done first.
func inBands(n, size int, f func(band, lo, hi int)) {
	count := (n + size - 1) / size
	workers := min(runtime.GOMAXPROCS(0), count)
	if workers <= 1 {
		for b := range count {
			f(b, b*size, min((b+1)*size, n))
		}
		return
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			for b := int(next.Add(1)) - 1; b < count; b = int(next.Add(1)) - 1 {
				f(b, b*size, min((b+1)*size, n))
			}
		})
	}
	wg.Wait()
}
