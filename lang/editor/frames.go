package editor

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"sync"

	"go.lsp.dev/jsonrpc2"
)

// maxFrame is the size of a message, in bytes, above which its length is taken for a mistake.
const maxFrame = 64 << 20

const lengthField = "content-length:"

// sieve passes on the frames of a stream that are messages. The library ends a connection at
// the first that is none; here that is answered as a mistake, and the next one is looked
// for: behind a header that can't be read at the next line that gives a length.
type sieve struct {
	in   *bufio.Reader
	out  io.Writer
	next []byte // of a frame that is passed on
}

// newSieve makes the two ends of a stream that the library may have: out is written whole
// messages at a time, by the library and the sieve.
func newSieve(in io.Reader, out io.Writer) (*sieve, io.Writer) {
	whole := &oneByOne{w: out}
	return &sieve{in: bufio.NewReader(in), out: whole}, whole
}

// oneByOne keeps writes of several apart.
type oneByOne struct {
	mu sync.Mutex
	w  io.Writer
}

func (o *oneByOne) Write(b []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.w.Write(b)
}

func (s *sieve) Read(b []byte) (int, error) {
	for len(s.next) == 0 {
		length, err := s.header()
		if err != nil {
			return 0, err
		}
		body := make([]byte, length)
		if n, err := io.ReadFull(s.in, body); err != nil {
			if body = body[:n]; !s.again(body) {
				return 0, err
			}
			continue // what was to be its end is the next message
		}
		if err := s.sound(body); err != nil {
			return 0, err
		}
	}
	n := copy(b, s.next)
	s.next = s.next[n:]
	return n, nil
}

// sound takes a body to be passed on, or answers it. The error is one of writing.
func (s *sieve) sound(body []byte) error {
	switch {
	case !json.Valid(body):
		s.again(body)
		return s.answer(nil, jsonrpc2.ParseError, "the message is no JSON")
	case bytes.HasPrefix(bytes.TrimLeft(body, " \t\r\n"), []byte("[")):
		return s.answer(nil, jsonrpc2.InvalidRequest, "several messages in one are not taken")
	}
	if _, err := jsonrpc2.DecodeMessage(body); err != nil {
		var m struct {
			ID json.RawMessage `json:"id"`
		}
		json.Unmarshal(body, &m) // where it has none the answer is nobody's
		return s.answer(m.ID, jsonrpc2.InvalidRequest, "the message is none of JSON-RPC 2.0")
	}
	s.next = append(fmt.Appendf(nil, "Content-Length: %d\r\n\r\n", len(body)), body...)
	return nil
}

// again has what a wrong length swallowed read once more, from the header in it on. It
// returns whether there is one.
func (s *sieve) again(body []byte) bool {
	i := bytes.Index(bytes.ToLower(body), []byte(lengthField))
	if i < 0 {
		return false
	}
	s.in = bufio.NewReader(io.MultiReader(bytes.NewReader(bytes.Clone(body[i:])), s.in))
	return true
}

// header reads to the end of a header and returns the length that it gives. What is none is
// answered once and passed over.
func (s *sieve) header() (int, error) {
	length, told := 0, false
	for {
		line, err := s.line()
		if err != nil {
			return 0, err
		}
		text := strings.TrimRight(line, "\r\n")
		at := strings.LastIndex(strings.ToLower(text), lengthField)
		wrong := at > 0 // it stands behind the rest of another message
		switch {
		case at >= 0:
			n, err := strconv.Atoi(strings.TrimSpace(text[at+len(lengthField):]))
			if length = n; err != nil || n <= 0 || n > maxFrame {
				length, wrong = 0, true
			}
		case text == "" && length > 0:
			return length, nil
		case text == "" && told:
		case !strings.Contains(text, ":") || strings.HasPrefix(text, "{"):
			length, wrong = 0, true
		}
		if wrong && !told {
			told = true
			if err := s.answer(nil, jsonrpc2.ParseError, "the header of a message can't be read"); err != nil {
				return 0, err
			}
		}
	}
}

// line reads a line; of one that is too long for a header its end, where a length may stand.
func (s *sieve) line() (string, error) {
	var kept []byte
	for {
		part, err := s.in.ReadSlice('\n')
		if kept = append(kept, part...); len(kept) > 8192 {
			kept = append(kept[:0], kept[len(kept)-4096:]...)
		}
		if err != bufio.ErrBufferFull {
			return string(kept), err
		}
	}
}

// answer tells a mistake to whoever sent a message; no id is null.
func (s *sieve) answer(id json.RawMessage, code jsonrpc2.Code, text string) error {
	if len(id) == 0 {
		id = json.RawMessage("null")
	}
	body, err := json.Marshal(map[string]any{"jsonrpc": "2.0", "id": id, "error": map[string]any{"code": code, "message": text}})
	if err != nil {
		return err
	}
	_, err = s.out.Write(append(fmt.Appendf(nil, "Content-Length: %d\r\n\r\n", len(body)), body...))
	return err
}
