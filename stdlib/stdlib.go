// Package stdlib holds the standard library of panels, written in perch and
// embedded in the program. It holds texts only: whatever they do, a user's own
// file can do.
package stdlib

import (
	"embed"
	"fmt"
	"io/fs"
	"sort"
	"strings"
)

//go:embed std/*.perch
var files embed.FS

// Module returns the text and file name of a module by its dotted name, such as
// std.stool.
func Module(dotted string) (name, text string, err error) {
	name = strings.ReplaceAll(dotted, ".", "/") + ".perch"
	b, err := files.ReadFile(name)
	if err != nil {
		return "", "", fmt.Errorf("there is no library module %s; there are %s", dotted, strings.Join(Modules(), ", "))
	}
	return name, string(b), nil
}

// Modules lists the library's modules by dotted name, sorted.
func Modules() []string {
	var out []string
	fs.WalkDir(files, ".", func(path string, d fs.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(path, ".perch") {
			out = append(out, strings.ReplaceAll(strings.TrimSuffix(path, ".perch"), "/", "."))
		}
		return nil
	})
	sort.Strings(out)
	return out
}
