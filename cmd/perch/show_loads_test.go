package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestShowsTipping: show tells when the loads that a design names tip it over, by the weight's
// lever over the load's: a slab of 2 mm, 300 × 200, less a hole weighs 9.19 N and is
// pushed up at its middle, the hole's lack away from its centre of gravity; what names none, or hangs, is told nothing of.
func TestShowsTipping(t *testing.T) {
	const slab = `design "Slab"
stock tin = sheet(mild_steel, 2mm)
panel plate() {
  face top on level(2mm) {
    outline rect(300mm, 200mm)
    cut hole = circle(20mm) at (100mm, 50mm)
  }
}
part slab of tin = plate() loose
`
	file := filepath.Join(t.TempDir(), "slab.perch")
	show := func(text string) string {
		if err := os.WriteFile(file, []byte(slab+text), 0o600); err != nil {
			t.Fatal(err)
		}
		var out, errs bytes.Buffer
		if code := run([]string{"show", file}, &out, &errs); code != 0 {
			t.Fatal(errs.String())
		}
		return out.String()
	}
	if got := show("let lift = load(1N, on: slab.top, toward: up)\nlet sit = load(100N, on: slab.top)\n"); !strings.Contains(got, "it tips over: lift at 9.1") || !strings.Contains(got, "sit never; an estimate") {
		t.Errorf("%s", got)
	}
	if got := show(""); strings.Contains(got, "tips") {
		t.Errorf("of no load it says %s", got)
	}
	if got := show("let wall = support(slab.top.hole)\nlet lift = load(1N, on: slab.top, toward: up)\n"); strings.Contains(got, "tips") {
		t.Errorf("of what hangs it says %s", got)
	}
}
