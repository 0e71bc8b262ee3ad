package measure

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// byHand is a number that a format writes with a unit of length, area or mass behind it.
var byHand = regexp.MustCompile(`%[-+# 0-9.]*[dfgevs] ?(mm|cm|kg|lb)([^a-z²³]|²|³|$)|[0-9] mm\b`)

// metric are files that may: they write records and drawings for programs, which stay in
// millimetres, or read a file whose unit is told.
var metric = map[string]string{
	"parts/cutplan/remnant.go":        "the label by which a remnant's drawing tells its metal",
	"parts/shop/table.go":             "the unit of a table is its own",
	"parts/record/cutlist.go":         "an error for programs",
	"parts/record/hardware.go":        "an error for programs",
	"parts/mockup/folding/folding.go": "what tests say of a model",
	"parts/paper/frame.go":            "the bar that a printer is checked by is as long as the ruler's units have it",
	"cmd/perch/show.go":               "JSON of show",
	"lang/compare/part.go":            "JSON of a difference",
	"lang/compare/html.go":            "the size of a picture in a page",
	"lang/compare/picture.go":         "the size of a picture",
	"lang/compare/svg.go":             "the size of a picture",
	"parts/measure/measure.go":        "it is the one that writes",
	"parts/measure/paper.go":          "how a ruler is stated",
}

// TestNobodyWritesUnitsByHand looks for texts in which a room writes a length or mass with
// its unit: they are given as measures, and written for whoever reads them.
func TestNobodyWritesUnitsByHand(t *testing.T) {
	files := 0
	for _, root := range []string{"lang", "parts", "cmd"} {
		err := filepath.WalkDir("../../"+root, func(path string, e fs.DirEntry, err error) error {
			if err != nil || e.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			files++
			name := filepath.ToSlash(strings.TrimPrefix(path, "../../"))
			if metric[name] != "" {
				return nil
			}
			set := token.NewFileSet()
			file, err := parser.ParseFile(set, path, nil, parser.SkipObjectResolution)
			if err != nil {
				return err
			}
			ast.Inspect(file, func(n ast.Node) bool {
				if f, is := n.(*ast.Field); is && f.Tag != nil {
					return false // of a struct: help of flags, names in JSON
				}
				if l, is := n.(*ast.BasicLit); is && l.Kind == token.STRING {
					if text, err := strconv.Unquote(l.Value); err == nil && byHand.MatchString(text) {
						t.Errorf("%s:%d: %q writes a unit by hand", name, set.Position(l.Pos()).Line, text)
					}
				}
				return true
			})
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if files < 200 {
		t.Errorf("only %d files were looked at", files)
	}
}
