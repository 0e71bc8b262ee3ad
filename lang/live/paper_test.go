package live_test

import (
	"testing"

	"github.com/chromedp/cdproto/emulation"

	"perch/lang/display"
)

// Printed, the piece is there as it is turned, or as it stands where its scene is not read yet;
// bends are open, and nothing that only a screen needs. Afterwards all is as before.
func TestOnPaper(t *testing.T) {
	address, _ := designed(t, stoolText(t), display.Options{})
	p := open(t, address, 1200, 900)
	p.do(emulation.SetEmulatedMedia().WithMedia("print"))
	js[bool](p, `dispatchEvent(new Event("beforeprint"))`)
	p.until(`document.getElementById("printed").complete`)
	if n := js[int](p, `(() => { const i = document.getElementById("printed"), c = document.createElement("canvas"); c.width = i.naturalWidth; c.height = i.naturalHeight;
		const g = c.getContext("2d"); g.drawImage(i, 0, 0); const seen = new Set(), d = g.getImageData(0, 0, c.width, c.height).data; for (let k = 0; k < d.length; k += 4) seen.add(d[k] << 16 | d[k + 1] << 8 | d[k + 2]); return seen.size; })()`); n < 20 {
		t.Errorf("the printed picture has %d colours", n)
	}
	shown := func(what string) bool {
		return js[bool](p, `document.querySelector("`+what+`").getClientRects().length > 0`)
	}
	for _, want := range []string{"#printed", ".parts details table", ".values"} {
		if !shown(want) {
			t.Errorf("%s is not printed", want)
		}
	}
	for _, without := range []string{"#hand", "#space", "#ruler", ".handles", "#still", "[data-copy]"} {
		if shown(without) {
			t.Errorf("%s is printed", without)
		}
	}
	js[bool](p, `dispatchEvent(new Event("afterprint"))`)
	js[bool](p, `window.kept = perch.state.file, perch.state.file = null, dispatchEvent(new Event("beforeprint"))`)
	if !shown("#still img") || shown(".view") {
		t.Error("before its scene is read a page prints no picture")
	}
	js[bool](p, `perch.state.file = kept, dispatchEvent(new Event("afterprint"))`)
	p.do(emulation.SetEmulatedMedia().WithMedia("screen"))
	if !shown("#space") || shown("#still") || js[bool](p, `!!document.querySelector("#sheets details[open]")`) {
		t.Error("after printing the page is not as it was")
	}
	p.quiet()
}
