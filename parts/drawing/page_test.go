package drawing

import (
	"bytes"
	"compress/zlib"
	"image/png"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"perch/parts/plane"
)

func drawnPage() *Page {
	p := &Page{Wide: 60, High: 40}
	p.Fill(Tone{Blue, 1}, []plane.Point{{X: 10, Y: 10}, {X: 30, Y: 10}, {X: 30, Y: 30}, {X: 10, Y: 30}})
	p.Stroke(Tone{Red, 1}, 1, false, []plane.Point{{X: 40, Y: 5}, {X: 40, Y: 35}})
	p.Text(Tone{Grey, 0}, plane.Point{X: 50, Y: 20}, 4, true, true, "17 <a>")
	return p
}

func TestPageLooksTheSameInAllFormats(t *testing.T) {
	p := drawnPage()
	var b bytes.Buffer
	if err := p.PNG(&b, 10); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	at := func(x, y int) [3]uint32 {
		r, g, b, _ := img.At(x, y).RGBA()
		return [3]uint32{r >> 8, g >> 8, b >> 8}
	}
	blue, red, white := [3]uint32{84, 124, 170}, [3]uint32{196, 22, 46}, [3]uint32{255, 255, 255}
	for _, c := range []struct {
		x, y int
		want [3]uint32
	}{{200, 200, blue}, {400, 200, red}, {50, 50, white}, {350, 200, white}} {
		if got := at(c.x, c.y); got != c.want {
			t.Errorf("pixel %d, %d is %v, want %v", c.x, c.y, got, c.want)
		}
	}
	b.Reset()
	if err := p.SVG(&b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`width="60mm"`, `fill="#547caa"`, `stroke="#c4162e"`, `text-anchor="middle"`, "17 &lt;a&gt;"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the SVG has no %s", want)
		}
	}
	b.Reset()
	if err := p.PDF(&b); err != nil {
		t.Fatal(err)
	}
	checkPDF(t, b.Bytes())
	var again bytes.Buffer
	if err := drawnPage().PDF(&again); err != nil || !bytes.Equal(again.Bytes(), b.Bytes()) {
		t.Errorf("the same page gives another PDF: %v", err)
	}
}

// checkPDF follows the cross-reference table and unpacks the content.
func checkPDF(t *testing.T, pdf []byte) {
	t.Helper()
	at := regexp.MustCompile(`startxref\n(\d+)\n%%EOF\n$`).FindSubmatch(pdf)
	if at == nil {
		t.Fatal("no startxref")
	}
	start, _ := strconv.Atoi(string(at[1]))
	if !bytes.HasPrefix(pdf[start:], []byte("xref\n0 5\n")) {
		t.Fatal("startxref does not point at the table")
	}
	for i, m := range regexp.MustCompile(`(?m)^(\d{10}) 00000 n $`).FindAllSubmatch(pdf[start:], -1) {
		n, _ := strconv.Atoi(string(m[1]))
		if !bytes.HasPrefix(pdf[n:], []byte(strconv.Itoa(i+1)+" 0 obj\n")) {
			t.Errorf("object %d is not where the table says", i+1)
		}
	}
	if bytes.Contains(pdf, []byte("Date")) {
		t.Error("the PDF holds a date")
	}
	from := bytes.Index(pdf, []byte("stream\n")) + len("stream\n")
	z, err := zlib.NewReader(bytes.NewReader(pdf[from:]))
	if err != nil {
		t.Fatal(err)
	}
	content, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	// 60 mm are 170.079 points; the square, the line's width and colour.
	for _, want := range []string{"10 10 m 30 10 l 30 30 l 10 30 l h f*", "1 w S", "0.329 0.486 0.667 rg", "2.834645669 0 0 -2.834645669 0 113.385826772 cm"} {
		if !strings.Contains(string(content), want) {
			t.Errorf("the PDF's content has no %q", want)
		}
	}
	if !bytes.Contains(pdf, []byte("/MediaBox [0 0 170.079 113.386]")) {
		t.Error("the PDF's page is not 60 × 40 mm")
	}
}
