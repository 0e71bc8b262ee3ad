package live_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"perch/lang/display"
)

// On a screen of 375 pixels nothing lies beside it, and everything that is touched is as large as
// a finger needs by WCAG 2.2, 2.5.8: 24 by 24 pixels.
func TestNarrow(t *testing.T) {
	address, _ := designed(t, stoolText(t), display.Options{})
	p := open(t, address, 375, 740)
	if w := js[int](p, "document.scrollingElement.scrollWidth"); w > 375 {
		t.Errorf("the page is %d pixels wide", w)
	}
	small := js[[]string](p, `[...document.querySelectorAll("button, select, input, summary")].filter(e => e.offsetParent).filter(e => { const r = e.getBoundingClientRect(); return r.width < 24 || r.height < 23.5 || r.right > 376; }).map(e => e.outerHTML.slice(0, 90))`)
	if len(small) > 0 {
		t.Errorf("too small or beside the screen: %q", small)
	}
	p.do(chromedp.Evaluate(`document.querySelector("[data-copy='1']").click()`, nil))
	if got := js[string](p, "document.querySelector('#hand h2').textContent"); !strings.Contains(got, "leg") {
		t.Errorf("picked is %q", got)
	}
	if h := js[float64](p, "document.getElementById('space').clientHeight"); h < 200 {
		t.Errorf("the picture is %g pixels high", h)
	}
}

// All controls are reached by Tab alone, in the order that they stand in, and the picture by its keys.
func TestKeyboard(t *testing.T) {
	address, _ := designed(t, stoolText(t), display.Options{})
	p := open(t, address, 1200, 900)
	want := js[[]string](p, `[...document.querySelectorAll("canvas, button, select, input, summary")].filter(e => e.offsetParent && !e.disabled && !(e.type == "radio" && !e.checked)).map((e, i) => { e.dataset.k = i; return String(i); })`)
	var got []string
	for range len(want) + 20 {
		p.do(chromedp.KeyEvent(kb.Tab))
		if k := js[string](p, `document.activeElement && document.activeElement.dataset.k || ""`); k != "" && !slices.Contains(got, k) {
			got = append(got, k)
		}
	}
	for _, k := range want {
		if !slices.Contains(got, k) {
			t.Errorf("Tab does not come to %s", js[string](p, `document.querySelector("[data-k='`+k+`']").outerHTML.slice(0, 120)`))
		}
	}
	if !slices.Equal(got[:min(len(want), len(got))], want[:min(len(want), len(got))]) {
		t.Errorf("Tab goes %v", got)
	}
	p.do(chromedp.Focus("#space"))
	was := js[float64](p, "perch.camera.yaw")
	p.do(chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent("+"), chromedp.KeyEvent("n"))
	if js[float64](p, "perch.camera.yaw") == was {
		t.Error("an arrow turns nothing")
	}
	if got := js[string](p, "document.querySelector('#hand h2').textContent"); got != "cap" {
		t.Errorf("n took %q", got)
	}
	p.do(chromedp.KeyEvent("h"))
	if n := js[int](p, "perch.state.hidden.size"); n != 1 {
		t.Errorf("%d are hidden", n)
	}
	p.do(chromedp.KeyEvent(kb.Escape), chromedp.Focus("#bent"), chromedp.KeyEvent(kb.Home))
	if js[float64](p, "perch.state.part") != 0 {
		t.Error("Home does not lay the parts flat")
	}
}

// No rule of WCAG 2.2 AA that axe-core tries is broken: as it opens, with a part in hand, in the dark, and plain.
func TestAccessible(t *testing.T) {
	required(t, "chromium")
	axe, err := os.ReadFile("../../.ci/node_modules/axe-core/axe.min.js")
	if err != nil {
		t.Fatal(err, "npm ci in .ci brings it")
	}
	held := func(p *tab, what string) {
		p.do(chromedp.Evaluate(string(axe), nil))
		found := js[[]string](p, `axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}).then(r => r.violations.map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 120) + " " + n.failureSummary).join(" | ")))`)
		for _, f := range found {
			t.Errorf("%s: %s", what, f)
		}
	}
	address, _ := designed(t, stoolText(t), display.Options{})
	p := open(t, address, 1200, 900)
	held(p, "as it opens")
	p.do(chromedp.Evaluate(`document.querySelector("[data-copy='0']").click()`, nil))
	held(p, "with a part in hand")
	p.do(chromedp.ActionFunc(emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}, {Name: "prefers-reduced-motion", Value: "reduce"}}).Do))
	held(p, "in the dark")
	plain, _ := designed(t, stoolText(t), display.Options{Plain: true})
	held(open(t, plain, 375, 740), "plain, on a narrow screen")
	held(open(t, serve(t).Address(), 1200, 900), "live")
}
