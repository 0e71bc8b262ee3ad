package editor_test

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/editor"
)

// raw passes JSON through, so that tests see what is on the wire.
type raw = jsonrpc2.RawMessage

// client is an editor's end of the line.
type client struct {
	t      testing.TB
	conn   jsonrpc2.Conn
	served chan error
	built  chan string // "uri version", when background work is done
	mu     sync.Mutex
	told   []string                   // server requests and notifications but diagnostics
	diags  map[string]json.RawMessage // newest by URI
	fresh  chan json.RawMessage       // every publication, in order
}

// start runs a service and connects to it; it is shut down with the test.
func start(t testing.TB, opts editor.Options) *client {
	t.Helper()
	c := &client{t: t, served: make(chan error, 1), built: make(chan string, 1000),
		diags: map[string]json.RawMessage{}, fresh: make(chan json.RawMessage, 100000)}
	opts.After = func(u uri.URI, version int32) { c.built <- fmt.Sprint(u, " ", version) }
	if opts.Pause == 0 {
		opts.Pause = time.Millisecond
	}
	inR, inW := io.Pipe()
	outR, outW := io.Pipe()
	go func() {
		c.served <- editor.Serve(context.Background(), inR, outW, opts)
		outW.Close()
	}()
	c.conn = jsonrpc2.NewConn(jsonrpc2.NewStream(struct {
		io.Reader
		io.WriteCloser
	}{outR, inW}))
	c.conn.Go(context.Background(), c.handle)
	t.Cleanup(func() { inW.Close(); c.conn.Close() })
	return c
}

// handle answers what the service asks.
func (c *client) handle(_ context.Context, req *jsonrpc2.Request) (any, error) {
	params := append(json.RawMessage(nil), req.Params()...)
	c.mu.Lock()
	defer c.mu.Unlock()
	if req.Method() == protocol.MethodTextDocumentPublishDiagnostics {
		var p struct{ URI string }
		json.Unmarshal(params, &p)
		c.diags[p.URI] = params
		c.fresh <- params
		return nil, nil
	}
	c.told = append(c.told, req.Method()+" "+string(params))
	if req.Method() == protocol.MethodWindowShowDocument {
		return raw(`{"success":true}`), nil
	}
	return raw("null"), nil
}

// call asks and returns the answer, or the error as JSON.
func (c *client) call(method string, params any) json.RawMessage {
	c.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	var out raw
	if _, err := c.conn.Call(ctx, method, params, &out); err != nil {
		return json.RawMessage(fmt.Sprintf("%q", "error: "+err.Error()))
	}
	return json.RawMessage(out)
}

func (c *client) notify(method string, params any) {
	c.t.Helper()
	if err := c.conn.Notify(context.Background(), method, params); err != nil {
		c.t.Fatal(err)
	}
}

func (c *client) initialize(folder string) json.RawMessage {
	return c.initializeAs(folder, map[string]any{})
}

// initializeAs says what the client can do.
func (c *client) initializeAs(folder string, capabilities map[string]any) json.RawMessage {
	params := map[string]any{"processId": nil, "rootUri": nil, "capabilities": capabilities}
	if folder != "" {
		params["workspaceFolders"] = []any{map[string]any{"uri": uri.File(folder), "name": "w"}}
	}
	out := c.call("initialize", params)
	c.notify("initialized", map[string]any{})
	return out
}

// finish shuts the service down in order and wants it to end well.
func (c *client) finish() {
	c.t.Helper()
	c.call("shutdown", nil)
	c.notify("exit", nil)
	select {
	case err := <-c.served:
		if err != nil {
			c.t.Errorf("the service ended with %v", err)
		}
	case <-time.After(10 * time.Second):
		c.t.Error("the service did not end")
	}
}

func (c *client) open(u uri.URI, text string) {
	c.notify("textDocument/didOpen", map[string]any{"textDocument": map[string]any{
		"uri": u, "languageId": "perch", "version": 1, "text": text}})
}

// wait returns once the background work on a version of a text is done.
func (c *client) wait(u uri.URI, version int) {
	c.t.Helper()
	want := fmt.Sprint(u, " ", version)
	for {
		select {
		case got := <-c.built:
			if got == want {
				return
			}
		case <-time.After(30 * time.Second):
			c.t.Fatalf("nothing was built of %s", want)
		}
	}
}

// published is the newest diagnostics of a text, after all that was sent before.
func (c *client) published(u uri.URI) (version int, diags []protocol.Diagnostic) {
	c.t.Helper()
	c.call("textDocument/foldingRange", map[string]any{"textDocument": map[string]any{"uri": u}})
	c.mu.Lock()
	defer c.mu.Unlock()
	var p protocol.PublishDiagnosticsParams
	if err := protocol.Unmarshal(c.diags[string(u)], &p); err != nil {
		c.t.Fatal(err)
	}
	v, _ := p.Version.Get()
	return int(v), p.Diagnostics
}

// place is the position of the `|` in needle, where needle without it stands in
// text; the first such place.
func place(t testing.TB, text, needle string) protocol.Position {
	t.Helper()
	front, back, ok := strings.Cut(needle, "|")
	i := strings.Index(text, front+back)
	if !ok || i < 0 {
		t.Fatalf("%q is not in the text", needle)
	}
	i += len(front)
	line := strings.Count(text[:i], "\n")
	start := strings.LastIndexByte(text[:i], '\n') + 1
	units := 0
	for _, r := range text[start:i] {
		units++
		if r >= 0x10000 {
			units++
		}
	}
	return protocol.Position{Line: uint32(line), Character: uint32(units)}
}

func at(u uri.URI, p protocol.Position) map[string]any {
	return map[string]any{"textDocument": map[string]any{"uri": u}, "position": p}
}

func example(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "examples", name, name+".perch"))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// pretty writes JSON in one form, keys sorted.
func pretty(t testing.TB, m json.RawMessage) string {
	var v any
	if err := json.Unmarshal(m, &v); err != nil {
		t.Fatalf("%v in %s", err, m)
	}
	b, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
