package reference_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/lang/reference"
	"perch/parts/blankpage"
	"perch/parts/naming"
	"perch/parts/paper"
	"perch/parts/shop"
)

// TestFlatShown holds the flat that the language's guide shows, of the plate with a
// flange on every edge, to what is drawn.
func TestFlatShown(t *testing.T) {
	const guidebook = "lang/README.md"
	for _, b := range reference.Blocks(guide(t, guidebook)) {
		if !strings.HasPrefix(b.Text, `design "Four flanges"`) {
			continue
		}
		sh := shop.Default()
		p, diags, err := load.Source(diag.NewSource("flanged.perch", b.Text), load.Library(), sh)
		if err != nil || diag.HasErrors(diags) {
			t.Fatal(err, diags)
		}
		r, diags := build.Size(p, "only", sh, nil)
		if diag.HasErrors(diags) {
			t.Fatal(diags)
		}
		var drawn bytes.Buffer
		pages := blankpage.Job{Assembly: r.Assembly, Names: naming.Of(r.Assembly), Sheet: paper.A4}
		doc := &paper.Document{}
		if err := errors.Join(pages.Add(doc, 0), doc.SVG(&drawn)); err != nil {
			t.Fatal(err)
		}
		stands := filepath.Join(root, "lang/flanged.svg")
		if updating() {
			if err := os.WriteFile(stands, drawn.Bytes(), 0o666); err != nil {
				t.Fatal(err)
			}
		}
		if text(t, stands) != drawn.String() {
			t.Errorf("%s is stale; run %s=1 go test ./lang/reference", stands, update)
		}
		return
	}
	t.Fatal("the guide does not show the plate")
}
