package drawing

import (
	"bytes"
	"compress/zlib"
	"io"
	"strings"
	"testing"

	"perch/parts/plane"
)

// A picture's page: 100 × 50 pixels are 28 × 14 mm, 79.37 × 39.685 points; a shape is filled,
// only those of its edges are drawn that show, a shadow has none.
func TestPicturePDF(t *testing.T) {
	square := [][]plane.Point{{{X: 10, Y: 10}, {X: 30, Y: 10}, {X: 30, Y: 30}, {X: 10, Y: 30}}}
	p := &Picture{Width: 100, Height: 50,
		shapes: []shape{
			{loops: [][]plane.Point{{{X: 40}, {X: 50}, {X: 50, Y: 5}}}, tint: shadowTint},
			{loops: square, drawn: [][]bool{{true, true, false, false}}, light: 0.5, marks: []stroke{{from: plane.Point{X: 12, Y: 12}, to: plane.Point{X: 14, Y: 12}}}},
		},
		lines: []stroke{{from: plane.Point{X: 60, Y: 5}, to: plane.Point{X: 60, Y: 45}, arrows: true}},
		texts: []words{{content: "a", at: plane.Point{X: 70, Y: 40}, size: 10}},
	}
	var files [2]bytes.Buffer
	for i := range files {
		if err := p.PDF(&files[i]); err != nil {
			t.Fatal(err)
		}
	}
	pdf := files[0].Bytes()
	if !bytes.Equal(pdf, files[1].Bytes()) || bytes.Contains(pdf, []byte("Date")) {
		t.Error("written twice, the bytes differ, or they hold a date")
	}
	if !bytes.Contains(pdf, []byte("/MediaBox [0 0 79.37 39.685]")) {
		t.Error("the page is not 28 × 14 mm")
	}
	z, err := zlib.NewReader(bytes.NewReader(pdf[bytes.Index(pdf, []byte("stream\n"))+len("stream\n"):]))
	if err != nil {
		t.Fatal(err)
	}
	content, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	for want, n := range map[string]int{
		"10 10 m 30 10 l 30 30 l 10 30 l h f*":            1,
		"0.8 w 10 10 m 30 10 l 30 30 l 12 12 m 14 12 l S": 1,
		"0.914 0.902 0.875 rg 40 0 m 50 0 l 50 5 l h f*":  1, // #e9e6df
		"60 5 m 60 45 l S":                                1,
		"0.169 0.165 0.157 RG":                            1, // the shape's edges, ink
		"0.169 0.165 0.157 rg":                            1, // the letter
		"0.793700787 0 0 -0.793700787 0 39.68503937 cm":   1,
	} {
		if got := strings.Count(string(content), want); got != n {
			t.Errorf("%q is there %d times, want %d in\n%s", want, got, n, content)
		}
	}
}
