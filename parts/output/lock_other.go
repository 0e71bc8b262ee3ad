//go:build !unix

package output

import "errors"

// lock is never held where folders can't be locked.
type lock struct{}

var (
	errTaken   = errors.New("somebody else holds the lock")
	errNoLocks = errors.New("nothing can be locked here")
)

func tryLock(string) (*lock, error) { return nil, errNoLocks }

func (*lock) release() {}

func takeTurn(string) (*lock, error) { return nil, nil }
