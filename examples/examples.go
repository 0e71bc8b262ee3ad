// Package examples holds whole designs to look at, copy and change, embedded in
// the program. It holds texts only.
package examples

import (
	"embed"
	"io/fs"
	"path"
	"strings"

	"perch/parts/measure"
)

//go:embed starter_*.perch */*.perch
var files embed.FS

// Starter is the design that a new one starts from: small, explained line by line, and
// in a system of units.
func Starter(in measure.System) string {
	b, err := files.ReadFile("starter_" + in.String() + ".perch")
	if err != nil {
		panic(err) // it is embedded
	}
	return string(b)
}

// Names lists the examples, sorted: each is NAME/NAME.perch.
func Names() []string {
	var out []string
	found, err := fs.Glob(files, "*/*.perch") // sorted
	if err != nil {
		panic(err) // the pattern is well formed
	}
	for _, f := range found {
		if name := path.Base(path.Dir(f)); path.Base(f) == name+".perch" {
			out = append(out, name)
		}
	}
	return out
}

// Text is the example of a name; ok is false where there is none.
func Text(name string) (text string, ok bool) {
	if name == "" || strings.ContainsAny(name, `/\.`) {
		return "", false
	}
	b, err := files.ReadFile(name + "/" + name + ".perch")
	return string(b), err == nil
}
