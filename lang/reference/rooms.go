package reference

import (
	"fmt"
	"go/doc"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"strings"
)

// Rooms is the table of the module's packages, below root, each with the first
// sentence of its package doc. Folders of tests, data and things whose name
// begins with a dot are passed over.
func Rooms(root fs.FS) (string, error) {
	var t table
	t.head("room", "what it is for")
	err := fs.WalkDir(root, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		if name := d.Name(); p != "." && (strings.HasPrefix(name, ".") || name == "testdata") {
			return fs.SkipDir
		}
		says, err := packageDoc(root, p)
		if err == nil && says != "" {
			t.row("["+p+"]("+p+")", says)
		}
		return err
	})
	return t.b.String(), err
}

// packageDoc is the first sentence of a folder's package doc, without the words
// "Package x"; "" where the folder holds no package.
func packageDoc(root fs.FS, dir string) (string, error) {
	files, err := fs.Glob(root, path.Join(dir, "*.go"))
	if err != nil {
		return "", err
	}
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		text, err := fs.ReadFile(root, f)
		if err != nil {
			return "", err
		}
		file, err := parser.ParseFile(token.NewFileSet(), f, text, parser.PackageClauseOnly|parser.ParseComments)
		if err != nil {
			return "", fmt.Errorf("reading %s: %w", f, err)
		}
		if file.Doc == nil {
			continue
		}
		first := new(doc.Package).Synopsis(file.Doc.Text())
		for _, lead := range []string{"Package " + file.Name.Name + " ", "Command perch "} {
			first = strings.TrimPrefix(first, lead)
		}
		return first, nil
	}
	return "", nil
}
