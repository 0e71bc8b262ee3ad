package family_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/output"
	"perch/parts/shop"
)

// What is written beside a build by another command stays while it is of what is built.
func TestPapersOfADesign(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "tray.perch")
	write := func(w string) family.Job {
		t.Helper()
		text := "design \"Tray\"\nstock tin = sheet(mild_steel, 1.5mm)\npanel plate() {\n  face base on level(0mm) { outline rect(" + w + ", 60mm) }\n}\npart tray of tin = plate()\n"
		if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		p, ds, err := load.Design(file, shop.Default())
		if err != nil || diag.HasErrors(ds) {
			t.Fatal(err, ds)
		}
		return family.Job{File: file, Program: p, Shop: shop.Default()}
	}
	codes := func(ds []diag.Diagnostic, err error) (got []string) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range ds {
			got = append(got, d.Code)
		}
		return got
	}
	pages := func(r *build.Result) (map[string][]byte, []diag.Diagnostic, error) {
		return map[string][]byte{"packet.pdf": []byte(r.Assembly.Blanks[0].Name)}, nil, nil
	}
	j := write("80mm")
	if got := codes(j.Papers(dir, output.Options{}, pages)); got != nil {
		t.Errorf("papers without a build: %v", got)
	}
	if got := codes(j.Build(dir, output.Options{})); got != nil {
		t.Errorf("a build of the same record: %v", got)
	}
	j = write("90mm")
	if got := codes(j.Papers(dir, output.Options{}, pages)); !slices.Equal(got, []string{"P7009"}) {
		t.Errorf("papers beside a build of an earlier state: %v", got)
	}
	j = write("95mm")
	if got := codes(j.Build(dir, output.Options{})); !slices.Equal(got, []string{"P7009"}) {
		t.Errorf("a build beside papers of an earlier state: %v", got)
	}
	if _, err := os.Stat(filepath.Join(dir, "tray", "only", "packet.pdf")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("papers of another state stand beside the build: %v", err)
	}
}
