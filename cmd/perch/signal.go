package main

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"syscall"

	"perch/parts/output"
)

// errStopped ends a verb that a signal stopped.
var errStopped = errors.New("stopped; nothing was written")

// until does what stages files, until it is done or Ctrl-C or SIGTERM comes: what is being
// moved into place by then gets there, and all else is dropped, which is errStopped. Where
// gently is given the first signal calls that, and only a second one stops.
func until(gently context.CancelFunc, do func()) error {
	signals := make(chan os.Signal, 2)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	defer signal.Stop(signals)
	done := make(chan struct{})
	go func() {
		defer close(done)
		do()
	}()
	for stop := false; !stop; {
		select {
		case <-done:
			return nil
		case <-signals:
		}
		if stop = gently == nil; !stop {
			gently()
			gently = nil
		}
	}
	if output.Abandon() { // it is about to be done
		<-done
		return nil
	}
	return errStopped
}
