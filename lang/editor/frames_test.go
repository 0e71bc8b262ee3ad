package editor_test

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"time"

	"perch/lang/editor"
)

func framed(body string) string { return fmt.Sprintf("Content-Length: %d\r\n\r\n%s", len(body), body) }

type wireAnswer struct {
	ID    json.RawMessage
	Error *struct {
		Code    int
		Message string
	}
}

// wire is a service that is spoken to byte by byte.
type wire struct {
	t   *testing.T
	in  io.Writer
	got chan wireAnswer
}

func newWire(t *testing.T) *wire {
	inR, inW := io.Pipe()
	outR, outW := io.Pipe()
	w := &wire{t, inW, make(chan wireAnswer, 10000)}
	ended := make(chan error, 1)
	go func() {
		ended <- editor.Serve(context.Background(), inR, outW, editor.Options{})
		outW.Close()
	}()
	go func() {
		for r := bufio.NewReader(outR); ; {
			head, err := r.ReadString('\n')
			if err != nil {
				close(w.got)
				return
			}
			n, _ := strconv.Atoi(strings.TrimSpace(strings.TrimPrefix(head, "Content-Length: ")))
			r.ReadString('\n')
			body := make([]byte, n)
			io.ReadFull(r, body)
			var a wireAnswer
			if json.Unmarshal(body, &a) == nil {
				w.got <- a
			}
		}
	}()
	t.Cleanup(func() {
		inW.Close()
		select {
		case <-ended:
		case <-time.After(10 * time.Second):
			t.Error("it does not end with its input")
		}
	})
	w.says(framed(`{"jsonrpc":"2.0","id":"first","method":"initialize","params":{"capabilities":{}}}`))
	w.hears("first")
	w.says(framed(`{"jsonrpc":"2.0","method":"initialized","params":{}}`))
	return w
}

func (w *wire) says(text string) {
	w.t.Helper()
	if _, err := io.WriteString(w.in, text); err != nil {
		w.t.Fatalf("it reads no more: %v", err)
	}
}

// hears waits for the answer to an id and returns the errors that came before it.
func (w *wire) hears(id string) (errs []wireAnswer) {
	w.t.Helper()
	for {
		select {
		case a, ok := <-w.got:
			if !ok {
				w.t.Fatalf("it ended before it answered %s", id)
			}
			if string(a.ID) == strconv.Quote(id) && a.Error == nil {
				return errs
			}
			if a.Error != nil {
				errs = append(errs, a)
			}
		case <-time.After(10 * time.Second):
			w.t.Fatalf("%s is not answered", id)
		}
	}
}

// ask is a request that is always answered.
func ask(id string) string {
	return framed(`{"jsonrpc":"2.0","id":` + strconv.Quote(id) + `,"method":"workspace/symbol","params":{"query":"x"}}`)
}

// A frame that is no message is answered, with its id where it has one, and the next is
// served as ever.
func TestBadFrames(t *testing.T) {
	body := `{"jsonrpc":"2.0","id":7,"method":"workspace/symbol","params":{"query":"x"}}`
	w := newWire(t)
	for i, c := range []struct {
		frame, id string
		code      int
	}{
		{"Content-Length: x\r\n\r\n" + body, "null", -32700},
		{"Content-Length: -5\r\n\r\n" + body, "null", -32700},
		{"Content-Length: 0\r\n\r\n", "null", -32700},
		{"Content-Length: 99999999999999999999\r\n\r\n" + body, "null", -32700},
		{"Content-Length: 1073741824\r\n\r\n" + body, "null", -32700},
		{"Content-Type: x\r\n\r\n" + body, "null", -32700},
		{"hello\r\n\r\n", "null", -32700},
		{"\x00\xff\n", "null", -32700},
		{strings.Repeat("x", 100000) + "\n", "null", -32700},
		{fmt.Sprintf("Content-Length: %d\r\n\r\n%s", len(body)-3, body), "null", -32700},
		{fmt.Sprintf("Content-Length: %d\r\n\r\n%s", len(body)+30, body), "null", -32700},
		{framed(`{"jsonrpc":"2.0","id":8,`), "null", -32700},
		{framed(`{`), "null", -32700},
		{framed(`7`), "null", -32600},
		{framed(`{}`), "null", -32600},
		{framed(`[]`), "null", -32600},
		{framed(`[` + body + `]`), "null", -32600},
		{framed(`{"jsonrpc":"1.0","id":9,"method":"workspace/symbol"}`), "9", -32600},
		{framed(`{"jsonrpc":"2.0","id":"a","method":5}`), `"a"`, -32600},
	} {
		id := fmt.Sprint("ask ", i)
		w.says(c.frame + ask(id))
		errs := w.hears(id)
		if len(errs) == 0 || string(errs[0].ID) != c.id || errs[0].Error.Code != c.code {
			t.Errorf("%.60q is answered with %+v, want %s %d", c.frame, errs, c.id, c.code)
		}
	}
}

// Headers in other capitals, with other fields, and lines that end in a newline alone are read.
func TestOddHeaders(t *testing.T) {
	w := newWire(t)
	for i, head := range []string{"content-length: %d\r\n\r\n%s", "Content-Type: application/vscode-jsonrpc; charset=utf-8\r\nContent-Length:%d\r\n\r\n%s", "Content-Length: %d\n\n%s"} {
		id := fmt.Sprint("ask ", i)
		_, body, _ := strings.Cut(ask(id), "\r\n\r\n")
		w.says(fmt.Sprintf(head, len(body), body))
		if errs := w.hears(id); len(errs) > 0 {
			t.Errorf("%q: %+v", head, errs)
		}
	}
}

// Bytes changed at random in what an editor sends never end the service.
func TestFramesAtRandom(t *testing.T) {
	w := newWire(t)
	draw := rand.New(rand.NewPCG(1, 2))
	rounds := 400
	if testing.Short() {
		rounds = 100
	}
	for i := range rounds {
		text := []byte(ask("lost") + framed(`{"jsonrpc":"2.0","method":"textDocument/didOpen","params":{"textDocument":{"uri":"file:///a.perch","languageId":"perch","version":1,"text":"design \\"a\\""}}}`))
		for range 1 + draw.IntN(4) {
			at := draw.IntN(len(text))
			switch draw.IntN(3) {
			case 0:
				text[at] = byte(draw.IntN(256))
			case 1:
				text = append(text[:at], text[min(len(text), at+1+draw.IntN(9)):]...)
			default:
				text = bytes.Join([][]byte{text[:at], []byte("Content-Le\r\n{"[draw.IntN(12):]), text[at:]}, nil)
			}
		}
		id := fmt.Sprint("ask ", i)
		w.says(string(text) + "\n" + ask("between") + ask(id))
		w.hears(id)
	}
}
