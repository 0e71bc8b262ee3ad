package shop

import (
	"fmt"
	"strings"
)

// place is where something stands in a shop file, both counted from 1; columns
// in bytes.
type place struct{ line, col int }

// Limits on a shop file's shape: far above any that is meant, and low enough
// that reading costs no more than its length.
const (
	maxFileBytes = 256 << 10
	maxFileDepth = 8 // nested brackets, and names in a dotted key
)

// placeFinder walks a TOML text for the places of its keys, which the decoder
// does not tell for the items of an array of tables. It minds only what moves
// its place: strings, comments, brackets, headers and keys at a line's start.
type placeFinder struct {
	text   string
	at     int
	line   int
	start  int            // offset of the line's start
	prefix string         // the header in force, with its item number
	items  map[string]int // of each array of tables so far
	places map[string]place
}

// findPlaces maps each key's path, such as rivet[2].hole (items counted from 1), to
// its place. It fails only for a text past the limits above.
func findPlaces(text string) (map[string]place, error) {
	f := &placeFinder{text: text, line: 1, items: map[string]int{}, places: map[string]place{}}
	if len(text) > maxFileBytes {
		return nil, FileError{Line: 1, Column: 1, Message: fmt.Sprintf("the file has %d bytes; at most %d are read", len(text), maxFileBytes)}
	}
	for f.at < len(f.text) {
		f.skipBlank()
		if f.at >= len(f.text) {
			break
		}
		read := f.key
		if f.text[f.at] == '[' {
			read = f.header
		}
		if err := read(); err != nil {
			return nil, err
		}
		if err := f.skipValue(); err != nil {
			return nil, err
		}
	}
	return f.places, nil
}

func (f *placeFinder) here() place { return place{f.line, f.at - f.start + 1} }

func (f *placeFinder) step() {
	if f.text[f.at] == '\n' {
		f.line++
		f.start = f.at + 1
	}
	f.at++
}

func (f *placeFinder) skipBlank() {
	for f.at < len(f.text) {
		switch f.text[f.at] {
		case ' ', '\t', '\r', '\n':
			f.step()
		case '#':
			f.skipLine()
		default:
			return
		}
	}
}

func (f *placeFinder) skipLine() {
	for f.at < len(f.text) && f.text[f.at] != '\n' {
		f.step()
	}
}

// header reads [a.b] or [[a.b]] up to its first closing bracket.
func (f *placeFinder) header() error {
	p := f.here()
	f.step()
	list := f.at < len(f.text) && f.text[f.at] == '['
	if list {
		f.step()
	}
	path, err := f.dotted("]\n")
	if err != nil {
		return err
	}
	f.prefix = path
	if list {
		f.items[path]++
		f.prefix = fmt.Sprintf("%s[%d]", path, f.items[path])
	}
	f.places[f.prefix] = p
	f.skipLine()
	return nil
}

func (f *placeFinder) key() error {
	p := f.here()
	path, err := f.dotted("=\n")
	if err != nil {
		return err
	}
	if f.prefix != "" {
		path = f.prefix + "." + path
	}
	if _, ok := f.places[path]; !ok {
		f.places[path] = p
	}
	return nil
}

// dotted reads a dotted name up to one of the ends, quotes taken off. It fails for
// a name of too many parts: the decoder's work grows with their square.
func (f *placeFinder) dotted(ends string) (string, error) {
	start := f.at
	for f.at < len(f.text) && !strings.ContainsRune(ends, rune(f.text[f.at])) {
		f.step()
	}
	parts := strings.Split(f.text[start:f.at], ".")
	for i, part := range parts {
		parts[i] = strings.Trim(strings.TrimSpace(part), `"'`)
	}
	return strings.Join(parts, "."), f.tooDeep(len(parts))
}

// skipValue steps over a value to the end of its last line.
func (f *placeFinder) skipValue() error {
	depth, dots := 0, 0
	for f.at < len(f.text) {
		switch c := f.text[f.at]; c {
		case '\n':
			if depth <= 0 {
				return f.tooDeep(dots)
			}
		case '#':
			f.skipLine()
			continue
		case '"', '\'':
			f.skipString(c)
			continue
		case '[', '{':
			depth++
			dots = 0
		case ']', '}':
			depth--
		case ',', '=':
			dots = 0
		case '.':
			dots++
		}
		if err := f.tooDeep(max(depth, dots)); err != nil {
			return err
		}
		f.step()
	}
	return nil
}

func (f *placeFinder) tooDeep(n int) error {
	if n <= maxFileDepth {
		return nil
	}
	p := f.here()
	return FileError{Line: p.line, Column: p.col, Message: fmt.Sprintf("nested more than %d deep", maxFileDepth)}
}

// skipString steps over a string in quotes of kind q, single or triple.
func (f *placeFinder) skipString(q byte) {
	triple := strings.Repeat(string(q), 3)
	long := strings.HasPrefix(f.text[f.at:], triple)
	if long {
		f.step()
		f.step()
	}
	f.step()
	for f.at < len(f.text) {
		switch c := f.text[f.at]; {
		case c == '\\' && q == '"' && f.at+1 < len(f.text):
			f.step()
		case long && strings.HasPrefix(f.text[f.at:], triple):
			f.step()
			f.step()
			f.step()
			return
		case c == q && !long:
			f.step()
			return
		case c == '\n' && !long:
			return
		}
		f.step()
	}
}
