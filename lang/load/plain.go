package load

import (
	"errors"
	"io/fs"
	"os"
)

// ErrNotPlain is of what can't be read to an end, or may never answer.
var ErrNotPlain = errors.New("it is not a plain file")

// Plain reads a file, also through a link. A folder, a device or a named pipe, at which
// reading might wait for ever, is refused unopened.
func Plain(name string) (string, error) {
	st, err := os.Stat(name)
	if err == nil {
		err = plain(st)
	}
	if err != nil {
		return "", bare(err)
	}
	f, err := os.Open(name)
	if err != nil {
		return "", bare(err)
	}
	defer f.Close()
	return limited(f)
}

func plain(st fs.FileInfo) error {
	switch {
	case st.IsDir():
		return errors.New("it is a folder")
	case !st.Mode().IsRegular():
		return ErrNotPlain
	}
	return nil
}
