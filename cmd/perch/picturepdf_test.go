package main

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
)

// The picture's page shows what its PNG does, as another program draws it.
func TestPicturePDFByAnotherReader(t *testing.T) {
	require(t, "poppler-utils", "pdftoppm", "-v")
	dir := t.TempDir()
	if code, _, errs := perchIn(t, "build", "../../examples/tote/tote.perch", "--size", "small", "--out", dir, "--also", "pdf"); code != exitDone {
		t.Fatal(errs)
	}
	folder := filepath.Join(dir, "tote", "small")
	b, err := os.ReadFile(filepath.Join(folder, "picture.png"))
	if err != nil {
		t.Fatal(err)
	}
	want := decoded(t, b)
	size := want.Bounds().Size()
	b, err = exec.Command("pdftoppm", "-png", "-scale-to-x", strconv.Itoa(size.X), "-scale-to-y", strconv.Itoa(size.Y), filepath.Join(folder, "picture.pdf")).Output()
	if err != nil {
		t.Fatal(err)
	}
	got := decoded(t, b)
	if got.Bounds().Size() != size {
		t.Fatalf("a page of %v, a picture of %v", got.Bounds().Size(), size)
	}
	off, dark := 0.0, 0
	for y := range size.Y {
		for x := range size.X {
			a, _, _, _ := got.At(x, y).RGBA()
			b, _, _, _ := want.At(x, y).RGBA()
			off += math.Abs(float64(a)-float64(b)) / 0xffff
			if b < 0xf000 {
				dark++
			}
		}
	}
	n := float64(size.X * size.Y)
	if float64(dark)/n < 0.1 || off/n > 0.02 {
		t.Errorf("%.3g of the page differs, %.3g of the picture is drawn", off/n, float64(dark)/n)
	}
	t.Logf("%.3g of the page differs, %.3g of the picture is drawn", off/n, float64(dark)/n)
}

func decoded(t *testing.T, b []byte) image.Image {
	t.Helper()
	i, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return i
}
