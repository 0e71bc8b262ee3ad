package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"syscall"
)

// stream is standard output: the first error of writing to it is kept, so that no verb need
// look at every line it says, and what comes behind is dropped.
type stream struct {
	to  io.Writer
	err error
}

func (s *stream) Write(b []byte) (int, error) {
	if s.err != nil {
		return 0, s.err
	}
	n, err := s.to.Write(b)
	s.err = err
	return n, err
}

// ended tells what went wrong with writing, and returns the code to exit with. Whoever
// closed a pipe has read enough: that needs no telling.
func (s *stream) ended(code int, errs io.Writer) int {
	if s.err == nil {
		return code
	}
	if !errors.Is(s.err, syscall.EPIPE) {
		err := s.err
		var p *os.PathError
		if errors.As(err, &p) {
			err = p.Err
		}
		fmt.Fprintf(errs, "perch: cannot write to standard output: %v\n", err)
	}
	return exitTrouble
}

// terminal tells whether a stream is one.
func terminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	st, err := f.Stat()
	return err == nil && st.Mode()&os.ModeCharDevice != 0
}
