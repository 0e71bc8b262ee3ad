package editor_test

import (
	"log"
	"testing"
)

// failures makes every line that the service logs a failure of the test.
type failures struct{ t testing.TB }

func (f *failures) logger() *log.Logger { return log.New(f, "", 0) }

func (f *failures) Write(p []byte) (int, error) {
	f.t.Errorf("the service logged: %s", p)
	return len(p), nil
}
