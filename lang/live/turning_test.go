package live_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"perch/lang/display"
)

// wall is a design of so many channels with three bends, in a grid.
func wall(n int) string {
	var b strings.Builder
	b.WriteString(`design "Wall of channels" in millimetres

stock steel = sheet(mild_steel, 1.5mm)

panel channel(w: length, up: length) "A channel." {
  face web on upright(up) { outline rect(w, 90mm) }
  face top off web.top up 90deg { outline strip(40mm) }
  face foot off web.bottom up 90deg { outline strip(40mm) }
  face lip off top.outer up 60deg { outline strip(20mm) }
}

`)
	for i := range n {
		fmt.Fprintf(&b, "part c%d of steel = channel(%dmm, %dmm)\n", i, 100+2*i, 60*i)
	}
	return b.String()
}

// BenchmarkTurning is a frame of 300 different parts while they turn, by graphics in software:
// from asking for it until its pixels can be read.
func BenchmarkTurning(b *testing.B) {
	address, _ := designed(b, wall(300), display.Options{})
	p := open(b, address, 1200, 900)
	times := []float64{}
	for b.Loop() {
		times = append(times, js[float64](p, `(() => { const gl = perch.space.gl, t = performance.now(); perch.camera.yaw += .05; perch.turned(); perch.draw(); gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4)); return performance.now() - t; })()`))
		time.Sleep(5 * time.Millisecond)
	}
	b.ReportMetric(js[float64](p, "perch.space.scale"), "resolution")
	slices.Sort(times)
	b.ReportMetric(times[len(times)/2], "ms/frame")
	b.ReportMetric(times[len(times)*95/100], "ms/frame-p95")
	b.ReportMetric(js[float64](p, `perch.current().copies.reduce((n, c, i) => n + perch.shapeOf(perch.current(), i).index.length / 3, 0)`), "triangles")
}
