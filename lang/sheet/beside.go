package sheet

import (
	"context"
	"fmt"
	"runtime"
	"sync"
)

// sideBySide does things by number, on all cores, until one fails or ctx ends, which is
// ErrEnded; done hears how many are done, one call at a time. Of several that fail the first
// by number is told, whatever came first by the clock.
func sideBySide(ctx context.Context, n int, do func(i int) error, done func(finished int)) error {
	failed := make([]error, n)
	next := make(chan int)
	over, end := context.WithCancel(ctx)
	defer end()
	var wg sync.WaitGroup
	var mu sync.Mutex
	finished := 0
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				if failed[i] = safely(i, do); failed[i] != nil {
					end()
					continue
				}
				mu.Lock()
				finished++
				done(finished)
				mu.Unlock()
			}
		}()
	}
	given := 0
	for ; given < n && over.Err() == nil; given++ {
		next <- given
	}
	close(next)
	wg.Wait()
	for _, err := range failed {
		if p, panicked := err.(*panicError); panicked {
			panic(p.what)
		}
		if err != nil {
			return err
		}
	}
	if given < n {
		return ErrEnded
	}
	return nil
}

// panicError is what a thing that was done side by side panicked with.
type panicError struct{ what any }

func (p *panicError) Error() string { return fmt.Sprint(p.what) }

func safely(i int, do func(i int) error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = &panicError{p}
		}
	}()
	return do(i)
}
