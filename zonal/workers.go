package zonal

import (
	"runtime"
	"sync"
)

// workers is how many goroutines work at a time.
type workers int

// workersOf is what an option asks for: one a processor where it does not say.
func workersOf(option int) workers {
	if option <= 0 {
		return workers(runtime.GOMAXPROCS(0))
	}
	return workers(option)
}

// each runs jobs 0 to n−1 on the workers; each job writes only what is its own.
func (w workers) each(n int, job func(i int)) {
	var wg sync.WaitGroup
	stride := min(int(w), n)
	for first := range stride {
		wg.Go(func() {
			for i := first; i < n; i += stride {
				job(i)
			}
		})
	}
	wg.Wait()
}
