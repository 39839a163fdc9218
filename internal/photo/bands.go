package photo

import (
	"runtime"
	"sync"
)

// inBands splits rows 0..n-1 into one band a processor and waits for all.
// The result doesn't depend on how many bands there are.
func inBands(n int, work func(y0, y1 int)) {
	bands := min(runtime.GOMAXPROCS(0), max(1, n/16))
	if bands == 1 {
		work(0, n)
		return
	}
	var wg sync.WaitGroup
	for i := range bands {
		wg.Go(func() { work(i*n/bands, (i+1)*n/bands) })
	}
	wg.Wait()
}
