package output

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"slices"
	"strings"
)

// ListFile stands in every folder that is written to and names what was written there.
// It has the form that sha256sum --check reads: a line of a hash, two spaces and a name
// for each file, sorted; lines that begin with # are remarks.
const ListFile = "written.sha256"

// listHead is the first line of every list. A file without it is no list of ours, whatever
// its name.
const listHead = "# perch wrote these files: it replaces or removes no others, and these only as they are told here"

type hash [sha256.Size]byte

// list is what a folder's list names: the hashes of each file. There are two of a name
// only while a build is on its way into place.
type list map[string][]hash

func (l list) add(name string, h hash) {
	if !l.has(name, h) {
		l[name] = append(l[name], h)
	}
}

func (l list) has(name string, h hash) bool { return slices.Contains(l[name], h) }

// with is what either list names.
func (l list) with(m list) list {
	both := list{}
	for _, one := range []list{l, m} {
		for name, hashes := range one {
			for _, h := range hashes {
				both.add(name, h)
			}
		}
	}
	return both
}

func (l list) names() []string { return slices.Sorted(maps.Keys(l)) }

// text is the list as it stands in its file.
func (l list) text() []byte {
	var b bytes.Buffer
	b.WriteString(listHead + "\n")
	for _, name := range l.names() {
		hashes := slices.Clone(l[name])
		slices.SortFunc(hashes, func(a, b hash) int { return bytes.Compare(a[:], b[:]) })
		for _, h := range hashes {
			fmt.Fprintf(&b, "%x  %s\n", h, name)
		}
	}
	return b.Bytes()
}

// errNoList says of a file that it is not a list of ours.
var errNoList = errors.New("it is no list of written files")

// readList reads a list's file and returns its text too. Where there is none the list is
// empty and the text nil; a file that is something else is errNoList.
func readList(file string) (list, []byte, error) {
	st, err := os.Lstat(file)
	if errors.Is(err, fs.ErrNotExist) {
		return list{}, nil, nil
	}
	if err != nil {
		return nil, nil, err
	}
	if !st.Mode().IsRegular() {
		return nil, nil, errNoList
	}
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, nil, err
	}
	l, ok := parseList(string(text))
	if !ok {
		return nil, text, errNoList
	}
	return l, text, nil
}

// parseList reads a list and tells whether the text is one. A name is of a file in the
// list's own folder.
func parseList(text string) (list, bool) {
	head, rest, _ := strings.Cut(text, "\n")
	if head != listHead {
		return nil, false
	}
	l := list{}
	for line := range strings.Lines(rest) {
		sum, name, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "  ")
		raw, err := hex.DecodeString(sum)
		if !ok || err != nil || len(raw) != sha256.Size || name == "" || name == "." || name == ".." || strings.ContainsAny(name, `/\`) {
			return nil, false
		}
		l.add(name, hash(raw))
	}
	return l, true
}

// hashOf is the hash of what a file holds.
func hashOf(file string) (hash, error) {
	f, err := os.Open(file)
	if err != nil {
		return hash{}, err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return hash{}, err
	}
	return hash(h.Sum(nil)), nil
}
