package output

import "os"

// disk is all that changes files from staging to commit, so that a test can have each
// change fail.
type disk struct {
	mkdir  func(dir string) error // with those above it
	write  func(file string, data []byte) error
	rename func(from, to string) error
	remove func(file string) error
	clear  func(dir string) error // with all that is in it
}

var machine = disk{
	mkdir:  func(dir string) error { return os.MkdirAll(dir, 0o777) },
	write:  func(file string, data []byte) error { return os.WriteFile(file, data, 0o666) },
	rename: os.Rename,
	remove: os.Remove,
	clear:  os.RemoveAll,
}
