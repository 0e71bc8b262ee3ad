package syntax

import (
	"os"
	"path/filepath"
	"testing"

	"perch/lang/diag"
)

func TestExamples(t *testing.T) {
	for _, name := range []string{"stool.perch", "std_stool.perch"} {
		text, err := os.ReadFile(filepath.Join("testdata", name))
		if err != nil {
			t.Fatal(err)
		}
		f, ds := Parse(diag.NewSource(name, string(text)))
		for _, d := range ds {
			t.Error(d.String())
		}
		t.Log(name, len(f.Stmts), "statements")
	}
}
