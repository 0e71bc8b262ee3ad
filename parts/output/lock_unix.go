//go:build unix

package output

import (
	"errors"
	"fmt"
	"os"
	"syscall"
	"time"
)

// lock is held on a folder, until it is released or the program ends, however it ends.
type lock struct{ folder *os.File }

var (
	errTaken   = errors.New("somebody else holds the lock")
	errNoLocks = errors.New("nothing can be locked here") // on some network file systems
)

// tryLock locks a folder, or returns one of the two.
func tryLock(dir string) (*lock, error) {
	f, err := os.Open(dir)
	if err != nil {
		return nil, err
	}
	for {
		err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if !errors.Is(err, syscall.EINTR) {
			break
		}
	}
	switch {
	case err == nil:
		return &lock{f}, nil
	case errors.Is(err, syscall.EWOULDBLOCK):
		err = errTaken
	default:
		err = errNoLocks
	}
	f.Close()
	return nil, err
}

func (l *lock) release() {
	if l != nil {
		l.folder.Close()
	}
}

// patience is how long another run may take to put its files into a folder.
const patience = 20 * time.Second

// takeTurn waits until no other run begins or ends a stage in the folder. Where nothing can be
// locked it does not wait.
func takeTurn(dir string) (*lock, error) {
	for end := time.Now().Add(patience); ; time.Sleep(20 * time.Millisecond) {
		l, err := tryLock(dir)
		if errors.Is(err, errTaken) && time.Now().Before(end) {
			continue
		}
		if errors.Is(err, errNoLocks) {
			return nil, nil
		}
		if errors.Is(err, errTaken) {
			return nil, fmt.Errorf("another run of perch has been putting files there for %v", patience)
		}
		return l, err
	}
}
