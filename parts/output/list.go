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

// Remarks below the first line say whose the folder is; those of nested sheets have none. Those
// behind them name papers, each with the hash of the record that it was made from.
const (
	listDesign = "# design "
	listSize   = "# size "
	listPaper  = "# paper of "
)

// owner says which size of which design a folder holds. A folder of no design, such as a
// nested sheet's, has the zero owner; what lies beside a design's sizes has no size.
type owner struct {
	design string // its path, as Options tell it
	size   string
}

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

// papers are files that another command made of a build: the hash of that build's record by
// the name of each.
type papers map[string]hash

func (l list) names() []string { return slices.Sorted(maps.Keys(l)) }

// text is the list of an owner's folder, and of the papers among its files, as it stands in
// its file.
func (l list) text(o owner, p papers) []byte {
	var b bytes.Buffer
	b.WriteString(listHead + "\n")
	if o.design != "" {
		b.WriteString(listDesign + o.design + "\n")
	}
	if o.size != "" {
		b.WriteString(listSize + o.size + "\n")
	}
	for _, name := range slices.Sorted(maps.Keys(p)) {
		fmt.Fprintf(&b, "%s%x  %s\n", listPaper, p[name], name)
	}
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

// listed is what stands in a folder's list, and the list's own bytes; nil: there is none.
type listed struct {
	owner
	list
	papers papers
	text   []byte
}

// readList reads a list's file. A file that is something else is errNoList.
func readList(file string) (listed, error) {
	st, err := os.Lstat(file)
	if errors.Is(err, fs.ErrNotExist) {
		return listed{list: list{}}, nil
	}
	if err != nil {
		return listed{}, err
	}
	if !st.Mode().IsRegular() {
		return listed{}, errNoList
	}
	text, err := os.ReadFile(file)
	if err != nil {
		return listed{}, err
	}
	l, ok := parseList(string(text))
	if l.text = text; !ok {
		return l, errNoList
	}
	return l, nil
}

// parseList reads a list and tells whether the text is one. A name is of a file in the
// list's own folder.
func parseList(text string) (listed, bool) {
	head, rest, _ := strings.Cut(text, "\n")
	if head != listHead {
		return listed{}, false
	}
	l := listed{list: list{}, papers: papers{}}
	for line := range strings.Lines(rest) {
		line = strings.TrimSuffix(line, "\n")
		if d, ok := strings.CutPrefix(line, listDesign); ok {
			l.design = d
			continue
		}
		if s, ok := strings.CutPrefix(line, listSize); ok {
			l.size = s
			continue
		}
		line, paper := strings.CutPrefix(line, listPaper)
		sum, name, ok := strings.Cut(line, "  ")
		raw, err := hex.DecodeString(sum)
		if !ok || err != nil || len(raw) != sha256.Size || !plainName(name) {
			return listed{}, false
		}
		if paper {
			l.papers[name] = hash(raw)
		} else {
			l.add(name, hash(raw))
		}
	}
	return l, true
}

// plainName tells whether a name is of something in a folder itself.
func plainName(name string) bool {
	return name != "" && name != "." && name != ".." && !strings.ContainsAny(name, `/\`)
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
