package live_test

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"perch/lang/diag"
	"perch/lang/display"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/scene"
	"perch/parts/shop"
)

// chrome is one browser for all tests of a run, drawing in software.
var chrome struct {
	sync.Once
	ctx context.Context
	err error
}

// required skips where no referees are asked, and fails where the program is missing.
func required(t testing.TB, program string) {
	t.Helper()
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skipf("PERCH_REFEREES=require asks %s", program)
	}
	if _, err := exec.LookPath(program); err != nil {
		t.Fatal(err)
	}
}

func start(extra ...chromedp.ExecAllocatorOption) (context.Context, context.CancelFunc, error) {
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.ExecPath("chromium"), chromedp.WindowSize(1200, 900),
		chromedp.Flag("disable-gpu", false), chromedp.Flag("use-gl", "angle"), chromedp.Flag("use-angle", "swiftshader"), chromedp.Flag("enable-unsafe-swiftshader", true),
		chromedp.Flag("js-flags", "--expose-gc"), chromedp.Flag("enable-precise-memory-info", true), chromedp.WSURLReadTimeout(90*time.Second))
	alloc, cancel := chromedp.NewExecAllocator(context.Background(), append(opts, extra...)...)
	ctx, stop := chromedp.NewContext(alloc)
	return ctx, func() { stop(); cancel() }, chromedp.Run(ctx)
}

// stopChrome ends the browser of a run.
var stopChrome = func() {}

func TestMain(m *testing.M) {
	code := m.Run()
	stopChrome()
	os.Exit(code)
}

// tab is an open page, with what it said and asked for.
type tab struct {
	testing.TB
	ctx   context.Context
	mu    sync.Mutex
	said  []string // on its console, and what it threw
	asked []string // addresses, but for its own and data
}

// open opens an address in a tab of its own, so wide and high.
func open(t testing.TB, address string, wide, high int64) *tab {
	t.Helper()
	required(t, "chromium")
	chrome.Do(func() {
		chrome.ctx, stopChrome, chrome.err = start()
	})
	if chrome.err != nil {
		t.Fatal(chrome.err)
	}
	ctx, cancel := chromedp.NewContext(chrome.ctx)
	t.Cleanup(cancel)
	return openIn(t, ctx, address, wide, high)
}

func openIn(t testing.TB, ctx context.Context, address string, wide, high int64) *tab {
	t.Helper()
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	t.Cleanup(cancel)
	p := &tab{TB: t, ctx: ctx}
	chromedp.ListenTarget(ctx, func(e any) {
		p.mu.Lock()
		defer p.mu.Unlock()
		switch e := e.(type) {
		case *runtime.EventConsoleAPICalled:
			for _, a := range e.Args {
				p.said = append(p.said, string(a.Value))
			}
		case *runtime.EventExceptionThrown:
			p.said = append(p.said, e.ExceptionDetails.Error())
		case *network.EventRequestWillBeSent:
			if u := e.Request.URL; u != address && !strings.HasPrefix(u, "data:") && !strings.HasPrefix(u, "blob:") {
				p.asked = append(p.asked, u)
			}
		case *page.EventJavascriptDialogOpening:
			p.said = append(p.said, "a dialog: "+e.Message)
		}
	})
	p.do(network.Enable(), chromedp.EmulateViewport(wide, high), chromedp.Navigate(address))
	p.until("!!window.perch && window.perch.ready")
	return p
}

func (p *tab) do(actions ...chromedp.Action) {
	p.Helper()
	if err := chromedp.Run(p.ctx, actions...); err != nil {
		p.Fatal(err, p.said)
	}
}

// js is what an expression of the page's script comes to.
func js[T any](p *tab, expression string) T {
	p.Helper()
	var out T
	p.do(chromedp.Evaluate(expression, &out, func(e *runtime.EvaluateParams) *runtime.EvaluateParams { return e.WithAwaitPromise(true) }))
	return out
}

// until waits for an expression to be true.
func (p *tab) until(expression string) {
	p.Helper()
	for end := time.Now().Add(20 * time.Second); !js[bool](p, expression); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			p.Fatalf("never: %s; the page said %q", expression, p.said)
		}
	}
}

// quiet fails where the page said something on its console or asked for something.
func (p *tab) quiet() {
	p.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.said)+len(p.asked) > 0 {
		p.Errorf("the page said %q and asked for %q", p.said, p.asked)
	}
}

// designed is a design's page in a file, with the job that it is of.
func designed(t testing.TB, text string, opt display.Options) (address string, scenes []*scene.Scene) {
	t.Helper()
	required(t, "chromium")
	facts := shop.Default()
	prog, diags, err := load.From(strings.NewReader(text), facts)
	if err != nil || diag.HasErrors(diags) {
		t.Fatal(err, diags)
	}
	doc, diags, err := display.Page(context.Background(), family.Job{Program: prog, File: "design.perch", Shop: facts}, opt)
	if err != nil || doc == nil {
		t.Fatal(err, diags)
	}
	file := filepath.Join(t.TempDir(), "page.html")
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := doc.Write(f); err != nil {
		t.Fatal(err)
	}
	for _, z := range doc.Sizes {
		scenes = append(scenes, z.Scene)
	}
	return "file://" + file, scenes
}

func stoolText(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile("../../examples/stool/stool.perch")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// node of an element by its id, for what is typed into it.
func id(name string) (string, chromedp.QueryOption) { return "#" + name, chromedp.ByQuery }
