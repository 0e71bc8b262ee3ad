package drawing

import (
	"bytes"
	"image/color"
	"math/rand/v2"
	"testing"

	"github.com/tdewolff/canvas"
	svgcanvas "github.com/tdewolff/canvas/renderers/svg"

	"perch/parts/plane"
)

// What is written of fills and strokes is what the canvas library's own renderer writes of
// them, byte for byte: short and long numbers, edges along the axes, points that are one,
// black, which is left out.
func TestPathsAsTheLibraryWritesThem(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 7))
	const high = 670
	for range 2000 {
		size := []float64{1, 30, 700, 3000}[rnd.IntN(4)]
		at := func() float64 {
			if rnd.IntN(3) == 0 {
				return float64(rnd.IntN(20)) * size / 20
			}
			return (rnd.Float64() - 0.2) * size
		}
		loops := make([][]plane.Point, 1+rnd.IntN(2))
		for k := range loops {
			for range 2 + rnd.IntN(6) {
				p := plane.Point{X: at(), Y: at()}
				if n := len(loops[k]); n > 0 && rnd.IntN(4) == 0 {
					p.X = loops[k][n-1].X
				}
				loops[k] = append(loops[k], p)
			}
		}
		c := color.RGBA{uint8(rnd.IntN(3) * 51), uint8(rnd.IntN(2) * 17), uint8(rnd.IntN(2) * 200), 255}
		outline := []float64{0, 0.5, edgeWidth}[rnd.IntN(3)]

		var got, want bytes.Buffer
		d := &pictureSVG{w: &got}
		r := svgcanvas.New(&want, 640, high, nil)
		want.Reset()
		style := canvas.DefaultStyle
		path := &canvas.Path{}
		if stroke := rnd.IntN(3) == 0; stroke {
			d.stroke(loops[0], c)
			d.run(path, loops[0])
			style.Fill, style.Stroke, style.StrokeWidth = canvas.Paint{}, canvas.Paint{Color: c}, edgeWidth
			style.StrokeCapper, style.StrokeJoiner = canvas.RoundCap, canvas.RoundJoin
		} else {
			d.fill(loops, c, outline)
			for _, l := range loops {
				d.run(path, l)
				path.Close()
			}
			style.Fill, style.FillRule = canvas.Paint{Color: c}, canvas.EvenOdd
			if outline > 0 {
				style.Stroke, style.StrokeWidth, style.StrokeJoiner = style.Fill, outline, canvas.RoundJoin
			}
		}
		r.RenderPath(path, style, canvas.Identity.ReflectYAbout(high/2))
		if got.String() != want.String() {
			t.Fatalf("%v:\n%s\nthe library writes\n%s", loops, got.String(), want.String())
		}
	}
}
