package live_test

import (
	"testing"

	"github.com/chromedp/chromedp"

	"perch/lang/display"
)

const longAndShort = `design "Long and short" in millimetres

stock steel = sheet(mild_steel, 1.5mm)

panel plate(w: length, h: length, up: length) "A plate." {
  face plate on upright(up) { outline rect(w, h) }
}

part rail of steel = plate(10000mm, 60mm, 0mm)
part chip of steel = plate(10mm, 10mm, -100mm)
`

// Ten millimetres beside ten metres are seen and picked, from where all is seen and from near.
func TestLongAndShort(t *testing.T) {
	address, _ := designed(t, longAndShort, display.Options{})
	p := open(t, address, 1200, 900)
	for _, parallel := range []string{"false", "true"} {
		for _, far := range []string{"camera.far", "60"} {
			got := js[[2]float64](p, `(() => { const camera = perch.camera, z = perch.current(), chip = z.copies.findIndex(c => c.n == "chip"), s = perch.shapeOf(z, chip), cv = document.getElementById("space");
				const c = z.copies[chip], at = perch.place(c, [0, 0, 0], [0, 1, 2].map(k => (s.lo[k] + s.hi[k]) / 2)); camera.parallel = `+parallel+`; camera.yaw = .2; camera.pitch = .1;
				if (`+far+` < 100) camera.target = at; camera.far = `+far+`;
				const q = camera.onScreen(at, cv.clientWidth, cv.clientHeight), r = perch.pick(q[0], q[1]);
				const all = () => { perch.draw(); const g = document.createElement("canvas"); g.width = cv.width; g.height = cv.height; const x = g.getContext("2d"); x.drawImage(cv, 0, 0); return x.getImageData(0, 0, g.width, g.height).data; };
				const a = all(); perch.state.hidden.add(chip); const b = all(); perch.state.hidden.delete(chip);
				let n = 0; for (let k = 0; k < a.length; k += 4) if (a[k] != b[k] || a[k + 1] != b[k + 1]) n++;
				return [r && r.copy == chip ? 1 : 0, n]; })()`)
			least := 1.0
			if far != "camera.far" {
				least = 1000
			}
			if got[0] != 1 || got[1] < least {
				t.Errorf("parallel %s, from %s: picked %g, %g pixels", parallel, far, got[0], got[1])
			}
			p.do(chromedp.Focus(id("space")), chromedp.KeyEvent("0"))
		}
	}
	p.quiet()
}

// Where parts pass through each other is looked for with bounded work; where that was not enough,
// the page says so.
func TestSaysWhatWasNotLookedAt(t *testing.T) {
	address, _ := designed(t, stoolText(t), display.Options{})
	p := open(t, address, 1200, 900)
	js[bool](p, `(() => { perch.state.work = 10; perch.setBent(.2); return true; })()`)
	p.until(`document.getElementById("said").textContent.includes("not all pairs were looked at")`)
	js[bool](p, `(() => { perch.setBent(1); return true; })()`)
	p.until(`document.getElementById("said").textContent == ""`)
}
