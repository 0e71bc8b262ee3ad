// Package reference keeps the language reference true: it writes the parts of a
// Markdown text that can be read off the program itself (functions, members,
// types, words, units, library panels, codes, the shop file), each between two
// markers, and finds the examples in such a text so that a test can compile them.
// It never writes a file and knows nothing of what the prose around its parts says.
package reference

import (
	"fmt"
	"io/fs"
	"strings"
)

// The markers of a generated part, each on a line of its own:
//
//	<!-- generated: functions -->
//	…
//	<!-- end -->
const (
	beginMark = "<!-- generated: "
	endMark   = "<!-- end -->"
	closing   = " -->"
)

// makers are the parts that need no file, by name. There are three more: rooms,
// "file PATH", and "file PATH as NAME" for a file that the reader is to call NAME.
var makers = map[string]func() (string, error){
	"words":     plain(Words),
	"types":     plain(Types),
	"units":     plain(Units),
	"functions": plain(Functions),
	"members":   plain(Members),
	"library":   Library,
	"codes":     plain(Codes),
	"rules":     plain(Rules),
	"shop":      plain(Shop),
}

func plain(f func() string) func() (string, error) {
	return func() (string, error) { return f(), nil }
}

// Fill returns the text with every generated part made anew; root is where the
// files that parts show are found. A part that does not exist, a marker without
// its end and a file that can't be read are errors that give the line.
func Fill(text string, root fs.FS) (string, error) {
	var out strings.Builder
	lines := strings.SplitAfter(text, "\n")
	for i := 0; i < len(lines); i++ {
		out.WriteString(lines[i])
		name, ok := marker(lines[i])
		if !ok {
			continue
		}
		end := i + 1
		for end < len(lines) && strings.TrimSpace(lines[end]) != endMark {
			if _, nested := marker(lines[end]); nested {
				break
			}
			end++
		}
		if end == len(lines) || strings.TrimSpace(lines[end]) != endMark {
			return "", fmt.Errorf("line %d: the generated part %s has no %s", i+1, name, endMark)
		}
		part, err := generate(name, root)
		if err != nil {
			return "", fmt.Errorf("line %d: %w", i+1, err)
		}
		out.WriteString(strings.TrimRight(part, "\n") + "\n" + lines[end])
		i = end
	}
	return out.String(), nil
}

// marker reads the name off a line that begins a generated part.
func marker(line string) (name string, ok bool) {
	s, ok := strings.CutPrefix(strings.TrimSpace(line), beginMark)
	if !ok {
		return "", false
	}
	return strings.CutSuffix(s, closing)
}

func generate(name string, root fs.FS) (string, error) {
	if f := makers[name]; f != nil {
		return f()
	}
	if name == "rooms" {
		return Rooms(root)
	}
	path, _, ok := shownFile(name)
	if !ok {
		return "", fmt.Errorf("there is no generated part %q", name)
	}
	b, err := fs.ReadFile(root, path)
	if err != nil {
		return "", fmt.Errorf("showing %s: %w", path, err)
	}
	return "```perch\n" + strings.TrimRight(string(b), "\n") + "\n```\n", nil
}

// shownFile takes "file PATH as NAME" apart; NAME is the last of the path where
// it is left out.
func shownFile(part string) (path, name string, ok bool) {
	s, ok := strings.CutPrefix(part, "file ")
	if !ok {
		return "", "", false
	}
	path, name, given := strings.Cut(s, " as ")
	if !given {
		name = path[strings.LastIndex(path, "/")+1:]
	}
	return path, name, true
}
