package live_test

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"perch/lang/live"
	"perch/lang/watch"
	"perch/parts/shop"
)

const tray = `design "Tray" in millimetres

stock steel = sheet(mild_steel, 1.5mm)

param wide: length in 100mm..300mm = 200mm "across"
param deep: length = 80mm

rule wide >= 2 * deep "wider than deep"

size small
size large: wide = 250mm

panel tray() "A tray." {
  face plate on upright(0mm) { outline rect(wide, deep) }
  face lip off plate.right up 90deg { outline strip(20mm) }
}

part tray of steel = tray()
`

// served is a design under watch, with its page.
type served struct {
	*live.Server
	file  string
	shown chan watch.Report
}

func serve(t testing.TB) *served {
	t.Helper()
	l, err := live.Listen(0)
	if err != nil {
		t.Fatal(err)
	}
	s, err := live.New(l.Addr())
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	out := &served{Server: s, file: filepath.Join(t.TempDir(), "tray.perch"), shown: make(chan watch.Report, 100)}
	out.save(t, tray)
	done := make(chan error, 2)
	go func() { done <- s.Serve(ctx, l) }()
	go func() {
		done <- watch.Job{File: out.file, Shop: shop.Default()}.Run(ctx, func(r watch.Report) {
			if err := s.Show(r); err != nil {
				t.Error(err)
			}
			out.shown <- r
		})
	}()
	t.Cleanup(func() {
		stop()
		for range 2 {
			if err := <-done; err != nil {
				t.Error(err)
			}
		}
	})
	out.next(t)
	return out
}

func (s *served) save(t testing.TB, text string) {
	t.Helper()
	if err := os.WriteFile(s.file, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

func (s *served) next(t testing.TB) {
	t.Helper()
	select {
	case <-s.shown:
	case <-time.After(20 * time.Second):
		t.Fatal("a save was not built")
	}
}

func (s *served) origin() string {
	return strings.Join(strings.Split(s.Address(), "/")[:3], "/")
}

// ask asks for a path behind the address, with a header's names and values.
func (s *served) ask(t testing.TB, method, address, body string, headers ...string) (int, string) {
	t.Helper()
	r, err := http.NewRequest(method, address, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(headers); i += 2 {
		if headers[i] == "Host" {
			r.Host = headers[i+1]
		} else {
			r.Header.Set(headers[i], headers[i+1])
		}
	}
	a, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Body.Close()
	text, err := io.ReadAll(a.Body)
	if err != nil {
		t.Fatal(err)
	}
	return a.StatusCode, string(text)
}

type answer struct {
	File *struct {
		Sizes []struct {
			Name string
			Hi   [3]float64
		}
	}
	Only       bool
	Sheets     string
	Fields     []struct{ Name, Value, Low, High string }
	Wrong, Row string
	Stale      bool
}

func (s *served) scene(t testing.TB) (a answer) {
	t.Helper()
	code, text := s.ask(t, "GET", s.Address()+"scene", "")
	if code != 200 {
		t.Fatal(code, text)
	}
	if err := json.Unmarshal([]byte(text), &a); err != nil {
		t.Fatal(err)
	}
	return a
}

func (s *served) try(t testing.TB, size string, values map[string]string) (a answer) {
	t.Helper()
	body, err := json.Marshal(map[string]any{"size": size, "values": values})
	if err != nil {
		t.Fatal(err)
	}
	code, text := s.ask(t, "POST", s.Address()+"try", string(body), "Origin", s.origin())
	if code != 200 {
		t.Fatal(code, text)
	}
	if err := json.Unmarshal([]byte(text), &a); err != nil {
		t.Fatal(err)
	}
	return a
}

// Only this machine's page is answered: not another host's name, as of a name that was turned to
// this machine, not another page's origin, and not without the token.
func TestRefuses(t *testing.T) {
	s := serve(t)
	token := strings.Split(s.Address(), "/")[3]
	wrong := s.origin() + "/" + strings.Repeat("0", len(token)) + "/"
	for name, c := range map[string]struct {
		method, address string
		headers         []string
	}{
		"no token":            {"GET", s.origin() + "/", nil},
		"a wrong token":       {"GET", wrong, nil},
		"half a token":        {"GET", s.origin() + "/" + token[:16] + "/", nil},
		"another host":        {"GET", s.Address(), []string{"Host", "piece.example:80"}},
		"another origin":      {"GET", s.Address() + "scene", []string{"Origin", "http://piece.example"}},
		"no origin":           {"POST", s.Address() + "try", nil},
		"the null origin":     {"POST", s.Address() + "try", []string{"Origin", "null"}},
		"an origin elsewhere": {"POST", s.Address() + "try", []string{"Origin", "http://127.0.0.1:1"}},
		"from another site":   {"GET", s.Address() + "scene", []string{"Sec-Fetch-Site", "cross-site"}},
	} {
		if code, text := s.ask(t, c.method, c.address, "{}", c.headers...); code != http.StatusForbidden || strings.Contains(text, "Tray") {
			t.Errorf("%s: %d", name, code)
		}
	}
	for _, path := range []string{"../", "tray.perch", "etc/passwd", "..%2ftray.perch"} {
		if code, _ := s.ask(t, "GET", s.Address()+path, ""); code == 200 {
			t.Errorf("%s is served", path)
		}
	}
	if code, text := s.ask(t, "GET", s.Address(), ""); code != 200 || !strings.Contains(text, "connect-src &#39;self&#39;") {
		t.Errorf("the page itself: %d", code)
	}
	if host, _, _ := net.SplitHostPort(strings.TrimPrefix(s.origin(), "http://")); host != "127.0.0.1" {
		t.Errorf("it is served at %s", host)
	}
}

// What is tried changes one size's metal and numbers, and nothing of the file.
func TestTries(t *testing.T) {
	s := serve(t)
	a := s.scene(t)
	if len(a.File.Sizes) != 2 || len(a.Fields) != 2 {
		t.Fatalf("%d sizes, fields %v", len(a.File.Sizes), a.Fields)
	}
	if f := a.Fields[0]; f.Name != "wide" || f.Value != "200mm" || f.Low != "100mm" || f.High != "300mm" {
		t.Errorf("the field is %+v", f)
	}
	if f := a.Fields[1]; f.Low != "" || f.High != "" {
		t.Errorf("a param without a range slides: %+v", f)
	}
	was := a.File.Sizes[0].Hi[0]
	b := s.try(t, "small", map[string]string{"wide": "240mm"})
	if !b.Only || len(b.File.Sizes) != 1 || b.File.Sizes[0].Hi[0]-was != 20 { // half of it on each side
		t.Errorf("40 mm wider it reaches %v, not %g", b.File.Sizes, was+20)
	}
	if !strings.Contains(b.Sheets, "240mm") || b.Row != "size tried: wide = 240mm" {
		t.Errorf("row %q", b.Row)
	}
	if c := s.try(t, "large", map[string]string{"deep": "90mm"}); c.Row != "size tried: wide = 250mm, deep = 90mm" {
		t.Errorf("the size's own statements are lost: %q", c.Row)
	}
	if text, err := os.ReadFile(s.file); err != nil || string(text) != tray {
		t.Error("the design was changed")
	}
}

// Every line that is offered can be pasted: with it the design has the size that was tried.
func TestRowPastes(t *testing.T) {
	s := serve(t)
	a := s.try(t, "large", map[string]string{"deep": "90mm"})
	s.save(t, strings.Replace(tray, "\npanel tray", a.Row+"\n\npanel tray", 1))
	s.next(t)
	b := s.scene(t)
	if b.Wrong != "" || len(b.File.Sizes) != 3 || b.File.Sizes[2].Name != "tried" {
		t.Fatalf("%s %+v", b.Wrong, b.File)
	}
	if b.File.Sizes[2].Hi != a.File.Sizes[0].Hi {
		t.Errorf("the pasted size reaches %v, the tried one %v", b.File.Sizes[2].Hi, a.File.Sizes[0].Hi)
	}
}

func TestBrokenTries(t *testing.T) {
	s := serve(t)
	for value, want := range map[string]string{"120mm": "wider than deep", "400mm": "300mm", "nonsense": "nonsense", "3kg": "length", "200mm\nsize x": "no value", "": ""} {
		a := s.try(t, "small", map[string]string{"wide": value})
		if a.File != nil || !a.Stale || !strings.Contains(a.Wrong, want) || a.Wrong == "" {
			t.Errorf("%q: stale %v, %s", value, a.Stale, a.Wrong)
		}
	}
	if a := s.try(t, "none", nil); a.Wrong == "" {
		t.Error("a size that is not there was tried")
	}
	for _, body := range []string{"", "[]", "{\"values\": 3}", strings.Repeat("x", 1<<17)} {
		if code, _ := s.ask(t, "POST", s.Address()+"try", body, "Origin", s.origin()); code != http.StatusBadRequest {
			t.Errorf("%.10q: %d", body, code)
		}
	}
}

// A save that breaks the design leaves the last good piece, and is told; whoever left in the
// middle is forgotten.
func TestBreaksWhileOpen(t *testing.T) {
	s := serve(t)
	ctx, leave := context.WithCancel(context.Background())
	r, err := http.NewRequestWithContext(ctx, "GET", s.Address()+"events", nil)
	if err != nil {
		t.Fatal(err)
	}
	events, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer events.Body.Close()
	lines := bufio.NewScanner(events.Body)
	lines.Scan()
	s.save(t, strings.Replace(tray, "strip(20mm)", "strop(20mm)", 1))
	s.next(t)
	for lines.Scan() && lines.Text() != "event: built" {
	}
	a := s.scene(t)
	if !a.Stale || !strings.Contains(a.Wrong, "strop") || a.File == nil || len(a.File.Sizes) != 2 {
		t.Errorf("stale %v, %s", a.Stale, a.Wrong)
	}
	leave()
	s.save(t, tray+"\n// again\n")
	s.next(t)
	if a := s.scene(t); a.Stale || a.Wrong != "" {
		t.Errorf("mended it is still %s", a.Wrong)
	}
}

func TestPortInUse(t *testing.T) {
	l, err := live.Listen(0)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, err = live.Listen(l.Addr().(*net.TCPAddr).Port)
	var taken *live.PortError
	if !errors.As(err, &taken) || !strings.Contains(err.Error(), "--port 0") {
		t.Error(err)
	}
}

// A design that has mistakes when it is first opened is told, and its page comes when it is mended.
func TestWrongAtFirst(t *testing.T) {
	l, err := live.Listen(0)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	s, err := live.New(l.Addr())
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Show(watch.Report{Err: errors.New("not read")}); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	go s.Serve(ctx, l)
	of := &served{Server: s}
	if a := of.scene(t); a.Wrong != "not read" || a.Stale || a.File != nil {
		t.Errorf("%+v", a)
	}
	if code, text := of.ask(t, "GET", s.Address(), ""); code != 200 || !strings.Contains(text, "Nothing built yet") {
		t.Error(code)
	}
}

func Example() {
	l, err := live.Listen(0)
	if err != nil {
		fmt.Println(err)
		return
	}
	defer l.Close()
	s, err := live.New(l.Addr())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(strings.HasPrefix(s.Address(), "http://127.0.0.1:"), bytes.Count([]byte(s.Address()), []byte("/")))
	// Output:
	// true 4
}

// How long the stool takes from a slider's move to its new mesh and numbers, served.
func BenchmarkTry(b *testing.B) {
	text, err := os.ReadFile("../../examples/stool/stool.perch")
	if err != nil {
		b.Fatal(err)
	}
	s := serve(b)
	s.save(b, string(text))
	s.next(b)
	for i := 0; b.Loop(); i++ {
		if a := s.try(b, "mid", map[string]string{"height": fmt.Sprintf("%dmm", 500+i%200)}); a.File == nil {
			b.Fatal(a.Wrong)
		}
	}
}
