package output

import (
	"errors"
	"io/fs"
	"os"
)

// disk is all that changes files from staging to commit, so that a test can have each
// change fail, or the program end there.
type disk struct {
	temp   func(dir, prefix string) (string, error) // makes a folder of a name of its own
	mkdir  func(dir string) error                   // with those above it
	write  func(file string, data []byte) error
	rename func(from, to string) error
	remove func(file string) error // a folder only where it is empty
	clear  func(dir string) error  // with all that is in it
}

var machine = disk{
	temp:   os.MkdirTemp,
	mkdir:  func(dir string) error { return os.MkdirAll(dir, 0o777) },
	write:  func(file string, data []byte) error { return os.WriteFile(file, data, 0o666) },
	rename: os.Rename,
	remove: os.Remove,
	clear:  os.RemoveAll,
}

// exists tells whether anything stands at a path, a link that leads nowhere too.
func exists(name string) bool {
	_, err := os.Lstat(name)
	return !errors.Is(err, fs.ErrNotExist)
}
