package paper_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"perch/parts/paper"
)

// referee runs a program that others wrote, or skips.
func referee(t *testing.T, name string, args ...string) string {
	t.Helper()
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("PERCH_REFEREES=require asks " + name)
	}
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

// Two readers open the document, its fonts are embedded, its text, title, language and
// bookmarks are there (poppler and qpdf, both of Debian).
func TestReadersOpenTheDocument(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sample.pdf")
	doc := &paper.Document{Name: "Stool, mid"}
	sample(doc)
	sample(doc)
	w, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := doc.PDF(w); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if said := referee(t, "qpdf", "--check", file); !strings.Contains(said, "No syntax or stream encoding errors") {
		t.Error(said)
	}
	fonts := strings.Split(strings.TrimSpace(referee(t, "pdffonts", file)), "\n")[2:]
	if len(fonts) != 2 {
		t.Errorf("fonts: %q", fonts)
	}
	for _, f := range fonts {
		if w := strings.Fields(f); w[len(w)-5] != "yes" { // emb sub uni object ID
			t.Errorf("not embedded: %s", f)
		}
	}
	info := referee(t, "pdfinfo", file)
	if !strings.Contains(info, "Stool, mid") || !strings.Contains(info, "Pages:           2") || !strings.Contains(info, "841.89 x 595.28 pts (A4)") {
		t.Error(info)
	}
	text := referee(t, "pdftotext", "-layout", file, "-")
	for _, want := range []string{"Workshop stool", "2 as drawn, 2 mirrored", "2 of 2", "× 3, ± ½, → ok (front left)", "0123abcd"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the text", want)
		}
	}
	data := referee(t, "qpdf", "--qdf", "--object-streams=disable", file, "-")
	if !strings.Contains(data, "/Lang (en)") || strings.Count(data, "/Title ") != 3 {
		t.Error("the language or the two pages' bookmarks are not in the file's data")
	}
}
