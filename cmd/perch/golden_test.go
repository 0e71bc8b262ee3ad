package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// updating tells that the expected results are to be written anew: PERCH_UPDATE=1
// go test ./cmd/perch. What changed is then for a person to review.
func updating() bool { return os.Getenv("PERCH_UPDATE") == "1" }

const goldenFolder = "../../testdata/golden"

// TestGolden compares the whole output of one small example, every file and byte.
func TestGolden(t *testing.T) {
	built(t)
	got := readTree(t, filepath.Join(shared.dir, "tote"))
	if len(got) < 15 {
		t.Fatalf("only %d files", len(got))
	}
	folder := filepath.Join(goldenFolder, "tote")
	if updating() {
		writeTree(t, folder, got)
	}
	compareFiles(t, "tote", got, readTree(t, folder))
}

// writeTree replaces a folder by files.
func writeTree(t *testing.T, folder string, files map[string][]byte) {
	t.Helper()
	if err := os.RemoveAll(folder); err != nil {
		t.Fatal(err)
	}
	for name, text := range files {
		path := filepath.Join(folder, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, text, 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// shownSizes are the sizes whose picture stands beside each example.
var shownSizes = map[string]string{
	"bench": "door", "inch_stool": "counter", "locker": "door", "plant_stand": "window",
	"spoke_bin": "bench", "stool": "mid", "tote": "regular", "wall_hook": "road",
	"parts_bin": "hubs", "truing_stand": "rear", "lamp_shade": "counter",
	"bench_lamp": "bench", "fire_basket": "patio", "slip_box": "door", "spares_chest": "spares",
	"trestle": "full", "vice_stand": "bench_vice",
}

// TestExamplePictures holds the pictures in the examples' folders to what perch
// draws now.
func TestExamplePictures(t *testing.T) {
	built(t)
	for _, file := range exampleFiles(t) {
		name := filepath.Base(filepath.Dir(file))
		if filepath.Base(file) != name+".perch" {
			continue // a step of the tutorial
		}
		size := shownSizes[name]
		if size == "" {
			t.Errorf("%s: no size is named for its picture", name)
			continue
		}
		for _, picture := range []string{"picture.svg", "picture.png"} {
			want, err := os.ReadFile(filepath.Join(shared.dir, name, size, picture))
			if err != nil {
				t.Fatal(err)
			}
			path := filepath.Join(filepath.Dir(file), picture)
			if updating() {
				if err := os.WriteFile(path, want, 0o666); err != nil {
					t.Fatal(err)
				}
			}
			if got, err := os.ReadFile(path); err != nil {
				t.Error(err)
			} else if !bytes.Equal(got, want) {
				t.Errorf("%s is not what perch draws of size %s now", path, size)
			}
		}
	}
}
